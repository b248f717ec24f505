// One worker with a waiting place for one request. Latest wins: a newer request takes the waiting place; what already
// runs is finished and delivered, because it is newer than what the page shows.
import { type Endpoint, proxy, type Remote, wrap } from 'comlink';
import type { EngineApi, ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';
import type { RecordApi } from './recordProtocol.ts';
import { type GivenRecords, pageRecords, type RecordShelf } from './recordShelf.ts';

/** A started worker, or one end of a channel in a test. */
export interface WorkerHandle {
  readonly endpoint: Endpoint;
  /** Calls back when the worker cannot be loaded or dies of an uncaught error. */
  onFault(callback: (message: string) => void): void;
  terminate(): void;
}
export type StartWorker = () => WorkerHandle;

export interface RunRequest {
  readonly input: unknown;
  readonly detail: RunDetail;
  readonly onProgress?: ProgressCallback;
}

interface Job {
  readonly request: RunRequest;
  readonly resolve: (outcome: RunOutcome | null) => void;
  readonly reject: (error: Error) => void;
}

interface Started {
  readonly handle: WorkerHandle;
  readonly remote: Remote<EngineApi & RecordApi>;
  readonly given: GivenRecords;
}

export class Lane {
  readonly #start: StartWorker;
  readonly #records: RecordShelf;
  #started: Started | null = null;
  #running: Job | null = null;
  #waiting: Job | null = null;

  constructor(start: StartWorker, records: RecordShelf = pageRecords) {
    this.#start = start;
    this.#records = records;
  }

  get isBusy(): boolean {
    return this.#running !== null;
  }

  /** Resolves with the outcome, or with null when the request was overtaken or cancelled. Rejects on an internal fault. */
  request(request: RunRequest): Promise<RunOutcome | null> {
    return new Promise((resolve, reject) => {
      this.dropWaiting();
      this.#waiting = { request, resolve, reject };
      this.#pump();
    });
  }

  /** Gives up the request that has not begun. */
  dropWaiting(): void {
    this.#waiting?.resolve(null);
    this.#waiting = null;
  }

  /** Stops at once: ends the worker; the next request starts another. */
  cancel(): void {
    this.dropWaiting();
    const job = this.#running;
    this.#stopWorker();
    job?.resolve(null);
  }

  #stopWorker(): void {
    this.#started?.handle.terminate();
    this.#started = null;
    this.#running = null;
  }

  #pump(): void {
    if (this.#running !== null || this.#waiting === null) return;
    const job = this.#waiting;
    this.#waiting = null;
    this.#running = job;
    this.#started ??= this.#startWorker();
    this.#ask(job, this.#started).then(
      (outcome) => this.#settle(job, () => job.resolve(outcome)),
      (error: unknown) =>
        this.#settle(job, () => job.reject(error instanceof Error ? error : new Error(String(error)))),
    );
  }

  /** Records first: the worker takes messages in their order. */
  async #ask(job: Job, { remote, given }: Started): Promise<RunOutcome> {
    const { input, detail, onProgress } = job.request;
    const kept = this.#records.take(input, given).map((record) => remote.keepRecord(record));
    const callback = onProgress === undefined ? null : proxy(this.#onlyWhileRunning(job, onProgress));
    const [outcome] = await Promise.all([remote.run(input, detail, callback), ...kept]);
    return outcome;
  }

  #onlyWhileRunning(job: Job, onProgress: ProgressCallback): ProgressCallback {
    return (progress) => {
      if (this.#running === job) onProgress(progress);
    };
  }

  #settle(job: Job, finish: () => void): void {
    if (this.#running !== job) return;
    this.#running = null;
    finish();
    this.#pump();
  }

  #startWorker(): Started {
    const handle = this.#start();
    handle.onFault((message) => {
      if (this.#started?.handle !== handle) return;
      const job = this.#running;
      this.#stopWorker();
      job?.reject(new Error(message));
      this.#pump();
    });
    return { handle, remote: wrap<EngineApi & RecordApi>(handle.endpoint), given: new Map() };
  }
}
