// Everything the questions show, in one plain object.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Question, QuestionKind } from '../../../shared/schema/study.ts';
import type { StudyReport } from '../../../shared/schema/studyReport.ts';
import type { StudyProgress } from '../../worker/studyClient.ts';

export type Questions = { readonly [Kind in QuestionKind]: Extract<Question, { kind: Kind }> };

export interface StudyState {
  readonly kind: QuestionKind;
  readonly questions: Questions;
  /** The last report of each question; it stays until a newer one can say something. */
  readonly reports: Partial<Readonly<Record<QuestionKind, StudyReport>>>;
  /** The report shown answers an earlier scenario: of the present one nothing is known yet. */
  readonly isStale: boolean;
  /** Question or scenario have changed, and what is known of them has not been heard yet. */
  readonly isAwaited: boolean;
  readonly issues: readonly Issue[];
  /** Runs are under way, or follow as soon as a change has settled. */
  readonly isRunning: boolean;
  /** Of the present scenario and question; null until the first evaluation. */
  readonly progress: StudyProgress | null;
  /** An internal fault of the engine, in its own words. */
  readonly fault: string | null;
}
