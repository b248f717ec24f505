// Where the runs of a study happen: a pool of worker threads, or this thread when the program is not built.
import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { setImmediate } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { Tinypool } from 'tinypool';
import { createRunMemory, type RecordStore, runTask, type StudyTask, type TaskOutcome } from '../../engine/index.ts';

export interface TaskRunner {
  readonly workerCount: number;
  readonly run: (task: StudyTask) => Promise<TaskOutcome>;
  /** Ends at once; runs in flight are lost. */
  readonly close: () => Promise<void>;
}

/** One worker a core, less one for everything else; at least one. */
export function defaultWorkerCount(): number {
  return Math.max(1, availableParallelism() - 1);
}

/** What `src/cli/studyWorker.ts` is in a build, beside the program. */
const WORKER_FILE = 'studyWorker.js';

/** Starts the workers, each with the records that scenarios name. Results do not depend on their number. */
export function startTaskRunner(workerCount: number, records: RecordStore): TaskRunner {
  const file = fileURLToPath(new URL(WORKER_FILE, import.meta.url));
  // Run from its sources the program has no worker file, which only a build makes.
  return existsSync(file) ? poolRunner(file, workerCount, records) : inlineRunner(records);
}

function poolRunner(file: string, workerCount: number, records: RecordStore): TaskRunner {
  const pool = new Tinypool({
    filename: file,
    minThreads: workerCount,
    maxThreads: workerCount,
    isolateWorkers: false,
    concurrentTasksPerWorker: 1,
    workerData: records,
  });
  return {
    workerCount,
    run: (task) => pool.run(task) as Promise<TaskOutcome>,
    close: () => pool.destroy(),
  };
}

/** One run after the other, with room for signals in between. */
function inlineRunner(records: RecordStore): TaskRunner {
  const memory = createRunMemory(records);
  let line: Promise<unknown> = Promise.resolve();
  let isClosed = false;
  return {
    workerCount: 1,
    run: (task) => {
      const turn = line.then(async () => {
        await setImmediate();
        if (isClosed) throw new Error('closed');
        return runTask(task, memory);
      });
      line = turn.catch(() => undefined);
      return turn;
    },
    close: async () => {
      isClosed = true;
    },
  };
}
