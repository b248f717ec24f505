// The page's way to the engine. Two workers, so that a long run of the full record never holds up the short ones that
// follow a slider. Outcomes of short records may arrive out of order: the caller numbers its requests.
import { transfer, wrap } from 'comlink';
import { Lane, type RunRequest, type StartWorker, type WorkerHandle } from './lane.ts';
import type { ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';
import type { RecordApi, RecordFacts, RecordOutcome, RecordSource } from './recordProtocol.ts';
import { pageRecords, type RecordShelf } from './recordShelf.ts';

export type { ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';
export type { RecordFacts, RecordSource } from './recordProtocol.ts';

/** Starts the built worker. */
export function startEngineWorker(): WorkerHandle {
  const worker = new Worker(new URL('./entry.ts', import.meta.url), { type: 'module', name: 'kneepoint-engine' });
  return {
    endpoint: worker,
    onFault(callback) {
      worker.addEventListener('error', (event) => callback(event.message || 'the worker could not be loaded'));
    },
    terminate: () => worker.terminate(),
  };
}

export type SupplyOutcome =
  | { readonly kind: 'record'; readonly facts: RecordFacts }
  | Extract<RecordOutcome, { kind: 'invalid' }>;

export class EngineClient {
  readonly #start: StartWorker;
  readonly #records: RecordShelf;
  readonly #lanes: Readonly<Record<RunDetail, Lane>>;

  constructor(start: StartWorker = startEngineWorker, records: RecordShelf = pageRecords) {
    this.#start = start;
    this.#records = records;
    this.#lanes = { coarse: new Lane(start, records), full: new Lane(start, records) };
  }

  /**
   * Reads a record from its files in a worker of its own and keeps it for the runs and studies that name it, on every
   * worker of this page. The bytes are transferred. Rejects when the worker fails.
   */
  async supplyRecord(source: RecordSource): Promise<SupplyOutcome> {
    const outcome = await this.#readRecord(source);
    if (outcome.kind === 'invalid') return outcome;
    this.#records.add(outcome.record);
    return { kind: 'record', facts: outcome.facts };
  }

  #readRecord(source: RecordSource): Promise<RecordOutcome> {
    const handle = this.#start();
    const remote = wrap<RecordApi>(handle.endpoint);
    return new Promise<RecordOutcome>((resolve, reject) => {
      handle.onFault((message) => reject(new Error(message)));
      remote.readRecord(transfer(source, [source.data.buffer])).then(resolve, reject);
    }).finally(() => handle.terminate());
  }

  /** Whether a run of this detail is being computed. */
  isBusy(detail: RunDetail): boolean {
    return this.#lanes[detail].isBusy;
  }

  /**
   * Runs a scenario. Resolves with null when a newer request of the same detail took its place before it began, or when
   * it was cancelled; rejects when the engine fails in a way that is not the user's.
   */
  run(input: unknown, detail: RunDetail, onProgress?: ProgressCallback): Promise<RunOutcome | null> {
    const request: RunRequest = onProgress === undefined ? { input, detail } : { input, detail, onProgress };
    return this.#laneFor(detail).request(request);
  }

  /** While a slider moves no full run is under way, so both workers follow it. */
  #laneFor(detail: RunDetail): Lane {
    const { coarse, full } = this.#lanes;
    return detail === 'full' || (coarse.isBusy && !full.isBusy) ? full : coarse;
  }

  /** Gives up what waits; what runs is finished. */
  dropWaiting(detail: RunDetail): void {
    this.#lanes[detail].dropWaiting();
  }

  /** Ends the workers at once; all open requests resolve with null. */
  cancel(): void {
    this.#lanes.coarse.cancel();
    this.#lanes.full.cancel();
  }
}
