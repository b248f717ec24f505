// `kneepoint ladder`, `shape`, `map`, `ask`, `spread`, `tones`, `burst`: the studies.
import { toJson } from '../../../shared/reports/json.ts';
import { studyFloors } from '../../../shared/reports/studyFloors.ts';
import type { QuestionKind } from '../../../shared/schema/study.ts';
import type { RecordStore, StudyReport } from '../../engine/index.ts';
import { readStudy } from '../input/study.ts';
import { studyProgressLine, tellNotes, tellWarnings } from '../output/messages.ts';
import { writeStudyFolder } from '../output/studyFolder.ts';
import { studyText } from '../output/studyText.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';
import { type DriveOutcome, driveStudy } from '../study/driveStudy.ts';
import { missedLimits } from '../study/missedLimits.ts';
import { NO_STORE, openStore, type ResultStore } from '../study/resultStore.ts';
import { defaultWorkerCount, startTaskRunner } from '../study/taskRunner.ts';

/** Options that all studies share. */
export interface StudyOptions {
  readonly set: readonly string[];
  /** A limit set in place of the scenario's limits. */
  readonly limits?: string;
  readonly workers?: number;
  readonly store?: string;
  readonly json?: true;
  readonly out?: string;
  readonly failOnLimit?: true;
}

/** `changes`: fields of the question that options replace. */
export async function runStudy(
  session: Session,
  kind: QuestionKind,
  name: string,
  options: StudyOptions,
  changes: Readonly<Record<string, unknown>>,
): Promise<ExitCode> {
  const workerCount = options.workers ?? defaultWorkerCount();
  if (workerCount < 1) throw unusable('--workers', 'must be at least 1', String(workerCount), 'leave it out');
  const source = readStudy(session, kind, name, options.set, changes, options.limits);
  tellNotes(session, source.notes);
  const store = options.store === undefined ? NO_STORE : openStore(session, options.store);
  tellNotes(session, store.notes);
  const outcome = await driveWithProgress(session, source, store, workerCount);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  const { report } = outcome;
  const floors = studyFloors(outcome.known.values());
  if (options.out !== undefined) writeStudyFolder(session, options.out, report, floors);
  session.stdout(options.json ? toJson(report) : studyText(report, floors));
  tellWarnings(session, report.warnings);
  tellRuns(session, outcome, options);
  return report.complete ? judge(session, report, options) : EXIT.interrupted;
}

/** Runs a study of any kind; also what the claim card's spread comes from. */
export async function driveWithProgress(
  session: Session,
  { input, records }: { readonly input: unknown; readonly records: RecordStore },
  store: ResultStore,
  workerCount: number,
): Promise<DriveOutcome> {
  const progress = studyProgressLine(session);
  try {
    return await driveStudy(input, {
      store,
      records,
      startRunner: () => startTaskRunner(workerCount, records),
      onProgress: progress.onProgress,
      untilInterrupted: session.untilInterrupted,
    });
  } finally {
    progress.clear();
  }
}

function tellRuns(session: Session, outcome: Extract<DriveOutcome, { kind: 'report' }>, options: StudyOptions): void {
  const { ranCount, known, report } = outcome;
  const stored = options.store === undefined ? '' : `, ${known.size - ranCount} taken from ${options.store}`;
  session.stderr(`${ranCount} runs made${stored}\n`);
  if (report.complete) return;
  const resume =
    options.store === undefined
      ? 'with --store FILE a study can go on where it was'
      : 'the same command goes on from here';
  session.stderr(`interrupted with ${report.doneCount} of ${report.neededCount} runs done; ${resume}\n`);
}

function judge(session: Session, report: StudyReport, options: StudyOptions): ExitCode {
  const missed = options.failOnLimit === true ? missedLimits(report) : null;
  if (missed === null) return EXIT.result;
  session.stderr(`exit 1: ${missed}\n`);
  return EXIT.limitMissed;
}
