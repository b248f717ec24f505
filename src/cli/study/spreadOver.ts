// The spread of a scenario's readings over seeds, for a claim.
import type { SpreadResult } from '../../../shared/schema/studyReport.ts';
import type { RecordStore, Scenario } from '../../engine/index.ts';
import { studyProgressLine } from '../output/messages.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { driveStudy } from './driveStudy.ts';
import { NO_STORE } from './resultStore.ts';
import { defaultWorkerCount, startTaskRunner } from './taskRunner.ts';

/** Runs the scenario with as many seed sets, its own among them. */
export async function spreadOver(
  session: Session,
  scenario: Scenario,
  seedCount: number,
  records: RecordStore,
): Promise<SpreadResult> {
  const progress = studyProgressLine(session);
  const study = { scenario, question: { kind: 'spread', seedCount, unitCount: 0 } };
  try {
    const outcome = await driveStudy(study, {
      store: NO_STORE,
      records,
      startRunner: () => startTaskRunner(defaultWorkerCount(), records),
      onProgress: progress.onProgress,
      untilInterrupted: session.untilInterrupted,
    });
    if (outcome.kind === 'invalid') throw new UnusableInput('the spread', outcome.issues);
    const { result, complete } = outcome.report;
    if (!complete || result.kind !== 'spread') {
      throw unusable('the spread', 'must be complete for a claim', 'an interruption', 'run the command again');
    }
    return result;
  } finally {
    progress.clear();
  }
}
