// Coefficient sets stored over a band: n sets, each learned at the centre of one of n equal sub-bands, each channel served
// by the set of the sub-band it lies in (on an edge: the upper one).
import type { HoldReading, HoldSets } from '../../../shared/schema/holdReport.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../shared/schema/study.ts';
import { structureCostOf } from '../simulation/structure.ts';
import { atChannel, valuesOf } from './holdConditions.ts';
import { frozenReading, frozenScenario, warmReading, warmScenario } from './holdRuns.ts';
import type { Lookup } from './lookup.ts';

/** Empty for every axis but the channel. */
export function evaluateSets(base: Scenario, question: HoldQuestion, lookup: Lookup): readonly HoldSets[] {
  if (question.axis !== 'channel') return [];
  const channelsHz = valuesOf(base, question);
  const counts = [...new Set(question.setCounts)].sort((a, b) => a - b);
  return counts.map((setCount) => setsOf(base, channelsHz, setCount, question.warmPassCount, lookup));
}

/** Centres of n equal parts of the band from the lowest to the highest channel, on whole hertz. */
export function centresOf(channelsHz: readonly number[], setCount: number): number[] {
  const [low, high] = [Math.min(...channelsHz), Math.max(...channelsHz)];
  return Array.from({ length: setCount }, (_, i) => Math.round(low + ((i + 0.5) / setCount) * (high - low)));
}

/** Which of n sub-bands a channel lies in. */
export function setIndexOf(channelsHz: readonly number[], channelHz: number, setCount: number): number {
  const [low, high] = [Math.min(...channelsHz), Math.max(...channelsHz)];
  if (high === low) return 0;
  return Math.min(setCount - 1, Math.floor(((channelHz - low) / (high - low)) * setCount + 1e-9));
}

function setsOf(
  base: Scenario,
  channelsHz: readonly number[],
  setCount: number,
  passCount: number,
  lookup: Lookup,
): HoldSets {
  const centresHz = centresOf(channelsHz, setCount);
  // A sub-band without a channel needs no run.
  const served = new Set(channelsHz.map((channelHz) => setIndexOf(channelsHz, channelHz, setCount)));
  const trained = centresHz.map((hz, i) => (served.has(i) ? lookup.readings(atChannel(base, hz)) : null));
  const channels = channelsHz.map((channelHz) => {
    const setIndex = setIndexOf(channelsHz, channelHz, setCount);
    const scenario = frozenScenario('channel', trained[setIndex] ?? null, atChannel(base, channelHz));
    const warm = passCount === 0 ? null : warmReading(base, warmScenario(scenario, passCount), lookup);
    return { channelHz, setIndex, reading: frozenReading(base, scenario, lookup), warm };
  });
  const warm = overChannels(channels.map(({ channelHz, warm }) => ({ channelHz, reading: warm })));
  const bytes = base.predistorter === null ? 0 : structureCostOf(base.predistorter).bytesPerSet;
  return {
    setCount,
    centresHz,
    channels,
    ...overChannels(channels),
    warm: passCount === 0 ? null : { passCount, worstAclrDb: warm.worstAclrDb, medianAclrDb: warm.medianAclrDb },
    memoryBytes: setCount * bytes,
  };
}

/** Worst and median over the channels; nulls while any is missing. */
function overChannels(
  channels: readonly { readonly channelHz: number; readonly reading: HoldReading | null }[],
): Pick<HoldSets, 'worstAclrDb' | 'worstChannelHz' | 'medianAclrDb'> {
  const read = channels.flatMap(({ channelHz, reading }) =>
    reading === null || reading.worstAclrDb === null ? [] : [{ channelHz, aclrDb: reading.worstAclrDb }],
  );
  if (read.length < channels.length) return { worstAclrDb: null, worstChannelHz: null, medianAclrDb: null };
  const worst = read.reduce((a, b) => (b.aclrDb < a.aclrDb ? b : a));
  return {
    worstAclrDb: worst.aclrDb,
    worstChannelHz: worst.channelHz,
    medianAclrDb: medianOf(read.map(({ aclrDb }) => aclrDb)),
  };
}

/** Mean of the two middle values where there is no middle one. */
export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(middle)] : (sorted[middle - 1] + sorted[middle]) / 2;
}
