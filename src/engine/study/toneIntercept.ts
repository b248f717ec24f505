// The third-order intercept of two tones, and when one may be stated.
//
//   from one level:   OIP3 = P_own + (P_other − P₃)/2; equal tones: P + Δ/2          (any RF text, from memory)
//   local slope:      s = dP₃/dP, dB per dB, against the tone's own output
//   d(OIP3)/dP = 1.5 − s/2: the value stands still where s = 3, and moves by 0.1 dB per dB at s = 2.8 and 3.2
//
// Beyond the slope the tones themselves must be uncompressed. On the way into compression the slope passes through 3
// once more: there P + Δ/2 stands still too, a dB and more off. For a cubic amplifier the value is off by 1.5 times the
// tones' compression.
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { Side } from '../../../shared/schema/report.ts';
import type { ToneIntercept, TonePoint, ToneSideIntercept } from '../../../shared/schema/studyReport.ts';
import { db } from './answerWords.ts';

export const LEAST_SLOPE = 2.8;
export const MOST_SLOPE = 3.2;
/** Tones compressed (or expanded) by more bias the value of a cubic amplifier by more than 0.3 dB. */
export const MOST_COMPRESSION_DB = 0.2;
/** The value is the mean over the lowest levels that qualify, as far up as this. */
export const AVERAGED_SPAN_DB = 10;
/** Products further below the tones are rounding: double precision, and no amplifier. */
export const ROUNDING_DBC = -240;
const SIDES: readonly Side[] = ['lower', 'upper'];

export type InterceptOutcome =
  | { readonly intercept: ToneIntercept; readonly refusal: null }
  | { readonly intercept: null; readonly refusal: string };

/** P + Δ/2 in the unit of the three levels. */
export function oneLevelIntercept(ownTone: number, otherTone: number, product: number): number {
  return ownTone + (otherTone - product) / 2;
}

/** Slope through the neighbours of each point, or through itself and the one there is. Rising x not needed. */
export function localSlopes(x: readonly number[], y: readonly (number | null)[]): (number | null)[] {
  return x.map((_, i) => {
    const from = Math.max(0, i - 1);
    const to = Math.min(x.length - 1, i + 1);
    const [low, high] = [y[from] ?? null, y[to] ?? null];
    const run = x[to] - x[from];
    return low === null || high === null || run === 0 ? null : (high - low) / run;
  });
}

/** One intercept from the lowest levels that qualify, or why there is none. `levels`: highest first, all known. */
export function interceptOf(levels: readonly TonePoint[]): InterceptOutcome {
  const refuse = (refusal: string): InterceptOutcome => ({ intercept: null, refusal });
  const rising = [...levels].reverse();
  const [lowest] = rising;
  if (lowest === undefined) return refuse('no level of the range is within reach of the amplifier');
  if (rising.length < 2) return refuse('one level has no slope; ask for two or more');
  const fault = faultOf(lowest);
  if (fault !== null) {
    const place = `at the lowest level, one tone ${db(lowest.toneBackoffDb)} below saturated power, `;
    return refuse(`${place}${fault}`);
  }
  const end = rising.findIndex((point) => faultOf(point) !== null);
  const qualified = end < 0 ? rising : rising.slice(0, end);
  const averaged = qualified.filter(
    ({ toneBackoffDb }) => lowest.toneBackoffDb - toneBackoffDb <= AVERAGED_SPAN_DB + 1e-9,
  );
  return { intercept: meanOf(averaged), refusal: null };
}

/** What keeps a level from counting, in words and numbers; null when it counts. */
export function faultOf({ uncorrected, compressionDb }: TonePoint): string | null {
  const slopes = uncorrected.map(({ im3Slope }) => im3Slope);
  if (slopes.some((slope) => slope === null)) return 'the third-order products lie outside the record’s band';
  if (uncorrected.some(({ im3Dbc }) => (im3Dbc ?? 0) < ROUNDING_DBC)) {
    return `the third-order products lie more than ${-ROUNDING_DBC} dB below the tones, at the arithmetic’s own floor`;
  }
  const isOff = slopes.some((slope) => !(slope !== null && slope >= LEAST_SLOPE && slope <= MOST_SLOPE));
  if (isOff) {
    const [lower, upper] = slopes.map((slope) => formatFixed(slope ?? 0, 2));
    const both = lower === upper ? lower : `${lower} (lower side) and ${upper} (upper)`;
    return `the third-order products change by ${both} dB per dB of tone power, outside ${LEAST_SLOPE} to ${MOST_SLOPE}; lower the tones`;
  }
  if (compressionDb !== null && Math.abs(compressionDb) > MOST_COMPRESSION_DB) {
    const word = compressionDb > 0 ? 'compressed' : 'expanded';
    return `the tones themselves are ${word} by ${formatFixed(Math.abs(compressionDb), 2)} dB, more than ${MOST_COMPRESSION_DB} dB, although the products follow them at 3 dB per dB; lower the tones`;
  }
  return null;
}

function meanOf(levels: readonly TonePoint[]): ToneIntercept {
  const sides = SIDES.map((side) => {
    const values = levels.map((level) => sideOf(level, side));
    const relative = values.map(({ oip3OverSaturationDb }) => oip3OverSaturationDb ?? 0);
    const dbm = values.map(({ oip3Dbm }) => oip3Dbm);
    return {
      side,
      oip3Dbm: dbm.every((value) => value !== null) ? mean(dbm) : null,
      oip3OverSaturationDb: mean(relative),
      spreadDb: Math.max(...relative) - Math.min(...relative),
    };
  });
  const [lower, upper] = sides;
  const worse = lower.oip3OverSaturationDb <= upper.oip3OverSaturationDb ? lower : upper;
  const slopes = levels.flatMap(({ uncorrected }) => uncorrected.map(({ im3Slope }) => im3Slope ?? 3));
  const backoffs = levels.map(({ toneBackoffDb }) => toneBackoffDb);
  return {
    side: worse.side,
    oip3Dbm: worse.oip3Dbm,
    oip3OverSaturationDb: worse.oip3OverSaturationDb,
    sides,
    fromToneBackoffDb: Math.min(...backoffs),
    toToneBackoffDb: Math.max(...backoffs),
    levelCount: levels.length,
    slopeLeast: Math.min(...slopes),
    slopeMost: Math.max(...slopes),
  };
}

export function sideOf<Reading extends Pick<ToneSideIntercept, 'side'>>(
  { uncorrected }: { readonly uncorrected: readonly Reading[] },
  side: Side,
): Reading {
  const found = uncorrected.find((one) => one.side === side);
  if (found === undefined) throw new RangeError(`sideOf: no ${side} side`);
  return found;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
