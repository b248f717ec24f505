// From a waveform to the antenna by records: wave, predistort, amplify and measure give what run predicted.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { kneepoint, openTerminal, SMALL_SCENARIO, type Terminal } from './terminal.ts';

const flat = (text: string) => text.replace(/\s+/g, ' ');
const learned = {
  ...SMALL_SCENARIO,
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 2 },
};
/** The polynomial that identify writes, in units of its records: the knee lies at 0.21, not at 1. */
const identified = {
  model: {
    kind: 'memoryPolynomial',
    modelRateHz: 122.88e6,
    nonlinearOrders: [1, 3],
    memoryDepth: 2,
    coefficients: [
      { re: 3, im: 0.4 },
      { re: -20, im: 3 },
      { re: 0.1, im: -0.05 },
      { re: 0, im: 0.4 },
    ],
    driveRange: 0.22,
    saturatedAmplitude: 'peakOfRange',
  },
  saturatedPowerDbm: null,
};

async function use(terminal: Terminal, ...args: string[]) {
  terminal.out = '';
  terminal.err = '';
  const { code, out, err } = await kneepoint(args, terminal);
  expect(code, err).toBe(0);
  return { out, err: flat(err) };
}

function bench(files: Readonly<Record<string, unknown>>): Terminal {
  const terminal = openTerminal();
  for (const [name, value] of Object.entries(files)) {
    writeFileSync(join(terminal.folder, name), JSON.stringify(value));
  }
  return terminal;
}

/** Worst side of the first channel of `run` and of the record at the chain's end. */
async function chain(scenario: object, model: string, extra: Readonly<Record<string, unknown>> = {}) {
  const terminal = bench({ 'bench.json': scenario, ...extra });
  const report = JSON.parse((await use(terminal, 'run', 'bench.json', '--json', '--out', 'out')).out);
  await use(terminal, 'wave', 'bench.json', '--for', 'out/report.json', '--out', 'level');
  const predistorted = await use(terminal, 'predistort', 'level', '--with', 'out/predistorter.json', '--out', 'drive');
  await use(terminal, 'amplify', 'drive', '--with', model, '--out', 'antenna');
  const geometry = ['--own-bandwidth', '9e6', '--spacing', '10e6', '--segment', '8192'];
  const measured = JSON.parse((await use(terminal, 'measure', 'antenna', ...geometry, '--json')).out);
  return { report, predistorted, measured, terminal };
}

type Readings = readonly { channel: string; aclrDb: number }[];
const worst = (readings: Readings) =>
  Math.min(...readings.filter(({ channel }) => channel === readings[0]?.channel).map(({ aclrDb }) => aclrDb));

describe('the chain of records', () => {
  test('gives the ACLR of run through a preset kind of amplifier', async () => {
    const { report, predistorted, measured } = await chain(learned, 'bench.json');
    expect(report.correctionUsed).toBe(true);
    expect(Math.abs(worst(measured.record.aclr) - worst(report.corrected.aclr))).toBeLessThan(0.2);
    expect(worst(report.corrected.aclr)).toBeGreaterThan(worst(report.uncorrected.aclr) + 10);
    expect(predistorted.err).toContain('+0.00 dB of the level learned at');
    expect(predistorted.err).toMatch(/learned for carriers noise 9[.0-9]* MHz at 0 MHz; output back-off 9\.0 dB/);
  });

  test('and through an identified model, whose records have units of their own', async () => {
    const scenario = { ...learned, amplifier: identified };
    const { report, measured } = await chain(scenario, 'model.json', { 'model.json': identified });
    expect(report.correctionUsed).toBe(true);
    expect(report.predistorter.kneeAmplitude).toBeLessThan(0.5);
    expect(Math.abs(worst(measured.record.aclr) - worst(report.corrected.aclr))).toBeLessThan(0.2);
    expect(worst(report.corrected.aclr)).toBeGreaterThan(worst(report.uncorrected.aclr) + 6);
  });
});

describe('a learned predistorter', () => {
  test('comes back into a scenario from its file and from the report', async () => {
    const terminal = bench({ 'bench.json': learned });
    const first = JSON.parse((await use(terminal, 'run', 'bench.json', '--json', '--out', 'out')).out);
    for (const file of ['out/predistorter.json', 'out/report.json']) {
      const { out } = await use(terminal, 'run', 'bench.json', '--set', `predistorter=${file}`, '--json');
      const again = JSON.parse(out);
      expect(again.learning).toBeNull();
      expect(worst(again.corrected.aclr)).toBeCloseTo(worst(first.corrected.aclr), 1);
    }
    writeFileSync(
      join(terminal.folder, 'out', 'bench.json'),
      JSON.stringify({ ...learned, predistorter: 'predistorter.json' }),
    );
    const { predistorter } = JSON.parse((await use(terminal, 'check', 'out/bench.json', '--json')).out);
    expect(predistorter.stored.coefficients).toHaveLength(8);
  });

  test('at another level is told; at another rate or without coefficients it is refused', async () => {
    const coefficients = [1, 0.1, 0, 0, 0, 0, 0, 0].map((re) => ({ re, im: 0 }));
    const stored = { coefficients, sampleRateHz: 122.88e6, driveScaleRatio: 0.3 };
    const files = { 'bench.json': learned, 'kept.json': { ...learned.predistorter, stored } };
    const terminal = bench(files);
    await use(terminal, 'wave', 'bench.json', '--out', 'loud');
    const { err } = await use(terminal, 'predistort', 'loud', '--with', 'kept.json');
    // 0 dBfs against 20·log10(0.3) = -10.46 dBfs.
    expect(err).toContain('10.46 dB above the level that the predistorter was learned at');
    expect(err).toMatch(/[1-9][0-9]* ppm of the samples are held at the drive ceiling of 2\.200/);
    writeFileSync(join(terminal.folder, 'slow.csv'), `# sample_rate 30.72e6\n${'0.1,0\n0.2,0.1\n'.repeat(50)}`);
    const slow = await kneepoint(['predistort', 'slow.csv', '--with', 'kept.json'], terminal);
    expect(slow.code).toBe(2);
    expect(flat(slow.err)).toContain('must be the record’s rate of 30.72 MHz');
    const short = { ...learned.predistorter, stored, numbers: { dataBitCount: 4 } };
    writeFileSync(join(terminal.folder, 'short.json'), JSON.stringify(short));
    await use(terminal, 'predistort', 'loud', '--with', 'short.json', '--out', 'coarse');
    const coarse = readFileSync(join(terminal.folder, 'coarse.sigmf-data'));
    const samples = new Float32Array(coarse.buffer.slice(coarse.byteOffset, coarse.byteOffset + coarse.length));
    // A word of four bits has sixteen values.
    expect(new Set(samples).size).toBeLessThanOrEqual(16);
    const empty = await kneepoint(['predistort', 'loud', '--with', 'bench.json'], terminal);
    expect(empty.code).toBe(2);
    expect(flat(empty.err)).toContain('must hold stored coefficients');
  });
});
