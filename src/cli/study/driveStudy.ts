// Runs what a study needs until nothing is pending or the user interrupts. It goes in rounds: all pending runs, then the
// next evaluation. Each round therefore knows the same outcomes whatever the number of workers, so that the same runs
// are made and the store holds the same lines.
import { performance } from 'node:perf_hooks';
import type { Issue, RecordStore, StudyReport, StudyTask, TaskOutcome } from '../../engine/index.ts';
import { evaluateStudy } from '../../engine/index.ts';
import type { ResultStore } from './resultStore.ts';
import type { TaskRunner } from './taskRunner.ts';

export interface StudyProgress {
  readonly doneCount: number;
  /** Runs known to be needed so far; root searches add to it. */
  readonly neededCount: number;
  /** From the mean time of the runs so far; null before the first has ended. */
  readonly timeLeftS: number | null;
}

export interface DriveOptions {
  readonly store: ResultStore;
  /** What the study's scenario names. */
  readonly records?: RecordStore;
  /** Called when there is something to run. */
  readonly startRunner: () => TaskRunner;
  readonly onProgress: (progress: StudyProgress) => void;
  /** Resolves when the study is to end early. */
  readonly untilInterrupted: () => Promise<void>;
}

export type DriveOutcome =
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] }
  | {
      readonly kind: 'report';
      readonly report: StudyReport;
      /** Outcomes that the study asked for. */
      readonly known: ReadonlyMap<string, TaskOutcome>;
      /** Runs made now, not taken from the store. */
      readonly ranCount: number;
    };

export async function driveStudy(study: unknown, options: DriveOptions): Promise<DriveOutcome> {
  const state = { known: new Map<string, TaskOutcome>(), ranCount: 0, isInterrupted: false };
  let runner: TaskRunner | null = null;
  let interruption: Promise<void> | null = null;
  try {
    for (;;) {
      const evaluation = evaluateStudy(study, state.known, options.records);
      if (evaluation.kind === 'invalid') return evaluation;
      const { report, pending } = evaluation;
      if (pending.length === 0 || state.isInterrupted) return { kind: 'report', report, ...state };
      const missing = takeStored(pending, options.store, state.known);
      if (missing.length === 0) continue;
      runner ??= options.startRunner();
      interruption ??= options.untilInterrupted();
      await runRound(missing, report.neededCount, { state, runner, interruption, options });
    }
  } finally {
    await runner?.close();
  }
}

/** Puts in what the store knows; what is left has to be run. */
function takeStored(pending: readonly StudyTask[], store: ResultStore, known: Map<string, TaskOutcome>): StudyTask[] {
  return pending.filter(({ key }) => {
    const stored = store.outcomeOf(key);
    if (stored !== null) known.set(key, stored);
    return stored === null;
  });
}

interface Round {
  readonly state: { readonly known: Map<string, TaskOutcome>; ranCount: number; isInterrupted: boolean };
  readonly runner: TaskRunner;
  readonly interruption: Promise<void>;
  readonly options: DriveOptions;
}

/** Runs all tasks, or those that end before the interruption. */
async function runRound(tasks: readonly StudyTask[], neededCount: number, round: Round): Promise<void> {
  const { state, runner, interruption, options } = round;
  const startedS = performance.now() / 1000;
  let endedCount = 0;
  const tell = () => {
    const elapsedS = performance.now() / 1000 - startedS;
    const timeLeftS = endedCount === 0 ? null : ((tasks.length - endedCount) * elapsedS) / endedCount;
    options.onProgress({ doneCount: neededCount - tasks.length + endedCount, neededCount, timeLeftS });
  };
  tell();
  const runs = tasks.map(async (task) => {
    const outcome = await runner.run(task);
    if (state.isInterrupted) return;
    state.known.set(task.key, outcome);
    options.store.add(task.key, outcome);
    state.ranCount++;
    endedCount++;
    tell();
  });
  const all = Promise.all(runs);
  // After an interruption the runs in flight are refused, and nobody waits for them.
  all.catch(() => undefined);
  const how = await Promise.race([all.then(() => 'done'), interruption.then(() => 'interrupted')]);
  state.isInterrupted = how === 'interrupted';
}
