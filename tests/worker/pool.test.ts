// The pool for studies over MessageChannels in one process. What real workers add is threads.
import { expose } from 'comlink';
import { afterEach, describe, expect, test } from 'vitest';
import type { StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';
import { createRunMemory, evaluateStudy, runTask } from '../../src/engine/index.ts';
import type { WorkerHandle } from '../../src/worker/lane.ts';
import { createStudyApi } from '../../src/worker/studyApi.ts';
import { poolSize, StudyClient, type StudyUpdate } from '../../src/worker/studyClient.ts';
import type { StudyApi, StudyEvaluation } from '../../src/worker/studyProtocol.ts';

const open: MessagePort[] = [];
afterEach(() => {
  for (const port of open.splice(0)) port.close();
});

/** Starts a service as a worker would; `started` counts, `fault` is the last one's. */
function stage(createApi: () => StudyApi) {
  const seen = { started: 0, terminated: 0, faults: [] as ((message: string) => void)[] };
  const start = (): WorkerHandle => {
    const { port1, port2 } = new MessageChannel();
    open.push(port1, port2);
    expose(createApi(), port1);
    seen.started++;
    return {
      endpoint: port2,
      onFault: (callback) => {
        seen.faults.push(callback);
      },
      terminate: () => {
        seen.terminated++;
        port1.close();
      },
    };
  };
  return { start, seen };
}

const turn = () => new Promise((resolve) => setTimeout(resolve, 5));

async function until(condition: () => boolean): Promise<void> {
  for (let i = 0; i < 400; i++) {
    if (condition()) return;
    await turn();
  }
  throw new Error('until: the condition never came true');
}

const outcomeOf = (name: string): TaskOutcome => ({ kind: 'readings', readings: { name } as never, spectrum: null });
const taskOf = (key: string): StudyTask => ({ key, scenario: {} as never, wantsSpectrum: false });

/** A made-up study of these keys; the last is needed only when all others are known, as in a root search. */
function evaluateKeys(keys: readonly string[], known: ReadonlyMap<string, TaskOutcome>): StudyEvaluation {
  const first = keys.slice(0, -1);
  const needed = first.every((key) => known.has(key)) ? keys : first;
  const pending = needed.filter((key) => !known.has(key)).map(taskOf);
  const doneCount = needed.length - pending.length;
  const report = { doneCount, neededCount: needed.length, complete: pending.length === 0 };
  return { kind: 'evaluated', report: report as never, pending };
}

/** Runs that end when the test says so. */
function heldPool(workerCount: number) {
  const runs: { key: string; finish: (outcome: TaskOutcome) => void; fail: (error: Error) => void }[] = [];
  const staged = stage(() => {
    const known = new Map<string, TaskOutcome>();
    return {
      runTask: ({ key }) => new Promise((finish, fail) => runs.push({ key, finish, fail })),
      evaluateStudy: async (study, fresh) => {
        for (const [key, outcome] of fresh) known.set(key, outcome);
        return evaluateKeys(study as string[], known);
      },
    };
  });
  let nowS = 0;
  const client = new StudyClient(workerCount, staged.start, () => nowS);
  const finish = (key: string) => {
    const at = runs.findIndex((run) => run.key === key);
    expect(at, `${key} is under way`).toBeGreaterThanOrEqual(0);
    nowS += 2;
    runs.splice(at, 1)[0]!.finish(outcomeOf(key));
  };
  return { client, runs, finish, seen: staged.seen };
}

test('one worker per core less one, one at least', () => {
  expect([1, 2, 4, 16].map(poolSize)).toEqual([1, 1, 3, 15]);
});

describe('a study is run', () => {
  test('tasks are spread over the workers, the report is told after each, the search follows the grid', async () => {
    const { client, runs, finish } = heldPool(2);
    const updates: StudyUpdate[] = [];
    const end = client.run(['a', 'b', 'c', 'z'], (update) => updates.push(update));
    await until(() => runs.length === 2);
    expect(runs.map(({ key }) => key)).toEqual(['a', 'b']);
    expect(updates).toHaveLength(1);
    finish('b');
    await until(() => runs.length === 2);
    expect(runs.map(({ key }) => key)).toEqual(['a', 'c']);
    finish('a');
    await until(() => updates.length === 3);
    finish('c');
    await until(() => runs.length === 1);
    finish('z');
    expect(await end).toBe('complete');
    const counts = updates.map(({ progress }) => [progress.doneCount, progress.neededCount]);
    expect(counts).toEqual([
      [0, 3],
      [1, 3],
      [2, 3],
      [3, 4],
      [4, 4],
    ]);
    // The clock moves 2 s with each run that ends: two runs left after the first take 4 s more.
    expect(updates.map(({ progress }) => progress.timeLeftS)).toEqual([null, 4, 2, 2, 0]);
    expect([...client.known.keys()].sort()).toEqual(['a', 'b', 'c', 'z']);
  });

  test('stopping ends the workers at once and keeps what is done; resuming runs only the rest', async () => {
    const { client, runs, finish, seen } = heldPool(2);
    const end = client.run(['a', 'b', 'c', 'z'], () => {});
    await until(() => runs.length === 2);
    finish('a');
    await until(() => runs.length === 2);
    client.stop();
    expect(await end).toBe('stopped');
    expect(client.isRunning).toBe(false);
    // Two of the pool; the evaluating worker goes on.
    expect(seen.terminated).toBe(2);
    expect([...client.known.keys()]).toEqual(['a']);
    runs.length = 0;
    const second = client.run(['a', 'b', 'c', 'z'], () => {});
    await until(() => runs.length === 2);
    expect(runs.map(({ key }) => key)).toEqual(['b', 'c']);
    finish('b');
    finish('c');
    await until(() => runs.length === 1);
    finish('z');
    expect(await second).toBe('complete');
  });

  test('another study takes over the runs that both need', async () => {
    const { client, runs, finish, seen } = heldPool(1);
    const first = client.run(['a', 'z'], () => {});
    await until(() => runs.length === 1);
    const second = client.run(['a', 'b'], () => {});
    finish('a');
    expect(await first).toBe('stopped');
    await until(() => runs.length === 1);
    expect(runs[0]!.key).toBe('b');
    finish('b');
    expect(await second).toBe('complete');
    expect(seen.terminated).toBe(0);
  });

  test('what is known already is not run, and an archive is asked before anything is', async () => {
    const { client, runs, finish } = heldPool(1);
    client.archive = (key) => (key === 'b' ? outcomeOf(key) : null);
    client.add('a', outcomeOf('a'));
    const end = client.run(['a', 'b', 'z'], () => {});
    await until(() => runs.length === 1);
    expect(runs[0]!.key).toBe('z');
    finish('z');
    expect(await end).toBe('complete');
  });

  test('a fault of the engine is told and the next run starts afresh', async () => {
    const { client, runs, finish } = heldPool(1);
    const end = client.run(['a', 'z'], () => {});
    await until(() => runs.length === 1);
    runs.splice(0, 1)[0]!.fail(new RangeError('thing: must be positive, got -1'));
    await expect(end).rejects.toThrow('thing: must be positive, got -1');
    const second = client.run(['a', 'z'], () => {});
    await until(() => runs.length === 1);
    finish('a');
    await until(() => runs.length === 1);
    finish('z');
    expect(await second).toBe('complete');
  });

  test('an evaluating worker that dies is started again and told everything known', async () => {
    const { client, seen } = heldPool(1);
    for (const key of ['a', 'b', 'z']) client.add(key, outcomeOf(key));
    await client.evaluate(['a', 'b', 'z']);
    seen.faults[0]!('out of memory');
    const evaluation = await client.evaluate(['a', 'b', 'z']);
    expect(evaluation).toMatchObject({ kind: 'evaluated', pending: [], report: { doneCount: 3 } });
    expect(seen.started).toBe(2);
  });
});

test('1, 2 and 4 workers give the same outcomes, byte by byte, and the same report', { timeout: 240_000 }, async () => {
  const scenario = {
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }],
      sampleCount: 8192,
    },
    amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.1, amPmDeg: 8 }, saturatedPowerDbm: 40 },
    operatingPoint: { outputBackoffDb: 8 },
    predistorter: { kind: 'memoryPolynomial', nonlinearOrders: [1, 3], memoryDepth: 1 },
    limits: [{ reading: 'aclr', requiredDb: 30 }],
  };
  const study = { scenario, question: { kind: 'ladder', outputBackoff: { fromDb: 4, toDb: 12, stepDb: 4 } } };
  const stores: string[] = [];
  for (const workerCount of [1, 2, 4]) {
    const { start } = stage(() => createStudyApi({ runTask, createRunMemory, evaluateStudy }));
    const client = new StudyClient(workerCount, start, () => 0);
    let last: StudyEvaluation | null = null;
    const end = await client.run(study, ({ evaluation }) => {
      last = evaluation;
    });
    expect(end).toBe('complete');
    const lines = [...client.known].map((entry) => JSON.stringify(entry)).sort();
    expect(lines.length).toBeGreaterThan(3);
    stores.push(JSON.stringify([lines, last]));
  }
  expect(new Set(stores).size).toBe(1);
});
