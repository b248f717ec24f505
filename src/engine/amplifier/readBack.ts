// The page of a data sheet, read back from the model itself: CW sweep and two tones, whatever the kind of model.
//
//   AM/PM(a) = arg(y(a)/g), g the small-signal gain
//   two tones of amplitude A with a vanishing spacing: y over one beat of 2A·cos θ; tone and product are its lines 1 and 3
//   OIP3 = P + Δ/2, P the tone's output and Δ tone over product in dB, at 50 dB of back-off per tone; read only when the
//   product rises 3 dB per dB from there to 40 dB (Pozar, Microwave Engineering, section 10.3, from memory)
import type { AmplifierReadBack, CwReading, InterceptReading, SheetReading } from '../../../shared/schema/readBack.ts';
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import { type Complex, zeros } from '../dsp/complex.ts';
import { amplitudeRatioToDb, dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { lineAmplitude } from '../dsp/lineAmplitude.ts';
import { CW_SWEEP_DRIVE, type CwPoint, cwCharacteristics, firstCrossing } from './cwCharacteristics.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { AmplifierModel } from './model.ts';
import { outputPowerDbm } from './operatingPoint.ts';

type StaticModel = Pick<AmplifierModel, 'staticOutput' | 'smallSignalGain' | 'driveRange'>;
type Scale = Pick<AmplifierSettings, 'model' | 'saturatedPowerDbm' | 'gainDb' | 'outputLossDb'>;

const SWEEP_START_DB = -60;

/** Reads gain, saturation, compression points, AM/PM and intercept of a model; a sheet's figures beside the readings. */
export function readBackAmplifier(model: StaticModel, settings: Scale): AmplifierReadBack {
  const highest = model.driveRange ?? CW_SWEEP_DRIVE;
  const cw = cwCharacteristics(model, highest);
  const gain = Math.hypot(model.smallSignalGain.re, model.smallSignalGain.im);
  const highestDb = amplitudeRatioToDb(highest);
  const largestGain = largestOnInterval(
    (db) => magnitude(model.staticOutput(dbToAmplitudeRatio(db))) / dbToAmplitudeRatio(db),
    Math.min(SWEEP_START_DB, highestDb - 20),
    highestDb,
  );
  const read = (point: CwPoint | null) => point && readingOf(model, settings, point);
  const readings = {
    gainDb: settings.gainDb,
    highestGainDb: Math.max(0, amplitudeRatioToDb(largestGain.value / gain)),
    saturation: readingOf(model, settings, cw.atLargestOutput),
    atOneDbCompression: read(cw.atOneDbCompression),
    atThreeDbCompression: read(cw.atThreeDbCompression),
    intercept: interceptOf(model, settings),
  };
  return { ...readings, sheet: sheetReadings(model, settings, readings) };
}

function magnitude({ re, im }: Complex): number {
  return Math.sqrt(re * re + im * im);
}

function dbmOf(db: number, settings: Scale): number | null {
  return outputPowerDbm(10 ** (db / 10), settings);
}

function readingOf(model: StaticModel, settings: Scale, point: CwPoint): CwReading {
  const driveDb = amplitudeRatioToDb(point.driveAmplitude * magnitude(model.smallSignalGain));
  const saturatedDbm = settings.saturatedPowerDbm;
  return {
    driveDb,
    driveDbm: saturatedDbm === null ? null : saturatedDbm - settings.gainDb + driveDb,
    outputDb: point.outputDb,
    outputDbm: dbmOf(point.outputDb, settings),
    compressionDb: point.compressionDb,
    amPmDeg: amPmDegAt(model, point.driveAmplitude),
  };
}

/** Phase of the CW output against small signal, −180 … 180. */
export function amPmDegAt(model: StaticModel, driveAmplitude: number): number {
  const y = model.staticOutput(driveAmplitude);
  const g = model.smallSignalGain;
  return (Math.atan2(y.im * g.re - y.re * g.im, y.re * g.re + y.im * g.im) * 180) / Math.PI;
}

/** AM/PM where the CW output first reaches this back-off, or at the highest drive when it only comes near; null otherwise. */
export function amPmDegAtBackoff(model: StaticModel, outputBackoffDb: number): number | null {
  const highest = model.driveRange ?? CW_SWEEP_DRIVE;
  const highestDb = amplitudeRatioToDb(highest);
  const shortDb = (db: number) =>
    amplitudeRatioToDb(magnitude(model.staticOutput(dbToAmplitudeRatio(db)))) + outputBackoffDb;
  const at = firstCrossing(shortDb, Math.min(SWEEP_START_DB, highestDb - 20), highestDb);
  if (at !== null) return amPmDegAt(model, dbToAmplitudeRatio(at));
  return Math.abs(shortDb(highestDb)) < NEAR_SATURATION_DB ? amPmDegAt(model, highest) : null;
}

/** A curve that nears saturated power for ever is there within this. */
const NEAR_SATURATION_DB = 0.05;

const READ_BACKOFF_DB = 50;
const CHECK_BACKOFF_DB = 40;
const SLOPE_TOLERANCE = 0.1;
/** Products this far below the tones are arithmetic. */
const LEAST_PRODUCT_DB = -220;

function interceptOf(model: StaticModel, settings: Scale): InterceptReading {
  const low = twoTonesAt(model, READ_BACKOFF_DB);
  const high = twoTonesAt(model, CHECK_BACKOFF_DB);
  const toneBackoffDb = -low.toneDb;
  const none = (slope: number | null, reason: string): InterceptReading => ({
    outputDb: null,
    outputDbm: null,
    slope,
    toneBackoffDb,
    reason,
  });
  if (low.productDb - low.toneDb < LEAST_PRODUCT_DB) return none(null, 'no third-order product at low power');
  const slope = (high.productDb - low.productDb) / (high.toneDb - low.toneDb);
  if (Math.abs(slope - 3) > SLOPE_TOLERANCE) {
    return none(slope, `the product rises ${slope.toFixed(2)} dB per dB in place of 3: there is no intercept`);
  }
  const outputDb = low.toneDb + (low.toneDb - low.productDb) / 2;
  return { outputDb, outputDbm: dbmOf(outputDb, settings), slope, toneBackoffDb, reason: null };
}

const BEAT_SAMPLES = 256;

/** Output per tone and of the third-order product, dB re saturated power, for tones this far below it at small-signal gain. */
export function twoTonesAt(model: StaticModel, toneBackoffDb: number): { toneDb: number; productDb: number } {
  const amplitude = dbToAmplitudeRatio(-toneBackoffDb) / magnitude(model.smallSignalGain);
  const y = zeros(BEAT_SAMPLES);
  for (let n = 0; n < BEAT_SAMPLES; n++) {
    // Half a sample away from the zeros of the envelope.
    const x = 2 * amplitude * Math.cos((2 * Math.PI * (n + 0.5)) / BEAT_SAMPLES);
    const out = model.staticOutput(Math.abs(x));
    y.re[n] = Math.sign(x) * out.re;
    y.im[n] = Math.sign(x) * out.im;
  }
  return {
    toneDb: amplitudeRatioToDb(magnitude(lineAmplitude(y, 1))),
    productDb: amplitudeRatioToDb(magnitude(lineAmplitude(y, 3))),
  };
}

type Readings = Omit<AmplifierReadBack, 'sheet'>;

/** The stated figures of a data sheet, each beside the reading; empty for the other kinds. */
function sheetReadings(model: StaticModel, settings: Scale, readings: Readings): SheetReading[] {
  const sheet = settings.model;
  if (sheet.kind !== 'dataSheet') return [];
  const saturatedDbm = sheet.saturatedPowerDbm === 'amplifier' ? settings.saturatedPowerDbm : sheet.saturatedPowerDbm;
  const rows: SheetReading[] = [];
  const add = (
    path: string,
    name: string,
    [unit, tolerance]: readonly [SheetReading['unit'], number],
    stated: number | null,
    read: number | null,
  ) => {
    if (stated === null) return;
    const isMet = read !== null && Math.abs(read - stated) <= tolerance;
    rows.push({ path: `amplifier.${path}`, name, unit, stated, read, tolerance, isMet });
  };
  const dbm = (db: number | null | undefined) =>
    db === null || db === undefined || saturatedDbm === null ? null : saturatedDbm + db;
  const gainDb = settings.gainDb + amplitudeRatioToDb(magnitude(model.smallSignalGain));
  const own = sheet.saturatedPowerDbm === 'amplifier' ? '' : 'model.';
  add('gainDb', 'small-signal gain', ['dB', 0.05], settings.gainDb, gainDb);
  add(`${own}saturatedPowerDbm`, 'saturated power', ['dBm', 0.1], saturatedDbm, dbm(readings.saturation.outputDb));
  const stated = sheet.saturationCompressionDb;
  if (stated !== 'asymptote') {
    const read = readings.saturation.compressionDb;
    add('model.saturationCompressionDb', 'compression at saturated power', ['dB', 0.1], stated, read);
  }
  const oneDb = dbm(readings.atOneDbCompression?.outputDb);
  add(
    'model.outputAtOneDbCompressionDbm',
    'output at 1 dB compression',
    ['dBm', 0.1],
    sheet.outputAtOneDbCompressionDbm,
    oneDb,
  );
  const threeDb = dbm(readings.atThreeDbCompression?.outputDb);
  add(
    'model.outputAtThreeDbCompressionDbm',
    'output at 3 dB compression',
    ['dBm', 0.1],
    sheet.outputAtThreeDbCompressionDbm,
    threeDb,
  );
  const intercept = dbm(readings.intercept.outputDb);
  add('model.outputInterceptDbm', 'third-order output intercept', ['dBm', 0.3], sheet.outputInterceptDbm, intercept);
  if (sheet.amPmDeg !== 0) {
    const name = `AM/PM at ${sheet.amPmBackoffDb} dB output back-off`;
    add('model.amPmDeg', name, ['°', 0.5], sheet.amPmDeg, amPmDegAtBackoff(model, sheet.amPmBackoffDb));
  }
  if (sheet.class === 'gainExpansion')
    add('model.expansionDb', 'gain expansion', ['dB', 0.1], sheet.expansionDb, readings.highestGainDb);
  return rows;
}
