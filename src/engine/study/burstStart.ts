// How does a burst start: the bursts of several records after each silence, averaged symbol by symbol.
//
// Mean and spread are those of percent over the records; ACLR and droop are means of dB. Settled: from the first symbol
// on, after which the mean never again reaches the threshold, so that one lucky symbol does not count.
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { BurstQuestion } from '../../../shared/schema/study.ts';
import type { BurstPoint, BurstReading, BurstResult, RecordBursts } from '../../../shared/schema/studyReport.ts';
import type { Lookup } from './lookup.ts';
import { seedSets, statisticsOf } from './spread.ts';

export function evaluateBurst(base: Scenario, question: BurstQuestion, lookup: Lookup): BurstResult {
  const { recordCount, evmWithinPercent } = question;
  const silencesS = silencesOf(question);
  const outcomes = seedSets(base.seeds, recordCount).map((seeds) => lookup.bursts({ ...base, seeds }, silencesS));
  const read = outcomes.flatMap((outcome) => (outcome?.kind === 'bursts' ? [outcome.bursts] : []));
  const [first] = read;
  const pointOf = (pick: (bursts: RecordBursts) => BurstReading, { symbolDurationS }: RecordBursts) =>
    averaged(read.map(pick), evmWithinPercent, symbolDurationS);
  return {
    kind: 'burst',
    recordCount,
    recordsRead: read.length,
    recordsOutOfReach: outcomes.filter((outcome) => outcome?.kind === 'invalid').length,
    recordsCorrected: read.filter(({ isCorrected }) => isCorrected).length,
    evmWithinPercent,
    symbolDurationS: first?.symbolDurationS ?? null,
    warm: first === undefined ? null : pointOf(({ warm }) => warm, first),
    bursts: first === undefined ? [] : silencesS.map((_, i) => pointOf(({ afterSilence }) => afterSilence[i], first)),
  };
}

/** Each silence once, shortest first. */
export function silencesOf({ silencesS }: BurstQuestion): number[] {
  return [...new Set(silencesS)].sort((a, b) => a - b);
}

/** The same burst of several records, with when it has settled. */
function averaged(readings: readonly BurstReading[], evmWithinPercent: number, symbolDurationS: number): BurstPoint {
  const symbols = readings[0].netPercent.map((_, s) => readings.map(({ netPercent }) => netPercent[s]));
  const netPercent = symbols.map((values) => meanOf(values));
  const settledAfterSymbols = settledAfter(netPercent, evmWithinPercent);
  return {
    silenceS: readings[0].silenceS,
    netPercent,
    netSpreadPercent: readings.length < 2 ? null : symbols.map((values) => statisticsOf(values).standardDeviation),
    droopDb: meanOf(readings.map(({ droopDb }) => droopDb)),
    aclrDb: meanOrNull(readings.map(({ aclrDb }) => aclrDb)),
    firstSymbolsAclrDb: meanOrNull(readings.map(({ firstSymbolsAclrDb }) => firstSymbolsAclrDb)),
    settledAfterSymbols,
    settledAfterS: settledAfterSymbols === null ? null : settledAfterSymbols * symbolDurationS,
  };
}

/** Symbols up to the last one at or over the threshold; null when that is the burst's last. */
export function settledAfter(netPercent: readonly number[], evmWithinPercent: number): number | null {
  let count = netPercent.length;
  while (count > 0 && netPercent[count - 1] < evmWithinPercent) count--;
  return count === netPercent.length ? null : count;
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Null where any record lacks the figure. */
function meanOrNull(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length < values.length ? null : meanOf(known);
}
