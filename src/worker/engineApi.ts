// The worker's answer to a request: engine in, transferable outcome out. Apart from the entry, so that it can be tested
// over a MessageChannel.
import { type ProxyMarked, releaseProxy, transfer } from 'comlink';
import type { EngineApi, ProgressCallback, RunDetail, RunOutcome } from './protocol.ts';
import { KeptRecords } from './recordApi.ts';
import type { KeptRecord } from './recordProtocol.ts';

/** The parts of the engine's interface that the worker calls. */
export interface Engine<Memory> {
  runScenario(
    input: unknown,
    options: { onProgress: ProgressCallback; memory: Memory; withoutBestDrive: boolean },
  ): RunOutcome;
  createRunMemory(records: ReadonlyMap<string, KeptRecord>): Memory;
  coarseScenario(input: unknown, records: ReadonlyMap<string, KeptRecord>): unknown;
}

/** Progress is sent when it has moved by this share of the run, or when its label changes. */
const PROGRESS_STEP = 0.01;

/** A memory that lives as long as the worker, or until a record that it may hold something of is replaced. */
export function lastingMemory<Memory>(
  create: (records: ReadonlyMap<string, KeptRecord>) => Memory,
  kept: KeptRecords,
): () => Memory {
  let memory = create(kept.byName);
  let madeAt = kept.replacedCount;
  return () => {
    if (kept.replacedCount !== madeAt) {
      memory = create(kept.byName);
      madeAt = kept.replacedCount;
    }
    return memory;
  };
}

/** Wraps an engine for exposure. */
export function createEngineApi<Memory>(engine: Engine<Memory>, kept: KeptRecords = new KeptRecords()): EngineApi {
  const memory = lastingMemory((records) => engine.createRunMemory(records), kept);
  return {
    async run(input: unknown, detail: RunDetail, onProgress: (ProgressCallback & ProxyMarked) | null) {
      try {
        const scenario = detail === 'coarse' ? engine.coarseScenario(input, kept.byName) : input;
        // A picture that follows a slider does not wait for the best drive.
        const withoutBestDrive = detail === 'coarse';
        const outcome = engine.runScenario(scenario, {
          memory: memory(),
          onProgress: thinOut(onProgress),
          withoutBestDrive,
        });
        return transfer(outcome, buffersOf(outcome));
      } finally {
        // Comlink adds the symbol to the proxy it makes of the callback; the type of a local function lacks it.
        (onProgress as { [releaseProxy]?: () => void } | null)?.[releaseProxy]?.();
      }
    },
  };
}

function thinOut(onProgress: ProgressCallback | null): ProgressCallback {
  let sentRatio = Number.NEGATIVE_INFINITY;
  let sentLabel = '';
  return (progress) => {
    if (onProgress === null) return;
    if (progress.label === sentLabel && progress.doneRatio - sentRatio < PROGRESS_STEP) return;
    sentRatio = progress.doneRatio;
    sentLabel = progress.label;
    onProgress(progress);
  };
}

/** Every array buffer reachable from plain data, each once: arrays may be shared between traces. */
export function buffersOf(data: unknown): ArrayBuffer[] {
  const found = new Set<ArrayBuffer>();
  collectBuffers(data, found);
  return [...found];
}

function collectBuffers(data: unknown, found: Set<ArrayBuffer>): void {
  if (typeof data !== 'object' || data === null) return;
  if (ArrayBuffer.isView(data)) {
    if (data.buffer instanceof ArrayBuffer) found.add(data.buffer);
    return;
  }
  for (const value of Object.values(data)) collectBuffers(value, found);
}
