// The worker's answers about studies. Apart from the entry, so that they can be tested over a MessageChannel.
import type { StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';
import { lastingMemory } from './engineApi.ts';
import { KeptRecords } from './recordApi.ts';
import type { KeptRecord } from './recordProtocol.ts';
import type { KnownOutcome, StudyApi, StudyEvaluation } from './studyProtocol.ts';

/** The parts of the engine's interface that studies call. */
export interface StudyEngine<Memory> {
  runTask(task: StudyTask, memory: Memory): TaskOutcome;
  createRunMemory(records: ReadonlyMap<string, KeptRecord>): Memory;
  evaluateStudy(
    study: unknown,
    known: ReadonlyMap<string, TaskOutcome>,
    records: ReadonlyMap<string, KeptRecord>,
  ): StudyEvaluation;
}

/** Wraps an engine for exposure; memory and known outcomes live as long as the worker. */
export function createStudyApi<Memory>(engine: StudyEngine<Memory>, kept: KeptRecords = new KeptRecords()): StudyApi {
  const memory = lastingMemory((records) => engine.createRunMemory(records), kept);
  const known = new Map<string, TaskOutcome>();
  return {
    async runTask(task: StudyTask) {
      return engine.runTask(task, memory());
    },
    async evaluateStudy(study: unknown, fresh: readonly KnownOutcome[]) {
      for (const [key, outcome] of fresh) known.set(key, outcome);
      return engine.evaluateStudy(study, known, kept.byName);
    },
  };
}
