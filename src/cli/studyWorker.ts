// A worker thread of the pool: runs one scenario of a study at a time and keeps its waveforms for the next.
import { createRunMemory, runTask, type StudyTask, type TaskOutcome } from '../engine/index.ts';

const memory = createRunMemory();

export default function runInWorker(task: StudyTask): TaskOutcome {
  return runTask(task, memory);
}
