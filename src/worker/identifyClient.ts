// The page's end of identifying an amplifier: a worker of its own for each request, ended when it is done or stopped.
import { proxy, transfer, wrap } from 'comlink';
import { startEngineWorker } from './client.ts';
import type {
  IdentifyAnswer,
  IdentifyApi,
  IdentifyProgressCallback,
  IdentifyRequest,
  RecordPairSource,
} from './identifyProtocol.ts';
import type { StartWorker, WorkerHandle } from './lane.ts';

export type {
  IdentifyAnswer,
  IdentifyProgress,
  IdentifyProgressCallback,
  IdentifyRequest,
  RecordPairSource,
} from './identifyProtocol.ts';

export class IdentifyClient {
  readonly #start: StartWorker;
  #running: { readonly handle: WorkerHandle; readonly resolve: (answer: null) => void } | null = null;

  constructor(start: StartWorker = startEngineWorker) {
    this.#start = start;
  }

  /**
   * Identifies from files. The bytes are transferred. Resolves with null when it was stopped or a newer request took its
   * place; rejects when the worker fails.
   */
  identify(request: IdentifyRequest, onProgress: IdentifyProgressCallback): Promise<IdentifyAnswer | null> {
    this.stop();
    const handle = this.#start();
    const remote = wrap<IdentifyApi>(handle.endpoint);
    const answer = new Promise<IdentifyAnswer | null>((resolve, reject) => {
      this.#running = { handle, resolve };
      handle.onFault((message) => reject(new Error(message)));
      remote.identify(transfer(request, buffersOf(request)), proxy(onProgress)).then(resolve, reject);
    });
    return answer.finally(() => {
      if (this.#running?.handle !== handle) return;
      this.#running = null;
      handle.terminate();
    });
  }

  /** Ends what is under way; its promise resolves with null. */
  stop(): void {
    const running = this.#running;
    this.#running = null;
    running?.handle.terminate();
    running?.resolve(null);
  }
}

function buffersOf({ drive, observed, validation }: IdentifyRequest): ArrayBuffer[] {
  const pairs: RecordPairSource[] = [{ drive, observed }, ...(validation === null ? [] : [validation])];
  return pairs.flatMap((pair) => [pair.drive.data.buffer, pair.observed.data.buffer]);
}
