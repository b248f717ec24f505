// Which intercept: two tones and their products against level and against spacing.
//
// Levels are per tone. Two tones of P each carry P + 3.01 dB together and peak at P + 6.02 dB; all three are stated.
// Uncorrected unless asked otherwise: a correction learned on two tones says little of a modulated carrier.
import { limitName } from '../../../shared/format/limitText.ts';
import type { Side, TwoToneReading } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { TonesQuestion } from '../../../shared/schema/study.ts';
import type {
  RunReadings,
  ToneLimit,
  TonePoint,
  ToneSide,
  ToneSideIntercept,
  TonesResult,
} from '../../../shared/schema/studyReport.ts';
import { dbToAmplitudeRatio, dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { isPending, type Lookup } from './lookup.ts';
import { interceptOf, localSlopes, oneLevelIntercept } from './toneIntercept.ts';
import { narrowestSpacingHz, type TonePlace, toneScenario, widestSpacingHz } from './toneScenario.ts';
import { gridOf, rounded } from './variation.ts';

/** Tones this far below saturated power are taken as uncompressed. */
const SMALL_SIGNAL_BACKOFF_DB = 60;
const SIDES: readonly Side[] = ['lower', 'upper'];

export function evaluateTones(base: Scenario, question: TonesQuestion, lookup: Lookup): TonesResult {
  const { toneSpacingHz, spacingToneBackoffDb } = question;
  const grid = gridOf(question.toneBackoff);
  const at = (place: TonePlace) => toneScenario(base, question, place);
  const smallSignal = lookup.readings(at({ toneBackoffDb: SMALL_SIGNAL_BACKOFF_DB, toneSpacingHz }));
  const known = grid.map((toneBackoffDb): [number, RunReadings | null] => [
    toneBackoffDb,
    lookup.readings(at({ toneBackoffDb, toneSpacingHz })),
  ]);
  const settled = ![SMALL_SIGNAL_BACKOFF_DB, ...grid].some((toneBackoffDb) =>
    isPending(lookup, at({ toneBackoffDb, toneSpacingHz })),
  );
  const levels = pointsOf(known, smallSignal);
  const widths = spacingsOf(base, question).map((spacing) =>
    at({ toneBackoffDb: spacingToneBackoffDb, toneSpacingHz: spacing }),
  );
  const spacings = widths.flatMap((scenario) => pointsOf([[spacingToneBackoffDb, lookup.readings(scenario)]], null));
  const isRefused = (scenario: Scenario) => lookup.outcome(scenario, false)?.kind === 'invalid';
  const outOfReach = [
    ...grid.filter((toneBackoffDb) => isRefused(at({ toneBackoffDb, toneSpacingHz }))),
    ...(widths.some(isRefused) ? [spacingToneBackoffDb] : []),
  ];
  return {
    kind: 'tones',
    levels,
    spacings,
    outOfReachDb: outOfReach,
    ...(settled ? interceptOf(levels) : { intercept: null, refusal: null }),
    limits: settled ? limitsOf(base, levels) : [],
    asymmetry: asymmetryOf(spacings),
  };
}

/** The spacings that fit the record's band, each once, narrowest first. */
export function spacingsOf(base: Scenario, question: TonesQuestion): number[] {
  const [least, most] = [narrowestSpacingHz(base), widestSpacingHz(base)];
  const asked = [...new Set(question.spacingsHz.map(rounded))].sort((a, b) => a - b);
  return asked.filter((spacing) => spacing >= least && spacing < most);
}

interface Read {
  readonly toneBackoffDb: number;
  readonly readings: RunReadings;
  readonly tones: TwoToneReading;
}

/** Points that were read, with the local slope through their neighbours. */
function pointsOf(
  known: readonly (readonly [number, RunReadings | null])[],
  smallSignal: RunReadings | null,
): TonePoint[] {
  const read = known.flatMap(([toneBackoffDb, readings]): (Read | null)[] => {
    const tones = readings?.uncorrected.twoTone ?? null;
    return readings === null || tones === null ? [null] : [{ toneBackoffDb, readings, tones }];
  });
  const slopes = SIDES.map((side) => slopesOf(read, side));
  return read.flatMap((one, i) => {
    if (one === null) return [];
    const uncorrected = SIDES.map((side, s) => interceptSide(one.tones, side, slopes[s][i]));
    return [pointOf(one, uncorrected, smallSignal)];
  });
}

/** A neighbour that is missing leaves the slope to the other one. */
function slopesOf(read: readonly (Read | null)[], side: Side): (number | null)[] {
  const sides = read.map((one) => one && toneSide(one.tones, side));
  return sides.map((own, i) => {
    if (own === null) return null;
    const near = [sides[i - 1] ?? null, own, sides[i + 1] ?? null].filter((one) => one !== null);
    const x = near.map(({ toneLevelDb }) => toneLevelDb);
    const y = near.map(({ toneLevelDb, im3Dbc }) => (im3Dbc === null ? null : toneLevelDb + im3Dbc));
    return localSlopes(x, y)[near.indexOf(own)];
  });
}

function toneSide(tones: TwoToneReading, side: Side): ToneSide {
  const tone = toneOf(tones, side);
  const product = (order: number) =>
    tones.products.find((one) => one.side === side && one.order === order) ?? { ratioDb: null, powerDbm: null };
  const dbc = (order: number) => {
    const { ratioDb } = product(order);
    return ratioDb === null ? null : -ratioDb;
  };
  return {
    side,
    tonePowerDbm: tone.powerDbm,
    toneLevelDb: tone.levelDb,
    im3Dbc: dbc(3),
    im5Dbc: dbc(5),
    im7Dbc: dbc(7),
    im3Dbm: product(3).powerDbm,
    im5Dbm: product(5).powerDbm,
  };
}

function toneOf({ tones }: TwoToneReading, side: Side): TwoToneReading['tones'][number] {
  const found = tones.find((tone) => tone.side === side);
  if (found === undefined) throw new RangeError(`toneOf: no ${side} tone`);
  return found;
}

function interceptSide(tones: TwoToneReading, side: Side, im3Slope: number | null): ToneSideIntercept {
  const reading = toneSide(tones, side);
  const { toneLevelDb, tonePowerDbm, im3Dbc } = reading;
  const other = toneOf(tones, side === 'lower' ? 'upper' : 'lower').levelDb;
  const oip3OverSaturationDb = im3Dbc === null ? null : oneLevelIntercept(toneLevelDb, other, toneLevelDb + im3Dbc);
  const toDbm = tonePowerDbm === null ? null : tonePowerDbm - toneLevelDb;
  return {
    ...reading,
    im3Slope,
    oip3Dbm: oip3OverSaturationDb === null || toDbm === null ? null : toDbm + oip3OverSaturationDb,
    oip3OverSaturationDb,
  };
}

function pointOf(
  { toneBackoffDb, readings, tones }: Read,
  uncorrected: readonly ToneSideIntercept[],
  smallSignal: RunReadings | null,
): TonePoint {
  const corrected = readings.corrected?.twoTone ?? null;
  const power = powersOf(tones);
  const gain = gainDb(readings);
  const reference = smallSignal && gainDb(smallSignal);
  return {
    toneBackoffDb,
    toneSpacingHz: tones.toneSpacingHz,
    ...power,
    compressionDb: gain === null || reference === null ? null : reference - gain,
    uncorrected,
    corrected: corrected && SIDES.map((side) => toneSide(corrected, side)),
    correctionUsed: readings.correctionUsed,
  };
}

/** Per tone, both together, and the envelope's peak where both add up. */
function powersOf({ tones }: TwoToneReading): Pick<TonePoint, 'tonePowerDbm' | 'bothTonesDbm' | 'peakEnvelopeDbm'> {
  const powers = tones.flatMap(({ powerDbm }) => (powerDbm === null ? [] : [powerDbm]));
  if (powers.length < tones.length) return { tonePowerDbm: null, bothTonesDbm: null, peakEnvelopeDbm: null };
  const sum = powers.reduce((total, dbm) => total + dbToPowerRatio(dbm), 0);
  const amplitude = powers.reduce((total, dbm) => total + dbToAmplitudeRatio(dbm), 0);
  return {
    tonePowerDbm: powerRatioToDb(sum / powers.length),
    bothTonesDbm: powerRatioToDb(sum),
    peakEnvelopeDbm: powerRatioToDb(amplitude * amplitude),
  };
}

/** Mean power of the two tones at the output over the mean drive, in dB on the model's own scale. */
function gainDb({ uncorrected, peaks }: RunReadings): number | null {
  if (uncorrected.twoTone === null) return null;
  const power = uncorrected.twoTone.tones.reduce((sum, { levelDb }) => sum + dbToPowerRatio(levelDb), 0);
  const { reKneeDb, peakToAverageDb } = peaks.uncorrectedDrive;
  return powerRatioToDb(power) - (reKneeDb - peakToAverageDb);
}

/** Up to which level each intermodulation limit holds on both sides: from the lowest level up to the first that fails. */
function limitsOf(base: Scenario, levels: readonly TonePoint[]): ToneLimit[] {
  return base.limits.flatMap((limit): ToneLimit[] => {
    if (limit.reading !== 'intermodulation') return [];
    const { order, requiredDb } = limit;
    const judged = [...levels].reverse().flatMap((point) => {
      const marginDb = marginOf(point, order, requiredDb);
      return marginDb === null ? [] : [{ point, marginDb }];
    });
    const named = { limit: limitName(limit), order, requiredDb };
    const failing = judged.findIndex(({ marginDb }) => marginDb < 0);
    const highest = judged.at(-1);
    if (highest === undefined || failing === 0) {
      return [{ ...named, toneBackoffDb: null, tonePowerDbm: null, bracketed: true }];
    }
    if (failing < 0) {
      const { toneBackoffDb, tonePowerDbm } = highest.point;
      return [{ ...named, toneBackoffDb, tonePowerDbm, bracketed: false }];
    }
    const [low, high] = [judged[failing - 1], judged[failing]];
    const share = low.marginDb / (low.marginDb - high.marginDb);
    const between = (from: number, to: number) => from + share * (to - from);
    const [from, to] = [low.point.tonePowerDbm, high.point.tonePowerDbm];
    return [
      {
        ...named,
        toneBackoffDb: between(low.point.toneBackoffDb, high.point.toneBackoffDb),
        tonePowerDbm: from === null || to === null ? null : between(from, to),
        bracketed: true,
      },
    ];
  });
}

/** Weaker tone over stronger product of the order, less what is required; null when a side is not read. */
function marginOf({ uncorrected }: TonePoint, order: number, requiredDb: number): number | null {
  const products = uncorrected.map(({ toneLevelDb, im3Dbc, im5Dbc }) => {
    const dbc = order === 3 ? im3Dbc : order === 5 ? im5Dbc : null;
    return dbc === null ? null : toneLevelDb + dbc;
  });
  const known = products.filter((level) => level !== null);
  if (known.length < products.length) return null;
  return Math.min(...uncorrected.map(({ toneLevelDb }) => toneLevelDb)) - Math.max(...known) - requiredDb;
}

/** The spacing at which lower and upper third-order product differ most, in dBc. */
function asymmetryOf(spacings: readonly TonePoint[]): TonesResult['asymmetry'] {
  const read = spacings.flatMap(({ toneSpacingHz, uncorrected: [lower, upper] }) =>
    lower.im3Dbc === null || upper.im3Dbc === null
      ? []
      : [{ toneSpacingHz, lowerDbc: lower.im3Dbc, upperDbc: upper.im3Dbc }],
  );
  const difference = (one: NonNullable<TonesResult['asymmetry']>) => Math.abs(one.lowerDbc - one.upperDbc);
  return read.reduce<TonesResult['asymmetry']>(
    (most, one) => (most === null || difference(one) > difference(most) ? one : most),
    null,
  );
}
