// Records over a message channel: read once, given to each worker that needs them, never to others.
import { createHash } from 'node:crypto';
import { expose } from 'comlink';
import { afterEach, describe, expect, test } from 'vitest';
import {
  coarseScenario,
  createRunMemory,
  evaluateStudy,
  readCsv,
  readSigmf,
  runScenario,
  runTask,
  writeSigmf,
} from '../../src/engine/index.ts';
import { EngineClient } from '../../src/worker/client.ts';
import { createEngineApi } from '../../src/worker/engineApi.ts';
import type { WorkerHandle } from '../../src/worker/lane.ts';
import { createRecordApi, KeptRecords } from '../../src/worker/recordApi.ts';
import type { KeptRecord, RecordSource } from '../../src/worker/recordProtocol.ts';
import { RecordShelf } from '../../src/worker/recordShelf.ts';
import { createStudyApi } from '../../src/worker/studyApi.ts';
import { StudyClient } from '../../src/worker/studyClient.ts';

const open: MessagePort[] = [];
afterEach(() => {
  for (const port of open.splice(0)) port.close();
});

/** Starts what `entry.ts` exposes, and keeps which records each worker holds. */
function stage() {
  const workers: { kept: KeptRecords; isTerminated: boolean }[] = [];
  const start = (): WorkerHandle => {
    const { port1, port2 } = new MessageChannel();
    open.push(port1, port2);
    const worker = { kept: new KeptRecords(), isTerminated: false };
    workers.push(worker);
    const { kept } = worker;
    const api = {
      ...createEngineApi({ runScenario, createRunMemory, coarseScenario }, kept),
      ...createStudyApi({ runTask, createRunMemory, evaluateStudy }, kept),
      ...createRecordApi({ readSigmf, readCsv }, kept),
    };
    expose(api, port1);
    return {
      endpoint: port2,
      onFault: () => {},
      terminate: () => {
        worker.isTerminated = true;
        port1.close();
      },
    };
  };
  const shelf = new RecordShelf();
  return { client: new EngineClient(start, shelf), start, shelf, workers };
}

const RATE_HZ = 61.44e6;
const SAMPLES = 3 * 2 ** 14;

/** Noise of a band 9 MHz wide, from a fixed congruential generator: what is read must not depend on chance. */
function bandNoise(seed: number) {
  const re = new Float64Array(SAMPLES);
  const im = new Float64Array(SAMPLES);
  let state = seed;
  const chance = () => {
    state = (1_664_525 * state + 1_013_904_223) % 2 ** 32;
    return state / 2 ** 32;
  };
  const tones = Array.from({ length: 60 }, (_, k) => ({ cycles: Math.round((k - 30) * 120), turn: chance() }));
  for (const { cycles, turn } of tones) {
    for (let n = 0; n < SAMPLES; n++) {
      const angle = 2 * Math.PI * ((cycles * n) / SAMPLES + turn);
      re[n] += 0.02 * Math.cos(angle);
      im[n] += 0.02 * Math.sin(angle);
    }
  }
  return { re, im };
}

const sha512 = (bytes: Uint8Array) => createHash('sha512').update(bytes).digest('hex');

function sigmfSource(name: string, seed: number): RecordSource & { digest: string } {
  const place = { sampleRateHz: RATE_HZ, centreFrequencyHz: null, description: 'test', recorder: 'test' };
  const { metadata, data } = writeSigmf({ signal: bandNoise(seed), ...place }, { sha512 });
  return { format: 'sigmf', name, metadata, data: new Uint8Array(data), digest: sha512(data) };
}

const scenario = (recordName: string, digest: string | null = null) => ({
  waveform: { carriers: [{ kind: 'record', recordName, sha512: digest, partCount: 3 }] },
  amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.1 }, saturatedPowerDbm: 45 },
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: null,
  limits: [{ reading: 'aclr', requiredDb: 30 }],
});

describe('reading', () => {
  test('a SigMF pair becomes a record with its digest; its reader is ended', async () => {
    const { client, workers } = stage();
    const { digest, ...source } = sigmfSource('field', 1);
    const outcome = await client.supplyRecord(source as RecordSource);
    expect(outcome).toMatchObject({
      kind: 'record',
      facts: { name: 'field', sampleRateHz: RATE_HZ, sampleCount: SAMPLES, sha512: digest },
    });
    expect(workers).toHaveLength(1);
    expect(workers[0].isTerminated).toBe(true);
  });

  test('text is read as CSV; a rate that it lacks is asked for and then taken', async () => {
    const { client } = stage();
    const text = Array.from({ length: 64 }, (_, n) => `${Math.cos(n)},${Math.sin(n)}`).join('\n');
    const source = (sampleRateHz: number | null): RecordSource => ({
      format: 'csv',
      name: 'table',
      data: new TextEncoder().encode(text),
      sampleRateHz,
    });
    const refused = await client.supplyRecord(source(null));
    expect(refused.kind === 'invalid' && refused.issues.map(({ path }) => path)).toEqual(['sample rate']);
    expect(await client.supplyRecord(source(30.72e6))).toMatchObject({
      kind: 'record',
      facts: { sampleCount: 64, sampleRateHz: 30.72e6 },
    });
  });

  test('faults of the files come back as the engine’s issues', async () => {
    const { client } = stage();
    const { digest: _digest, ...source } = sigmfSource('field', 1);
    const cut = { ...source, data: source.data.slice(0, 1001) } as RecordSource;
    const outcome = await client.supplyRecord(cut);
    expect(outcome.kind === 'invalid' && outcome.issues.length).toBeGreaterThan(0);
  });
});

describe('running', () => {
  test('a scenario that names a record runs on both lanes and in studies; another digest is refused', async () => {
    const { client, shelf, start } = stage();
    const { digest, ...source } = sigmfSource('field', 1);
    const missing = await client.run(scenario('field'), 'full');
    expect(missing?.kind === 'invalid' && missing.issues[0].path).toBe('waveform.carriers.0.recordName');
    await client.supplyRecord(source as RecordSource);
    for (const detail of ['full', 'coarse'] as const) {
      const outcome = await client.run(scenario('field', digest), detail);
      expect(outcome?.kind === 'invalid' ? outcome.issues : []).toEqual([]);
    }
    const other = await client.run(scenario('field', 'f'.repeat(128)), 'full');
    expect(other?.kind === 'invalid' && other.issues[0].path).toBe('waveform.carriers.0.sha512');
    const studies = new StudyClient(1, start, undefined, shelf);
    const end = await studies.run(
      { scenario: scenario('field', digest), question: { kind: 'spread', seedCount: 2, unitCount: 0 } },
      ({ evaluation }) => expect(evaluation.kind === 'invalid' ? evaluation.issues : []).toEqual([]),
    );
    expect(end).toBe('complete');
  });

  test('a record of the same name takes the place of the first, in what was made of it, too', async () => {
    const { client } = stage();
    const figure = async () => {
      const outcome = await client.run(scenario('field'), 'full');
      if (outcome?.kind !== 'report') throw new Error(JSON.stringify(outcome));
      return outcome.report.waveform.peakToAverageDb;
    };
    await client.supplyRecord(sigmfSource('field', 1));
    const first = await figure();
    await client.supplyRecord(sigmfSource('field', 2));
    const second = await figure();
    expect(second).not.toBe(first);
    await client.supplyRecord(sigmfSource('field', 1));
    expect(await figure()).toBe(first);
  });
});

describe('the shelf', () => {
  const record = (name: string): KeptRecord => ({
    name,
    signal: { re: new Float64Array(1), im: new Float64Array(1) },
    sampleRateHz: 1e6,
    sha512: null,
  });
  const naming = (...names: string[]) => ({
    waveform: { carriers: names.map((recordName) => ({ kind: 'record', recordName })) },
  });

  test('a worker is given what its request names, once, and again when it was replaced', () => {
    const shelf = new RecordShelf();
    shelf.add(record('a'));
    shelf.add(record('b'));
    const given = new Map<string, KeptRecord>();
    const names = (input: unknown) => shelf.take(input, given).map(({ name }) => name);
    expect(names(naming('a', 'a', 'c'))).toEqual(['a']);
    expect(names(naming('a', 'b'))).toEqual(['b']);
    expect(names(naming('a', 'b'))).toEqual([]);
    shelf.add(record('a'));
    expect(names(naming('a', 'b'))).toEqual(['a']);
  });

  test('input that is no scenario names nothing', () => {
    for (const input of [
      null,
      3,
      'text',
      {},
      { waveform: null },
      { waveform: { carriers: [null, 1, { recordName: 7 }] } },
    ]) {
      expect(new RecordShelf().take(input, new Map())).toEqual([]);
    }
  });
});
