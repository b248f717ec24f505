// The one pipeline. App, command line, library, studies and tests all call it.
//
//   scenario ─check─▶ records ─▶ level ─▶ amplifier ─▶ readings
//                        └──▶ learn ─▶ predistorter ─▶ ceiling ─▶ amplifier ─▶ readings     at equal mean output power
import type { Issue } from '../../../shared/schema/issue.ts';
import type { OnProgress, Progress, Report } from '../../../shared/schema/report.ts';
import { alignAmplifier } from './alignAmplifier.ts';
import { readBestDrive } from './bounds.ts';
import { driveIdealLimiter, driveUncorrected, makeRecords } from './chain.ts';
import { checkScenario, type Setup } from './checkScenario.ts';
import type { RunFaults } from './faults.ts';
import { linearize } from './linearize.ts';
import { writeReport } from './report.ts';
import { createRunMemory, type RunMemory } from './runMemory.ts';
import { passCountOf } from './storedPredistorter.ts';

export type RunOutcome =
  | { readonly kind: 'report'; readonly report: Report }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export interface RunOptions {
  readonly onProgress?: OnProgress;
  /** Keeps waveforms between runs. Results are the same without it. */
  readonly memory?: RunMemory;
  /** Leaves the best drive out, whatever the scenario says: studies do not pay for it. */
  readonly withoutBestDrive?: boolean;
}

/**
 * Runs one scenario with and without correction at the same mean output power. Learns on one record, picks the pass on
 * a second, reads all figures from a third. Faults of the input come back as issues, all at once; doubts as warnings.
 */
export function runScenario(input: unknown, options: RunOptions = {}): RunOutcome {
  return runWithFaults(input, options, {});
}

/** For tests: the same run with mistakes put in. */
export function runWithFaults(input: unknown, options: RunOptions, faults: RunFaults): RunOutcome {
  const checked = checkScenario(input, options.memory?.records);
  if (checked.kind === 'invalid') return checked;
  return runSetup(checked.setup, options, faults);
}

/** Shares of the run's time at which each stage begins, as measured on the ready-made scenarios. */
const STAGE_START: Readonly<Record<Progress['stage'], number>> = {
  waveform: 0,
  amplifier: 0.3,
  learning: 0.35,
  measurement: 0.8,
};

/** The same for a scenario already checked. */
export function runSetup(checked: Setup, options: RunOptions, faults: RunFaults): RunOutcome {
  const tell = (stage: Progress['stage'], label: string, within = 0) =>
    options.onProgress?.({ stage, label, doneRatio: STAGE_START[stage] + within });
  tell('waveform', 'Generating records');
  const records = makeRecords(checked, options.memory ?? createRunMemory(), faults);
  const waveform = records.judging.waveform;
  tell('amplifier', 'Levelling the uncorrected drive');
  const levelled = driveUncorrected(checked, waveform);
  if ('rule' in levelled) return { kind: 'invalid', issues: [levelled] };
  const { setup, uncorrected } = alignAmplifier(checked, levelled);
  const ideal = driveIdealLimiter(setup, waveform);
  const { predistorter } = setup.scenario;
  const passCount = predistorter === null ? 1 : passCountOf(predistorter);
  const linearization = linearize(setup, records, uncorrected, faults, (pass) =>
    tell(
      'learning',
      `Learning, pass ${pass + 1} of ${passCount}`,
      ((STAGE_START.measurement - STAGE_START.learning) * pass) / passCount,
    ),
  );
  tell('measurement', 'Reading figures');
  const bestDrive = options.withoutBestDrive ? null : readBestDrive(setup, records, uncorrected, faults);
  const report = writeReport({ setup, records, uncorrected, ideal, linearization, bestDrive });
  return { kind: 'report', report };
}
