// One worker that does one call at a time. Started with the first call, again after it was stopped or has failed.
import { type Remote, wrap } from 'comlink';
import type { StartWorker, WorkerHandle } from './lane.ts';
import type { RecordApi } from './recordProtocol.ts';
import { type GivenRecords, pageRecords, type RecordShelf } from './recordShelf.ts';
import type { StudyApi } from './studyProtocol.ts';

interface Open {
  readonly settle: (finish: () => void) => void;
  readonly resolve: (value: null) => void;
  readonly reject: (error: Error) => void;
}

export class Station {
  readonly #start: StartWorker;
  readonly #records: RecordShelf;
  #handle: WorkerHandle | null = null;
  #remote: Remote<StudyApi & RecordApi> | null = null;
  #given: GivenRecords = new Map();
  #open: Open | null = null;
  /** Counts the workers started: a caller that keeps state in its worker learns when that is lost. */
  #generation = 0;

  constructor(start: StartWorker, records: RecordShelf = pageRecords) {
    this.#start = start;
    this.#records = records;
  }

  get isBusy(): boolean {
    return this.#open !== null;
  }

  get generation(): number {
    return this.#generation;
  }

  /** Starts the worker if there is none. */
  ready(): void {
    if (this.#handle === null) this.#startWorker();
  }

  /**
   * Resolves with the answer, or with null when stopped; rejects when the worker fails. One call at a time. Records that
   * the scenario names are given to the worker first.
   */
  call<Answer>(scenario: unknown, ask: (remote: Remote<StudyApi>) => Promise<Answer>): Promise<Answer | null> {
    if (this.#open !== null) throw new RangeError('Station.call: the worker is busy');
    const remote = this.#remote ?? this.#startWorker();
    return new Promise((resolve, reject) => {
      const open: Open = {
        settle: (finish) => {
          if (this.#open !== open) return;
          this.#open = null;
          finish();
        },
        resolve,
        reject,
      };
      this.#open = open;
      const kept = this.#records.take(scenario, this.#given).map((record) => remote.keepRecord(record));
      const asked = Promise.all([ask(remote), ...kept]).then(([answer]) => answer);
      asked.then(
        (answer) => open.settle(() => resolve(answer)),
        (error: unknown) => open.settle(() => reject(error instanceof Error ? error : new Error(String(error)))),
      );
    });
  }

  /** Ends the worker at once; an open call resolves with null. */
  stop(): void {
    const open = this.#open;
    this.#end();
    open?.resolve(null);
  }

  #end(): void {
    this.#handle?.terminate();
    this.#handle = null;
    this.#remote = null;
    this.#open = null;
  }

  #startWorker(): Remote<StudyApi & RecordApi> {
    const handle = this.#start();
    handle.onFault((message) => {
      if (this.#handle !== handle) return;
      const open = this.#open;
      this.#end();
      open?.reject(new Error(message));
    });
    this.#handle = handle;
    this.#remote = wrap<StudyApi & RecordApi>(handle.endpoint);
    this.#given = new Map();
    this.#generation++;
    return this.#remote;
  }
}
