// How firm the verdicts are: over records with other seeds on the same amplifier, and over amplifiers of one line.
import type { Verdict } from '../../../shared/schema/report.ts';
import type { Scenario, SeedSettings } from '../../../shared/schema/scenario.ts';
import type { SpreadQuestion } from '../../../shared/schema/study.ts';
import type { RunReadings, SpreadReading, SpreadResult, YieldReading } from '../../../shared/schema/studyReport.ts';
import { judge } from '../simulation/verdicts.ts';
import { wilsonInterval } from './binomialInterval.ts';
import type { CleanSubject } from './cleanPoint.ts';
import type { Lookup } from './lookup.ts';
import { limitName, marginDb, outputOf } from './margins.ts';
import { unitOf } from './units.ts';

/** A verdict is marginal when its mean lies within this many standard deviations of the limit. */
const MARGINAL_DEVIATIONS = 2;
const LARGEST_SEED = 2 ** 31;

export function evaluateSpread(base: Scenario, question: SpreadQuestion, lookup: Lookup): SpreadResult {
  const subjects: CleanSubject[] = base.predistorter === null ? ['uncorrected'] : ['corrected', 'uncorrected'];
  const seeds = collect(
    seedSets(base.seeds, question.seedCount).map((set) => ({ ...base, seeds: set })),
    lookup,
  );
  const units = collect(
    Array.from({ length: question.unitCount }, (_, index) => unitOf(base, question, index)),
    lookup,
  );
  return {
    kind: 'spread',
    seedCount: question.seedCount,
    seedsRead: seeds.readings.length,
    seedsOutOfReach: seeds.outOfReach,
    readings: subjects.flatMap((of) => readingsOf(base, of, seeds.readings)),
    unitsRead: units.readings.length + units.outOfReach,
    unitsOutOfReach: units.outOfReach,
    yields: subjects.flatMap((of) => yieldOf(base, of, units)),
  };
}

interface Runs {
  readonly readings: readonly RunReadings[];
  /** Runs whose wanted power the amplifier does not give. */
  readonly outOfReach: number;
}

function collect(scenarios: readonly Scenario[], lookup: Lookup): Runs {
  const outcomes = scenarios.map((scenario) => lookup.outcome(scenario, false));
  return {
    readings: outcomes.flatMap((outcome) => (outcome?.kind === 'readings' ? [outcome.readings] : [])),
    outOfReach: outcomes.filter((outcome) => outcome?.kind === 'invalid').length,
  };
}

/**
 * The scenario's own seeds, then triples of seeds used by none before: a record that one run learned on is never judged
 * by another, so that the runs are independent.
 */
export function seedSets(own: SeedSettings, count: number): SeedSettings[] {
  const used = new Set([own.judging, own.training, own.selection]);
  let last = Math.max(...used);
  const next = () => {
    do last = last >= LARGEST_SEED ? 0 : last + 1;
    while (used.has(last));
    used.add(last);
    return last;
  };
  const sets: SeedSettings[] = [own];
  while (sets.length < count) sets.push({ judging: next(), training: next(), selection: next() });
  return sets;
}

/** One reading for each limit, from two runs on: a spread needs two. */
function readingsOf(base: Scenario, of: CleanSubject, runs: readonly RunReadings[]): SpreadReading[] {
  return base.limits.flatMap((limit) => {
    const verdicts = runs.flatMap((readings) => judge(of, outputOf(readings, of), [limit]));
    const [first] = verdicts;
    if (first === undefined || verdicts.length < 2) return [];
    const { required, unit } = first;
    const isFloor = unit === 'dB';
    const measured = verdicts.map((verdict) => measuredLike(first, verdict));
    const { mean, standardDeviation } = statisticsOf(measured);
    const worst = isFloor ? Math.min(...measured) : Math.max(...measured);
    const room = isFloor ? mean - required : required - mean;
    return [
      {
        of,
        limit: limitName(limit),
        required,
        unit,
        mean,
        standardDeviation,
        worst,
        marginDb: marginOf(unit, required, mean),
        state: stateOf(room, standardDeviation),
      },
    ];
  });
}

/**
 * What a run measured, in the first run's unit. Where a density may stand in for a ratio, runs may be judged by either:
 * the other one is told by its margin.
 */
function measuredLike(first: Verdict, verdict: Verdict): number {
  if (verdict.unit === first.unit) return verdict.measured;
  return first.unit === 'dB' ? first.required + verdict.marginDb : first.required - verdict.marginDb;
}

/** Margin of a mean, as the verdicts count theirs. */
function marginOf(unit: Verdict['unit'], required: number, mean: number): number {
  switch (unit) {
    case 'dB':
      return mean - required;
    case 'dBm':
    case 'dBm/MHz':
      return required - mean;
    case '%':
      return 20 * Math.log10(required / Math.max(mean, 1e-12));
    case 'Hz':
      return 10 * Math.log10(required / Math.max(mean, 1e-12));
  }
}

/** Room to the limit, positive inside, against the spread of one run. */
export function stateOf(room: number, standardDeviation: number): SpreadReading['state'] {
  if (Math.abs(room) < MARGINAL_DEVIATIONS * standardDeviation) return 'marginal';
  return room >= 0 ? 'pass' : 'fail';
}

/** Mean and sample standard deviation (n − 1). */
export function statisticsOf(values: readonly number[]): { mean: number; standardDeviation: number } {
  if (values.length < 2) throw new RangeError(`statisticsOf: needs two values, got ${values.length}`);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) * (value - mean), 0);
  return { mean, standardDeviation: Math.sqrt(squares / (values.length - 1)) };
}

/** Share of the units that meet all limits; one that does not reach the wanted power fails. */
function yieldOf(base: Scenario, of: CleanSubject, units: Runs): YieldReading[] {
  const unitCount = units.readings.length + units.outOfReach;
  if (unitCount === 0) return [];
  const passCount = units.readings.filter((readings) => (marginDb(readings, of, base.limits) ?? -1) >= 0).length;
  const { low, high } = wilsonInterval(passCount, unitCount);
  const yieldPercent = (100 * passCount) / unitCount;
  return [{ of, passCount, unitCount, yieldPercent, lowPercent: 100 * low, highPercent: 100 * high }];
}
