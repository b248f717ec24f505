// The CW curve of an amplifier, for its picture: output, gain and phase over the drive, from its static response.
import type { AmplifierCurve } from '../../../shared/schema/readBack.ts';
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import { amplitudeRatioToDb, dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { CW_SWEEP_DRIVE, cwCharacteristics } from './cwCharacteristics.ts';
import type { AmplifierModel } from './model.ts';
import { outputPowerDbm } from './operatingPoint.ts';

const POINTS = 201;
/** Below the knee, or below the highest drive where that is lower. */
const SPAN_DB = 40;
/** Past the knee, for a curve that holds for any drive; further where 3 dB of compression takes more. */
const PAST_KNEE_DB = 6;
const PAST_COMPRESSION_DB = 1;
/** A drive range further up than this is not drawn to its end: the curve is flat there. */
const MOST_PAST_KNEE_DB = 12;

/**
 * 201 drives, evenly in dB, from 40 dB below the knee (or below the drive range) to the drive range; without one, or far
 * past the knee, to 6 dB past the knee and past 3 dB of compression.
 */
export function amplifierCurve(
  model: Pick<AmplifierModel, 'staticOutput' | 'smallSignalGain' | 'driveRange'>,
  settings: Pick<AmplifierSettings, 'saturatedPowerDbm' | 'gainDb' | 'outputLossDb'>,
): AmplifierCurve {
  const { re, im } = model.smallSignalGain;
  const gain = Math.sqrt(re * re + im * im);
  const toDb = (amplitude: number) => amplitudeRatioToDb(amplitude * gain);
  const topDb = highestDb(model, toDb);
  const startDb = Math.min(0, topDb) - SPAN_DB;
  const saturatedDbm = settings.saturatedPowerDbm;
  const empty = () => new Float64Array(POINTS);
  const [driveDb, outputDb, gainDb, phaseDeg] = [empty(), empty(), empty(), empty()];
  let previous = 0;
  for (let i = 0; i < POINTS; i++) {
    driveDb[i] = startDb + ((topDb - startDb) * i) / (POINTS - 1);
    const y = model.staticOutput(dbToAmplitudeRatio(driveDb[i]) / gain);
    outputDb[i] = amplitudeRatioToDb(Math.sqrt(y.re * y.re + y.im * y.im));
    gainDb[i] = outputDb[i] - driveDb[i];
    const phase = (Math.atan2(y.im * re - y.re * im, y.re * re + y.im * im) * 180) / Math.PI;
    phaseDeg[i] = phase - 360 * Math.round((phase - previous) / 360);
    previous = phaseDeg[i];
  }
  return {
    driveDb,
    driveDbm: saturatedDbm === null ? null : driveDb.map((db) => saturatedDbm - settings.gainDb + db),
    outputDb,
    outputDbm: saturatedDbm === null ? null : outputDb.map((db) => outputPowerDbm(10 ** (db / 10), settings) ?? 0),
    gainDb,
    phaseDeg,
  };
}

function highestDb(
  model: Pick<AmplifierModel, 'staticOutput' | 'smallSignalGain' | 'driveRange'>,
  toDb: (amplitude: number) => number,
): number {
  const rangeDb = model.driveRange === null ? Number.POSITIVE_INFINITY : toDb(model.driveRange);
  if (rangeDb <= MOST_PAST_KNEE_DB) return rangeDb;
  const three = cwCharacteristics(model, model.driveRange ?? CW_SWEEP_DRIVE).atThreeDbCompression;
  const past = three === null ? 0 : toDb(three.driveAmplitude) + PAST_COMPRESSION_DB;
  return Math.min(rangeDb, Math.max(PAST_KNEE_DB, past));
}
