// Identifying an amplifier over a message channel: files in, model and pictures' arrays out, faults under their place.
import { createHash } from 'node:crypto';
import { expose } from 'comlink';
import { afterEach, describe, expect, test } from 'vitest';
import { parseAmplifierModel, parseAmplifierSection } from '../../shared/schema/parseAmplifierModel.ts';
import { createRandom } from '../../src/engine/dsp/random.ts';
import { type ComplexSignal, identifyAmplifier, readCsv, readSigmf, writeSigmf } from '../../src/engine/index.ts';
import { createIdentifyApi } from '../../src/worker/identifyApi.ts';
import { IdentifyClient, type IdentifyProgress, type IdentifyRequest } from '../../src/worker/identifyClient.ts';
import type { WorkerHandle } from '../../src/worker/lane.ts';
import type { RecordSource } from '../../src/worker/recordProtocol.ts';
import { flatBand, observe, staticCurve } from '../engine/identification/syntheticPair.ts';

const open: MessagePort[] = [];
afterEach(() => {
  for (const port of open.splice(0)) port.close();
});

function stage() {
  const handles: { isTerminated: boolean }[] = [];
  const start = (): WorkerHandle => {
    const { port1, port2 } = new MessageChannel();
    open.push(port1, port2);
    expose(createIdentifyApi({ readSigmf, readCsv, identifyAmplifier }), port1);
    const handle = { isTerminated: false };
    handles.push(handle);
    return {
      endpoint: port2,
      onFault: () => {},
      terminate: () => {
        handle.isTerminated = true;
        port1.close();
      },
    };
  };
  return { client: new IdentifyClient(start), handles };
}

const RATE_HZ = 122.88e6;
const LENGTH = 8192;
const RECEIVER = { delaySamples: 7.3, gainDb: 2, phaseDeg: 40, leakDbc: -40, imageDb: -45, snrDb: 50 };
const drives = [1, 2].map((seed) => flatBand(LENGTH, 300, 0.05, createRandom(seed, 'drive')));
const signals = Object.fromEntries(
  drives.flatMap((drive, i) => [
    [`drive ${i + 1}`, drive],
    [`observed ${i + 1}`, observe(staticCurve(drive), RECEIVER, createRandom(i, 'receiver'))],
  ]),
);

const sha512 = (bytes: Uint8Array) => createHash('sha512').update(bytes).digest('hex');

function source(name: string): RecordSource {
  const place = { sampleRateHz: RATE_HZ, centreFrequencyHz: null, description: name, recorder: 'test' };
  const { metadata, data } = writeSigmf({ signal: signals[name] as ComplexSignal, ...place }, { sha512 });
  return { format: 'sigmf', name, metadata, data: new Uint8Array(data) };
}

const request = (changed: Partial<IdentifyRequest> = {}): IdentifyRequest => ({
  drive: source('drive 1'),
  observed: source('observed 1'),
  validation: null,
  settings: { highestOrder: 5, memoryDepth: 2, crossReachSamples: 0 },
  ...changed,
});

describe('identifying', () => {
  test('gives the engine’s answer, tells how far it is, transfers bytes and arrays, and ends its worker', async () => {
    const { client, handles } = stage();
    const told: IdentifyProgress[] = [];
    const asked = request({
      settings: { ...request().settings, saturatedPowerDbm: 46, outputPowerDbm: 36 },
      validation: { drive: source('drive 2'), observed: source('observed 2') },
    });
    const answer = await client.identify(asked, (progress) => told.push(progress));
    if (answer?.kind !== 'identified') throw new Error(JSON.stringify(answer));
    expect(asked.drive.data.length).toBe(0);
    expect(handles).toEqual([{ isTerminated: true }]);

    const record = (name: string) => {
      const { format: _, ...file } = source(name) as Extract<RecordSource, { format: 'sigmf' }>;
      const outcome = readSigmf(file.metadata, file.data);
      if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
      return outcome.record;
    };
    const pair = (i: number) => ({ drive: record(`drive ${i}`), observed: record(`observed ${i}`) });
    const alone = identifyAmplifier({ ...pair(1), validation: pair(2), ...asked.settings });
    expect(answer).toEqual(alone);
    expect(parseAmplifierModel(answer.model)).toEqual({ kind: 'model', model: answer.model });
    expect(parseAmplifierSection(answer.amplifier)).toEqual({ kind: 'amplifier', amplifier: answer.amplifier });
    expect(answer.amplifier).toMatchObject({ model: answer.model, saturatedPowerDbm: 46, gainDb: 0 });

    // Progress comes through a port of its own.
    while (told.at(-1)?.doneRatio !== 1) await new Promise((resolve) => setTimeout(resolve, 5));
    expect(told.map(({ doneRatio }) => doneRatio)).toEqual(
      told.map(({ doneRatio }) => doneRatio).sort((a, b) => a - b),
    );
    const labels = told.map(({ label }) => label);
    for (const label of [
      'Reading the records',
      'Aligning',
      'Separating the receiver’s errors',
      'Fitting',
      'Validating',
    ]) {
      expect(labels).toContain(label);
    }
    expect(labels.some((label) => /^Trying structures: \d+ of \d+$/.test(label))).toBe(true);
  });

  test('faults of any file come under its place in the request, all at once', async () => {
    const { client, handles } = stage();
    const text = (content: string): RecordSource => ({
      format: 'csv',
      name: 'table',
      data: new TextEncoder().encode(content),
      sampleRateHz: null,
    });
    const cut = source('observed 2');
    const validation = {
      drive: source('drive 2'),
      observed: { ...cut, data: cut.data.slice(0, 1000) } as RecordSource,
    };
    const answer = await client.identify(request({ drive: text('0.1,0.2\n0.3,0.4\n'), validation }), () => {});
    if (answer?.kind !== 'invalid') throw new Error('identified');
    expect(answer.issues.map(({ path }) => path)).toEqual(['drive.sample rate', 'validation.observed.data']);
    expect(handles[0]?.isTerminated).toBe(true);
  });

  test('a newer request takes the place of one under way, which resolves with null', async () => {
    const { client } = stage();
    const first = client.identify(request(), () => {});
    const second = client.identify(request({ drive: source('drive 2') }), () => {});
    expect(await first).toBeNull();
    const answer = await second;
    expect(answer?.kind === 'invalid' && answer.issues.map(({ path }) => path)).toEqual(['observed']);
  });
});
