// What the page and a worker say to each other about studies. Everything is plain data, copied across the thread.
import type { Issue } from '../../shared/schema/issue.ts';
import type { StudyReport, StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';

/** As the engine answers. */
export type StudyEvaluation =
  | { readonly kind: 'evaluated'; readonly report: StudyReport; readonly pending: readonly StudyTask[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export type KnownOutcome = readonly [key: string, outcome: TaskOutcome];

/** The worker's side of the conversation, as Comlink exposes it. */
export interface StudyApi {
  /** Runs one scenario of a study. */
  runTask(task: StudyTask): Promise<TaskOutcome>;
  /**
   * What a study can say of the outcomes known so far, and which runs it still needs. The worker keeps the outcomes it
   * was given; `fresh` holds those it has not seen yet.
   */
  evaluateStudy(study: unknown, fresh: readonly KnownOutcome[]): Promise<StudyEvaluation>;
}
