// A worker thread of the pool: runs one scenario of a study at a time and keeps its waveforms for the next.
import { Tinypool } from 'tinypool';
import { createRunMemory, type RecordStore, runTask, type StudyTask, type TaskOutcome } from '../engine/index.ts';

// What `src/cli/study/taskRunner.ts` hands to every worker.
const records: RecordStore = Tinypool.workerData;
const memory = createRunMemory(records);

export default function runInWorker(task: StudyTask): TaskOutcome {
  return runTask(task, memory);
}
