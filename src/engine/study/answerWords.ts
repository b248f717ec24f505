// Words that the answers of several studies share.
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { NearestMiss } from '../../../shared/schema/studyReport.ts';
import { FLOOR_DB } from '../dsp/decibels.ts';

export function db(value: number): string {
  return `${formatFixed(value, 1)} dB`;
}

export function dbm(value: number): string {
  return `${formatFixed(value, 1)} dBm`;
}

/** Two digits, three from 100 W; milliwatts below 0.1 W. */
export function watts(value: number): string {
  if (value < 0.1) return `${Number((value * 1000).toPrecision(2))} mW`;
  return `${Number(value.toPrecision(value >= 100 ? 3 : 2))} W`;
}

/** Such as "9th order × 3 taps". */
export function structureText(highestOrder: number, memoryDepth: number): string {
  const ending = { 1: 'st', 2: 'nd', 3: 'rd' }[highestOrder] ?? 'th';
  return `${highestOrder}${ending} order × ${memoryDepth} ${memoryDepth === 1 ? 'tap' : 'taps'}`;
}

/** By how much the best misses, and what may help. `backoffHelps`: false when the runs show that it hardly does. */
export function missText(
  miss: NearestMiss | null,
  scenario: Scenario,
  isCorrected: boolean,
  backoffHelps = true,
): string {
  if (miss === null || miss.marginDb <= FLOOR_DB) return 'none of the runs could be judged.';
  if (miss.marginDb >= 0) return 'the limits are met in places, but not at the largest back-off tried.';
  const remedy = remedyFor(miss.limit, scenario, isCorrected, backoffHelps);
  return `the nearest misses ${miss.limit} by ${db(-miss.marginDb)}. ${remedy}`;
}

/** What may help against a limit missed at every back-off of the range; nothing of it was run. Common practice, no source. */
function remedyFor(limit: string, scenario: Scenario, isCorrected: boolean, backoffHelps: boolean): string {
  const isShaped = scenario.waveform.crestFactorReduction !== null;
  const correction = isCorrected ? 'a higher order or more taps' : 'correction';
  const flat = 'The last dB of output back-off hardly changed it.';
  if (limit.startsWith('EVM') && isShaped) {
    const crest = 'higher crest-factor target, which spends less EVM,';
    return backoffHelps
      ? `A ${crest} ${correction} or a larger back-off range may help.`
      : `${flat} A ${crest} or ${correction} may help.`;
  }
  if (!backoffHelps) return `${flat} ${isCorrected ? `A lower crest factor, ${correction}` : 'Correction'} may help.`;
  const crest = isCorrected ? ', a lower crest factor' : '';
  return `More output back-off than this range allows${crest} or ${correction} may help.`;
}
