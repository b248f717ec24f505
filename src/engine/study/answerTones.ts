// The sentence the two-tone study answers with.
import { formatEngineering, formatFixed } from '../../../shared/format/numbers.ts';
import type { ToneIntercept, ToneLimit, TonePoint, TonesResult } from '../../../shared/schema/studyReport.ts';
import { db, dbm } from './answerWords.ts';

const hz = (value: number) => formatEngineering(value, 'Hz');

/** The intercept or why there is none, how high the tones may be, and how far the sides differ. */
export function answerTones(result: TonesResult, complete: boolean): string {
  const { intercept, refusal, limits, levels, spacings } = result;
  const first =
    intercept !== null
      ? interceptText(intercept, levels)
      : refusal !== null
        ? `There is no single intercept to state: ${refusal}.`
        : '';
  const parts = [first, ...limits.map(limitText), spacingText(result), outOfReachText(result)].filter(
    (part) => part !== '',
  );
  if (parts.length > 0) return parts.join(' ');
  return complete ? 'No level could be read.' : `${levels.length + spacings.length} points read, none settles it yet.`;
}

function interceptText(intercept: ToneIntercept, levels: readonly TonePoint[]): string {
  const { oip3Dbm, oip3OverSaturationDb, side, sides, levelCount } = intercept;
  const relative = relativeText(oip3OverSaturationDb);
  const value = oip3Dbm === null ? relative : `${dbm(oip3Dbm)} per tone, ${relative}`;
  const [lower, upper] = sides;
  const difference = Math.abs(lower.oip3OverSaturationDb - upper.oip3OverSaturationDb);
  const beside = difference < SAME_DB ? '' : ` on the worse (${side}) side, ${db(difference)} more on the other`;
  const spread = formatFixed(Math.max(...sides.map(({ spreadDb }) => spreadDb)), 2);
  const range = `${formatFixed(intercept.fromToneBackoffDb, 1)} to ${db(intercept.toToneBackoffDb)}`;
  const slopes = `${formatFixed(intercept.slopeLeast, 2)} to ${formatFixed(intercept.slopeMost, 2)}`;
  return (
    `The third-order output intercept is ${value}${beside}. It holds within ${spread} dB over ${levelCount} levels, one tone ` +
    `${range} below saturated power at ${hz(levels[0].toneSpacingHz)} spacing, where the products follow at ${slopes} dB per dB.`
  );
}

/** Below this the two sides are told as one. */
const SAME_DB = 0.05;

function relativeText(overDb: number): string {
  return `${db(Math.abs(overDb))} ${overDb >= 0 ? 'over' : 'below'} saturated power`;
}

function limitText({ limit, toneBackoffDb, tonePowerDbm, bracketed }: ToneLimit): string {
  if (toneBackoffDb === null) return `${limit} is missed even at the lowest level.`;
  const place = `${db(toneBackoffDb)} below saturated power`;
  const power = tonePowerDbm === null ? place : `${dbm(tonePowerDbm)} per tone, ${place}`;
  return bracketed
    ? `${limit} holds on both sides up to ${power}.`
    : `${limit} holds on both sides at every level read, up to ${power}.`;
}

function spacingText({ spacings, asymmetry }: TonesResult): string {
  if (asymmetry === null || spacings.length === 0) return '';
  const { toneSpacingHz, lowerDbc, upperDbc } = asymmetry;
  const level = db(spacings[0].toneBackoffDb);
  const values = `lower ${formatFixed(lowerDbc, 1)} dBc, upper ${formatFixed(upperDbc, 1)} dBc`;
  const difference = Math.abs(lowerDbc - upperDbc);
  if (difference < SAME_DB) {
    return `With one tone ${level} below saturated power both sides read alike at every spacing, within ${formatFixed(difference, 2)} dB: ${values} at ${hz(toneSpacingHz)}.`;
  }
  return `With one tone ${level} below saturated power the sides differ most at ${hz(toneSpacingHz)} spacing, by ${db(difference)}: ${values}.`;
}

function outOfReachText({ outOfReachDb }: TonesResult): string {
  if (outOfReachDb.length === 0) return '';
  const most = Math.max(...outOfReachDb);
  return `Tones ${db(most)} below saturated power and higher are out of reach.`;
}
