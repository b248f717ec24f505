// Whether correction is worth it, in one or two sentences, from the ladder's own figures.
import type { LadderResult, LimitCrossing } from '../schema/studyReport.ts';
import { ALL_LIMITS } from './limitText.ts';
import { formatFixed } from './numbers.ts';

const db = (value: number) => `${formatFixed(value, 1)} dB`;
const watts = (value: number) => (value < 0.1 ? `${formatFixed(1000 * value, 0)} mW` : `${formatFixed(value, 1)} W`);

/** Below this gap the two back-offs are the same for every purpose. */
const NOTHING_DB = 0.05;

export function worthText(result: LadderResult, complete: boolean): string {
  const text = verdictText(result);
  return complete ? text : `So far: ${text}`;
}

function verdictText(result: LadderResult): string {
  if (result.correctionCost === null) return 'There is no predistorter in the chain to judge; switch one on.';
  const corrected = crossingOf(result, 'corrected');
  const without = crossingOf(result, 'uncorrected');
  if (corrected === null) {
    return isUnmet(result, 'corrected')
      ? 'No: even corrected, the amplifier meets the limits nowhere in this range.'
      : `${result.points.length} points read, the gap is not found yet.`;
  }
  if (without === null) {
    return isUnmet(result, 'uncorrected')
      ? `Yes: only with correction are the limits met in this range, at ${db(corrected.outputBackoffDb)} of output back-off.`
      : `corrected, ${db(corrected.outputBackoffDb)} of output back-off is enough; uncorrected is not found yet.`;
  }
  const { gain } = result;
  if (gain === null || gain.backoffDb < NOTHING_DB) return 'No: the amplifier meets the limits just as soon by itself.';
  const about = corrected.isEstimate || without.isEstimate ? 'about ' : '';
  return `Correction buys ${about}${db(gain.backoffDb)}${cleanText(corrected, without)}.${largerText(gain)}`;
}

function crossingOf(result: LadderResult, of: LimitCrossing['of']): LimitCrossing | null {
  return result.crossings.find((one) => one.of === of && one.limit === ALL_LIMITS) ?? null;
}

function isUnmet(result: LadderResult, of: LimitCrossing['of']): boolean {
  return result.unmet.some((one) => one.of === of && one.limit === ALL_LIMITS);
}

function cleanText(corrected: LimitCrossing, without: LimitCrossing): string {
  if (corrected.meanPowerW === null || without.meanPowerW === null) return '';
  return `: ${watts(corrected.meanPowerW)} of clean power in place of ${watts(without.meanPowerW)}`;
}

/** The same clean power without correction takes a larger amplifier. */
function largerText(gain: NonNullable<LadderResult['gain']>): string {
  const { dcPowerCorrectedW, dcPowerUncorrectedW, largerSaturatedPowerDbm } = gain;
  if (dcPowerCorrectedW === null || dcPowerUncorrectedW === null || largerSaturatedPowerDbm === null) return '';
  const larger = `${formatFixed(largerSaturatedPowerDbm, 1)} dBm amplifier`;
  return ` Without it the same power takes a ${larger} and ${watts(dcPowerUncorrectedW)} of DC instead of ${watts(dcPowerCorrectedW)} (ideal class).`;
}
