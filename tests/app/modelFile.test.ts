// Amplifiers from files: what is taken for one, what the scenario keeps, what is refused.
import { describe, expect, test } from 'vitest';
import { isModelFile, readModelFile, takeAmplifier } from '../../src/app/state/modelFile.ts';
import { initialState } from '../../src/app/state/scenarioController.ts';

const MODEL = {
  kind: 'memoryPolynomial',
  modelRateHz: 122.88e6,
  driveRange: 0.5,
  saturatedAmplitude: 'peakOfRange',
  nonlinearOrders: [1, 3],
  memoryDepth: 1,
  coefficients: [
    { re: 1.2, im: 0.1 },
    { re: -0.3, im: 0.05 },
  ],
};
const file = (data: unknown) => ({ name: 'model.json', text: async () => JSON.stringify(data) });
const { draft, shown } = initialState();

describe('what a file is', () => {
  test('a model, an amplifier section, the report of identify', () => {
    expect(readModelFile(JSON.stringify(MODEL))).toMatchObject({ kind: 'model', model: MODEL });
    const section = { model: MODEL, saturatedPowerDbm: 44 };
    expect(readModelFile(JSON.stringify(section))).toMatchObject({
      kind: 'amplifier',
      amplifier: { model: MODEL, saturatedPowerDbm: 44, gainDb: 0, outputLossDb: 0 },
    });
    const report = { kneepoint: { version: '0', format: 1 }, identification: {}, model: MODEL };
    expect(readModelFile(JSON.stringify(report))).toMatchObject({ kind: 'model', model: MODEL });
  });

  test('all that is wrong with one, in the words of the schema', () => {
    const { nonlinearOrders: _orders, ...rest } = MODEL;
    const read = readModelFile(JSON.stringify({ ...rest, memoryDepth: 'deep' }));
    const paths = read.kind === 'invalid' ? read.issues.map(({ path }) => path) : [];
    expect(paths).toContain('memoryDepth');
    expect(paths).toContain('nonlinearOrders');
    for (const text of ['', 'plain words', '[1, 2]', '{"colour": 1}']) {
      expect(readModelFile(text)).toMatchObject({
        kind: 'invalid',
        issues: [{ remedy: 'choose a model or amplifier file' }],
      });
    }
  });

  test('a scenario is none, nor is other text', () => {
    expect(isModelFile(JSON.stringify(MODEL))).toBe(true);
    expect(isModelFile('{"model": {}}')).toBe(true);
    expect(isModelFile(JSON.stringify(draft))).toBe(false);
    for (const text of ['', '<html>', '[]', 'null', '{"title": "x"}']) expect(isModelFile(text)).toBe(false);
  });
});

describe('what becomes of the scenario', () => {
  test('a model alone leaves power, gain and losses as they are', async () => {
    const { scenario, faults } = await takeAmplifier(file(MODEL), { draft, shown });
    expect(faults).toEqual([]);
    expect(scenario?.amplifier).toEqual({ ...draft.amplifier, model: MODEL });
    expect(scenario?.operatingPoint).toEqual(draft.operatingPoint);
  });

  test('an identified amplifier keeps the losses behind it and its DC power', async () => {
    const amplifier = { ...draft.amplifier, model: MODEL, saturatedPowerDbm: 44, gainDb: 30 } as typeof draft.amplifier;
    const own = { ...draft, amplifier: { ...draft.amplifier, outputLossDb: 1.5 } };
    const { scenario } = await takeAmplifier({ ...amplifier, outputLossDb: 0 }, { draft: own, shown });
    expect(scenario?.amplifier).toMatchObject({ saturatedPowerDbm: 44, gainDb: 30, outputLossDb: 1.5, model: MODEL });
    expect(scenario?.amplifier.power).toEqual(draft.amplifier.power);
  });

  test('without a power scale the power becomes the output back-off of the last result, and the message says it', async () => {
    const amplifier = { ...draft.amplifier, model: MODEL, saturatedPowerDbm: null } as typeof draft.amplifier;
    const report = { uncorrected: { outputBackoffDb: 8.1234 } };
    const ran = { report, detail: 'full' } as unknown as NonNullable<typeof shown>;
    const { scenario, message } = await takeAmplifier(amplifier, { draft, shown: ran });
    expect(scenario?.operatingPoint).toEqual({ outputBackoffDb: 8.12 });
    expect(message).toContain('its saturated power is not known');
    const own = { ...draft, operatingPoint: { outputBackoffDb: 6 } };
    const kept = await takeAmplifier(amplifier, { draft: own, shown: ran });
    expect(kept.scenario?.operatingPoint).toEqual({ outputBackoffDb: 6 });
  });

  test('a faulty file changes nothing and lists its faults under its name', async () => {
    const { scenario, faults, message } = await takeAmplifier(file({ kind: 'valve' }), { draft, shown });
    expect(scenario).toBeNull();
    expect(message).toBe('not taken');
    expect(faults[0]?.name).toBe('model.json');
    expect(faults[0]?.issues[0]?.path).toBe('kind');
  });
});
