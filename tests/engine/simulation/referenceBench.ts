// The reference bench of the hand-outs, product.md: Quarry Link's waveform and amplifier with the default 9th × 3 taps.
// Figures marked [C] there were computed independently with numpy/scipy on the same amplifier formula.

import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { RunFaults } from '../../../src/engine/simulation/faults.ts';
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

/** Runs the bench; an invalid scenario fails the test with its issues. */
export function runBench(change: BenchChange, faults: RunFaults = {}): Report {
  const outcome = runWithFaults(benchScenario(change), { memory }, faults);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
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
