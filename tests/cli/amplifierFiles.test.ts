// Files that hold an amplifier, wherever a scenario or a command takes one.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { kneepoint, openTerminal, SMALL_SCENARIO } from './terminal.ts';

const model = {
  kind: 'memoryPolynomial',
  modelRateHz: 30.72e6,
  nonlinearOrders: [1, 3],
  memoryDepth: 2,
  coefficients: [
    { re: 2, im: 0 },
    { re: -0.5, im: 0.1 },
    { re: 0.02, im: 0 },
    { re: 0, im: 0.01 },
  ],
  driveRange: 1,
  saturatedAmplitude: 'peakOfRange',
};
const amplifier = { model, saturatedPowerDbm: 44, gainDb: 30 };

const flat = (text: string) => text.replace(/\s+/g, ' ');

function withFiles(files: Readonly<Record<string, unknown>>) {
  const terminal = openTerminal();
  for (const [name, content] of Object.entries({ 'model.json': model, 'amplifier.json': amplifier, ...files })) {
    const text = typeof content === 'string' ? content : JSON.stringify(content);
    writeFileSync(join(terminal.folder, name), text);
  }
  return terminal;
}

async function amplifierOf(files: Readonly<Record<string, unknown>>, ...args: string[]) {
  const terminal = withFiles(files);
  const { code, out, err } = await kneepoint(['check', ...args, '--json'], terminal);
  expect(code, err).toBe(0);
  return { amplifier: JSON.parse(out).amplifier, err: flat(err) };
}

const scenarioWith = (named: unknown) => ({
  ...SMALL_SCENARIO,
  amplifier: named,
  operatingPoint: { outputBackoffDb: 8 },
});
const own = { ...SMALL_SCENARIO.amplifier, saturatedPowerDbm: 46 };

describe('a scenario', () => {
  test('takes the whole section by the name of its file, beside the scenario', async () => {
    const found = await amplifierOf({ 'bench.json': scenarioWith('amplifier.json') }, 'bench.json');
    expect(found.amplifier).toMatchObject(amplifier);
  });

  test('takes a model alone as an amplifier without a power scale', async () => {
    const found = await amplifierOf({ 'bench.json': scenarioWith('model.json') }, 'bench.json');
    expect(found.amplifier).toMatchObject({ model, saturatedPowerDbm: null, gainDb: 0 });
  });

  test.each([['model.json'], ['amplifier.json'], ['other.json'], ['report.json']])(
    'takes the model of %s and keeps its own power scale',
    async (name) => {
      const files = {
        'bench.json': scenarioWith({ ...own, model: name }),
        'other.json': scenarioWith(amplifier),
        'report.json': { identification: {}, model },
      };
      const found = await amplifierOf(files, 'bench.json');
      expect(found.amplifier).toMatchObject({ model, saturatedPowerDbm: 46 });
      // A file that knows another power scale says so: a model at the wrong one gives the wrong watts.
      const isTold = name === 'amplifier.json' || name === 'other.json';
      expect(found.err.includes(`${name} states a saturated power of 44.00 dBm`)).toBe(isTold);
    },
  );

  test('takes measured points', async () => {
    const points = 'input dBm,output dBm,phase\n0,30,0\n5,34.8,1\n10,38,4\n';
    const found = await amplifierOf(
      { 'bench.json': scenarioWith({ ...own, model: 'p.csv' }), 'p.csv': points },
      'bench.json',
    );
    expect(found.amplifier.model.kind).toBe('envelopePoints');
    expect(found.amplifier.model.points).toHaveLength(3);
  });

  test('its own amplifier file is there before --set changes a field of it', async () => {
    const files = { 'bench.json': scenarioWith('amplifier.json') };
    const found = await amplifierOf(files, 'bench.json', '--set', 'amplifier.outputLossDb=0.5');
    expect(found.amplifier).toMatchObject({ ...amplifier, outputLossDb: 0.5 });
  });
});

describe('--set', () => {
  test('amplifier=FILE, and later settings change its fields', async () => {
    const set = ['--set', 'amplifier=amplifier.json', '--set', 'amplifier.saturatedPowerDbm=43'];
    const found = await amplifierOf({ 'bench.json': scenarioWith(own) }, 'bench.json', ...set);
    expect(found.amplifier).toMatchObject({ ...amplifier, saturatedPowerDbm: 43 });
  });

  test('amplifier=FILE takes the place of a file that is not there', async () => {
    const files = { 'bench.json': scenarioWith('lost.json') };
    const found = await amplifierOf(files, 'bench.json', '--set', 'amplifier="amplifier.json"');
    expect(found.amplifier).toMatchObject(amplifier);
  });

  test('an amplifier as JSON is none of the files', async () => {
    const found = await amplifierOf(
      { 'bench.json': scenarioWith(own) },
      'bench.json',
      '--set',
      `amplifier=${JSON.stringify(amplifier)}`,
    );
    expect(found.amplifier).toMatchObject(amplifier);
  });

  test('a file that is not there, and one that is faulty, are clear faults', async () => {
    const terminal = withFiles({ 'bench.json': scenarioWith(own), 'bad.json': { ...amplifier, gain: 3 } });
    const lost = await kneepoint(['check', 'bench.json', '--set', 'amplifier=lost.json'], terminal);
    expect(lost.code).toBe(2);
    expect(flat(lost.err)).toContain(
      'amplifier must be an amplifier or the name of an amplifier file, got "lost.json"',
    );
    terminal.err = '';
    const bad = await kneepoint(['check', 'bench.json', '--set', 'amplifier=bad.json'], terminal);
    expect(bad.code).toBe(2);
    expect(flat(bad.err)).toContain('amplifier.gain is not a field of amplifier, got 3');
  });
});

describe('sheet', () => {
  const read = async (name: string, ...args: string[]) => {
    const { code, out, err } = await kneepoint(['sheet', name, '--json', ...args], withFiles({}));
    expect(code, err).toBe(0);
    return JSON.parse(out).amplifier;
  };

  test('reads an amplifier file by itself: the largest output is the saturated power', async () => {
    const { readBack } = await read('amplifier.json');
    expect(readBack.saturation.outputDbm).toBeCloseTo(44, 6);
    // 2 − 0.5 r² + 0.1j r² and taps 0.02 + 0.01j r²: |P(1)|/|P(0)| = |1.52 + 0.11j|/2.02 at the edge of the range.
    const edgeDb = -20 * Math.log10(Math.hypot(1.52, 0.11) / 2.02);
    expect(readBack.saturation.compressionDb).toBeCloseTo(edgeDb, 3);
  });

  test('reads a model file, with --set for what it lacks, and a published model by its name', async () => {
    expect((await read('model.json')).readBack.saturation.outputDbm).toBeNull();
    const scaled = await read('model.json', '--set', 'amplifier.saturatedPowerDbm=40');
    expect(scaled.readBack.saturation.outputDbm).toBeCloseTo(40, 6);
    expect((await read('GaN_2GHz')).label).toContain('GaN_2GHz');
  });

  test('a scenario at fault is told as one', async () => {
    const { code, err } = await kneepoint(['sheet', 'odd.json'], withFiles({ 'odd.json': { title: 'none' } }));
    expect(code).toBe(2);
    expect(flat(err)).toContain('amplifier is required');
  });
});
