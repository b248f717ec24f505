// The page's way to the engine. Two workers, so that a long run of the full record never holds up the short ones that
// follow a slider. Outcomes of short records may arrive out of order: the caller numbers its requests.
import { Lane, type RunRequest, type StartWorker, type WorkerHandle } from './lane.ts';
import type { ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';

export type { ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';

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

export class EngineClient {
  readonly #lanes: Readonly<Record<RunDetail, Lane>>;

  constructor(start: StartWorker = startEngineWorker) {
    this.#lanes = { coarse: new Lane(start), full: new Lane(start) };
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
