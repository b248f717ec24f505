// The reference bench of the hand-outs, product.md: Quarry Link's waveform and amplifier with the default 9th × 3 taps.
// Figures marked [C] there were computed independently with numpy/scipy on the same amplifier formula.

import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { LearningResult } from '../../../src/engine/linearization/indirectLearning.ts';
import { alignAmplifier } from '../../../src/engine/simulation/alignAmplifier.ts';
import { driveUncorrected, makeRecords } from '../../../src/engine/simulation/chain.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import type { RunFaults } from '../../../src/engine/simulation/faults.ts';
import { linearize } from '../../../src/engine/simulation/linearize.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runWithFaults } from '../../../src/engine/simulation/runScenario.ts';

export interface BenchChange {
  readonly outputBackoffDb?: number;
  readonly nonlinearOrders?: readonly number[];
  readonly memoryDepth?: number;
  readonly learning?: Record<string, unknown>;
  readonly waveform?: Record<string, unknown>;
  readonly measurement?: Record<string, unknown>;
  readonly amplifier?: Record<string, unknown>;
  readonly withoutCorrection?: boolean;
  readonly seeds?: Record<string, number>;
  readonly limits?: readonly unknown[];
}

const memory = createRunMemory();

export function benchScenario(change: BenchChange): Record<string, unknown> {
  return {
    ...quarryLink,
    waveform: { ...quarryLink.waveform, ...change.waveform },
    amplifier: { ...quarryLink.amplifier, ...change.amplifier },
    operatingPoint: { outputBackoffDb: change.outputBackoffDb ?? 9 },
    predistorter: change.withoutCorrection
      ? null
      : {
          nonlinearOrders: change.nonlinearOrders ?? [1, 3, 5, 7, 9],
          memoryDepth: change.memoryDepth ?? 3,
          learning: { passCount: 3, ...change.learning },
        },
    ...(change.seeds === undefined ? {} : { seeds: change.seeds }),
    ...(change.limits === undefined ? {} : { limits: change.limits }),
    ...(change.measurement === undefined ? {} : { measurement: change.measurement }),
  };
}

/** Reports by what was run: several tests of a file look at the same run. The oldest goes, as reports hold traces. */
const reports = new Map<string, Report>();
const KEPT_REPORTS = 24;

/** Runs the bench, once for the same change; an invalid scenario fails the test with its issues. */
export function runBench(change: BenchChange, faults: RunFaults = {}): Report {
  const scenario = benchScenario(change);
  const key = JSON.stringify([scenario, faults]);
  const known = reports.get(key);
  if (known !== undefined) return known;
  const outcome = runWithFaults(
    scenario,
    { memory, withoutBestDrive: !change.learning?.['bestDrivePassCount'] },
    faults,
  );
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  reports.set(key, outcome.report);
  for (const oldest of reports.keys()) {
    if (reports.size <= KEPT_REPORTS) break;
    reports.delete(oldest);
  }
  return outcome.report;
}

/** What learning alone says of each set of faults: records, levelling and figures are not made again for each. */
export function learnOnBench(change: BenchChange, faults: readonly RunFaults[]): readonly LearningResult[] {
  const checked = checkScenario(benchScenario(change));
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const records = makeRecords(checked.setup, memory, {});
  const levelled = driveUncorrected(checked.setup, records.judging.waveform);
  if ('rule' in levelled) throw new Error(JSON.stringify(levelled));
  const { setup, uncorrected } = alignAmplifier(checked.setup, levelled);
  return faults.map((one) => {
    const linearization = linearize(setup, records, uncorrected, one, () => {});
    if (linearization === null) throw new RangeError('learnOnBench: the bench has no predistorter');
    return linearization.learning;
  });
}

/** Worse side of the adjacent channel. */
export function worstAdjacentDb(output: Report['uncorrected'] | null): number {
  const readings = output?.aclr.filter((reading) => reading.channel === 'adjacent') ?? [];
  if (readings.length !== 2) throw new Error(`expected both sides, got ${readings.length} readings`);
  return Math.min(...readings.map((reading) => reading.aclrDb));
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length & 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
