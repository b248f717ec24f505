// Both ends of the conversation in one process, over a MessageChannel. What a real worker adds is a thread.
import { expose, proxy } from 'comlink';
import { afterEach, describe, expect, test } from 'vitest';
import type { Progress } from '../../shared/schema/report.ts';
import { EngineClient } from '../../src/worker/client.ts';
import { createEngineApi, type Engine } from '../../src/worker/engineApi.ts';
import type { WorkerHandle } from '../../src/worker/lane.ts';
import type { EngineApi, RunOutcome } from '../../src/worker/protocol.ts';

const open: MessagePort[] = [];
afterEach(() => {
  for (const port of open.splice(0)) port.close();
});

interface Started {
  readonly handle: WorkerHandle;
  isTerminated: boolean;
  fault: (message: string) => void;
}

/** Starts the same service as a worker would, and keeps what was started. */
function stage(createApi: () => EngineApi): { start: () => WorkerHandle; started: Started[] } {
  const started: Started[] = [];
  const start = () => {
    const { port1, port2 } = new MessageChannel();
    open.push(port1, port2);
    expose(createApi(), port1);
    const record: Started = { handle: null as never, isTerminated: false, fault: () => {} };
    const handle: WorkerHandle = {
      endpoint: port2,
      onFault: (callback) => {
        record.fault = callback;
      },
      terminate: () => {
        record.isTerminated = true;
        port1.close();
      },
    };
    started.push(Object.assign(record, { handle }));
    return handle;
  };
  return { start, started };
}

const outcomeOf = (answer: string): RunOutcome => ({ kind: 'report', report: { answer } as never });

/** A service whose runs end when the test says so. */
function heldApi() {
  const runs: { input: unknown; detail: string; finish: (outcome: RunOutcome) => void }[] = [];
  const api: EngineApi = {
    run: (input, detail) => new Promise((finish) => runs.push({ input, detail, finish })),
  };
  return { api, runs };
}

const turn = () => new Promise((resolve) => setTimeout(resolve, 5));

async function until(condition: () => boolean): Promise<void> {
  for (let i = 0; i < 400; i++) {
    if (condition()) return;
    await turn();
  }
  throw new Error('until: the condition never came true');
}

describe('latest wins', () => {
  test('what runs is delivered, what waits is overtaken, the newest runs next', async () => {
    const { api, runs } = heldApi();
    const client = new EngineClient(stage(() => api).start);
    const first = client.run({ n: 1 }, 'full');
    await until(() => runs.length === 1);
    const second = client.run({ n: 2 }, 'full');
    const third = client.run({ n: 3 }, 'full');
    expect(await second).toBeNull();
    runs[0].finish(outcomeOf('first'));
    expect(await first).toEqual(outcomeOf('first'));
    await until(() => runs.length === 2);
    expect(runs[1].input).toEqual({ n: 3 });
    runs[1].finish(outcomeOf('third'));
    expect(await third).toEqual(outcomeOf('third'));
  });

  test('short records borrow the other worker while no full run is under way, and wait when one is', async () => {
    const { api, runs } = heldApi();
    const { start, started } = stage(() => api);
    const client = new EngineClient(start);
    void client.run({ n: 1 }, 'coarse');
    void client.run({ n: 2 }, 'coarse');
    await until(() => runs.length === 2);
    expect(started).toHaveLength(2);
    const third = client.run({ n: 3 }, 'coarse');
    const fourth = client.run({ n: 4 }, 'coarse');
    expect(await third).toBeNull();
    runs[0].finish(outcomeOf('a'));
    await until(() => runs.length === 3);
    expect(runs[2].input).toEqual({ n: 4 });
    runs[2].finish(outcomeOf('b'));
    expect(await fourth).toEqual(outcomeOf('b'));
  });

  test('a request given up before it began resolves with null', async () => {
    const { api, runs } = heldApi();
    const client = new EngineClient(stage(() => api).start);
    void client.run({ n: 1 }, 'full');
    await until(() => runs.length === 1);
    const waiting = client.run({ n: 2 }, 'full');
    client.dropWaiting('full');
    expect(await waiting).toBeNull();
    expect(client.isBusy('full')).toBe(true);
  });
});

describe('cancel', () => {
  test('ends both workers, resolves all requests with null, and the next request starts a new worker', async () => {
    const { api, runs } = heldApi();
    const { start, started } = stage(() => api);
    const client = new EngineClient(start);
    const full = client.run({ n: 1 }, 'full');
    const coarse = client.run({ n: 1 }, 'coarse');
    await until(() => runs.length === 2);
    client.cancel();
    expect(await Promise.all([full, coarse])).toEqual([null, null]);
    expect(started.map(({ isTerminated }) => isTerminated)).toEqual([true, true]);
    const next = client.run({ n: 2 }, 'full');
    await until(() => runs.length === 3);
    runs[2].finish(outcomeOf('after'));
    expect(await next).toEqual(outcomeOf('after'));
    expect(started).toHaveLength(3);
  });
});

describe('faults', () => {
  test('an engine that throws rejects with its message, and the worker goes on', async () => {
    let count = 0;
    const api: EngineApi = {
      run: async () => {
        count += 1;
        if (count === 1) throw new RangeError('leastSquares: 12 rows cannot determine 30 coefficients');
        return outcomeOf('well again');
      },
    };
    const client = new EngineClient(stage(() => api).start);
    await expect(client.run({}, 'full')).rejects.toThrow('12 rows cannot determine 30 coefficients');
    expect(await client.run({}, 'full')).toEqual(outcomeOf('well again'));
  });

  test('a worker that dies rejects what ran and is replaced', async () => {
    const { api, runs } = heldApi();
    const { start, started } = stage(() => api);
    const client = new EngineClient(start);
    const lost = client.run({ n: 1 }, 'full');
    await until(() => runs.length === 1);
    started[0].fault('the worker could not be loaded');
    await expect(lost).rejects.toThrow('the worker could not be loaded');
    const next = client.run({ n: 2 }, 'full');
    await until(() => runs.length === 2);
    runs[1].finish(outcomeOf('new worker'));
    expect(await next).toEqual(outcomeOf('new worker'));
  });
});

describe('the service in front of the engine', () => {
  const engine = (overrides: Partial<Engine<object>> = {}): Engine<object> => ({
    runScenario: (input) => outcomeOf(JSON.stringify(input)),
    createRunMemory: () => ({}),
    coarseScenario: (input) => ({ ...(input as object), isShort: true }),
    ...overrides,
  });

  test('a coarse run takes the engine’s short scenario, a full one takes the input', async () => {
    const client = new EngineClient(stage(() => createEngineApi(engine())).start);
    expect(await client.run({ n: 1 }, 'coarse')).toEqual(outcomeOf('{"n":1,"isShort":true}'));
    expect(await client.run({ n: 1 }, 'full')).toEqual(outcomeOf('{"n":1}'));
  });

  test('all runs of a worker share one memory', async () => {
    const seen: object[] = [];
    const client = new EngineClient(
      stage(() =>
        createEngineApi(
          engine({
            runScenario: (_input, { memory }) => {
              seen.push(memory);
              return outcomeOf('');
            },
          }),
        ),
      ).start,
    );
    await client.run({}, 'full');
    await client.run({}, 'full');
    expect(seen).toHaveLength(2);
    expect(seen[0]).toBe(seen[1]);
  });

  test('typed arrays arrive whole although two traces share one, and are moved, not copied', async () => {
    const axis = Float64Array.of(1, 2, 3);
    const level = Float64Array.of(4, 5, 6);
    const report = { traces: [{ axis, level }, { axis }] };
    const client = new EngineClient(
      stage(() => createEngineApi(engine({ runScenario: () => ({ kind: 'report', report: report as never }) }))).start,
    );
    const outcome = (await client.run({}, 'full')) as { report: unknown };
    expect(outcome.report).toEqual({
      traces: [{ axis: Float64Array.of(1, 2, 3), level: Float64Array.of(4, 5, 6) }, { axis: Float64Array.of(1, 2, 3) }],
    });
    // A transferred buffer is empty on the side that gave it away.
    expect(axis.length).toBe(0);
    expect(level.length).toBe(0);
  });

  test('progress is thinned to whole percents and changes of label', async () => {
    const api = createEngineApi(
      engine({
        runScenario: (_input, { onProgress }) => {
          for (let i = 0; i <= 1000; i++) onProgress({ stage: 'learning', label: 'Learning', doneRatio: i / 1000 });
          onProgress({ stage: 'measurement', label: 'Reading figures', doneRatio: 1 });
          return outcomeOf('');
        },
      }),
    );
    const seen: string[] = [];
    await api.run(
      {},
      'full',
      proxy(({ label, doneRatio }: Progress) => void seen.push(`${label} ${doneRatio}`)),
    );
    // At most one message a percent, and one for the new label.
    expect(seen.length).toBeGreaterThan(90);
    expect(seen.length).toBeLessThanOrEqual(102);
    expect(seen.at(-1)).toBe('Reading figures 1');
  });

  test('progress reaches the caller while the run is under way, and never after it', async () => {
    const { start } = stage(() => ({
      run: async (_input, _detail, onProgress) => {
        onProgress?.({ stage: 'waveform', label: 'Generating records', doneRatio: 0 });
        await turn();
        await turn();
        setTimeout(() => onProgress?.({ stage: 'measurement', label: 'late', doneRatio: 1 }), 10);
        return outcomeOf('');
      },
    }));
    const seen: string[] = [];
    await new EngineClient(start).run({}, 'full', ({ label }) => seen.push(label));
    await new Promise((resolve) => setTimeout(resolve, 40));
    expect(seen).toEqual(['Generating records']);
  });
});
