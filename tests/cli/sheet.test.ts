// `sheet`: figures read back beside those stated, and a polynomial file that `amplify` takes.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { runProgram } from '../../src/cli/program.ts';
import type { Session } from '../../src/cli/session.ts';
import { wellFormednessFault } from '../shared/wellFormed.ts';

const folder = mkdtempSync(join(tmpdir(), 'kneepoint-sheet-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function run(...args: string[]) {
  let [out, err] = ['', ''];
  const session: Session = {
    stdout: (text) => {
      out += text;
    },
    stderr: (text) => {
      err += text;
    },
    isTerminal: false,
    columns: 80,
    folder,
    readStdin: () => '',
    untilInterrupted: () => new Promise(() => {}),
  };
  const code = await runProgram(args, session);
  // Thin spaces stand between figures and units.
  return { code, out: out.replaceAll('\u2009', ' '), err };
}

const scenario = {
  title: 'Sheet of a driver',
  waveform: { carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6, modulation: '64QAM' }] },
  amplifier: {
    saturatedPowerDbm: 45.5,
    gainDb: 36,
    model: {
      kind: 'dataSheet',
      saturationCompressionDb: 3,
      outputAtOneDbCompressionDbm: 44,
      outputInterceptDbm: 54,
      amPmDeg: 8,
      memorySpanS: 30e-9,
      memoryBelowSignalDb: 35,
    },
  },
  operatingPoint: { outputBackoffDb: 8 },
};
writeFileSync(join(folder, 'driver.json'), JSON.stringify(scenario));

test('an amplifier of the literature says where it is printed; saturated power at which compression it stands', async () => {
  const printed = await run('sheet', 'driver.json', '--set', 'amplifier.model={"kind":"published","id":"GaN_2GHz"}');
  expect(printed.out.replace(/\s+/g, ' ')).toMatch(/Source of the amplifier: [^.]*3GPP R4-\d+ .*; values read\./);
  // Saleh at its peak: gain is half that of small signal, 6.02 dB (closed form, Saleh 1981).
  const saleh = await run('sheet', 'driver.json', '--set', 'amplifier.model={"kind":"saleh"}');
  expect(saleh.out.replace(/\s+/g, ' ')).toMatch(/Source of the amplifier: Saleh 1981.*; formula (read|from memory)\./);
  expect(saleh.out.replace(/\s+/g, ' ')).toContain('Saturated power, 45.5 dBm, stands at 6.0 dB of compression');
});

test('stated and read stand side by side, all met; JSON holds the same', async () => {
  const { code, out } = await run('sheet', 'driver.json');
  expect(code).toBe(0);
  expect(out).toContain('saturated power at 3 dB of compression');
  for (const line of [
    /✓ met +output at 1 dB compression +44\.00 dBm +reads 4[34]\.\d\d dBm +within 0\.10 dB$/m,
    /✓ met +third-order output intercept +54\.00 dBm/,
    /✓ met +AM\/PM at 0 dB output back-off +8\.00°/,
    / 1 dB compression +44\.\d\d dBm +9\.\d\d dBm +1\.00 dB/,
    / 3 dB compression +45\.50 dBm +12\.50 dBm +3\.00 dB +8\.0°/,
  ]) {
    expect(out).toMatch(line);
  }
  expect(out).not.toContain('missed');
  const json = JSON.parse((await run('sheet', 'driver.json', '--json')).out);
  expect(json.amplifier.readBack.sheet).toHaveLength(6);
  expect(Math.abs(json.amplifier.readBack.intercept.outputDbm - 54)).toBeLessThan(0.3);
});

test('a contradiction is told with both figures and ends with 2', async () => {
  const { code, err } = await run('sheet', 'driver.json', '--set', 'amplifier.model.outputAtOneDbCompressionDbm=46.5');
  expect(code).toBe(2);
  expect(err).toMatch(/outputAtOneDbCompressionDbm must lie below the saturated power .* 1\.00 dB above/s);
});

test('the polynomial is written with its error and range, and passes a record', async () => {
  const { code, out } = await run('sheet', 'driver.json', '--polynomial', 'driver-polynomial.json');
  expect(code).toBe(0);
  const heldOut = Number(/, −?-?([\d.]+) dB held out|([\d.]+) dB\s+held\s+out/.exec(out)?.slice(1).find(Boolean));
  expect(heldOut).toBeGreaterThan(35);
  const written = JSON.parse(readFileSync(join(folder, 'driver-polynomial.json'), 'utf8'));
  expect([written.kind, written.nonlinearOrders, written.memoryDepth]).toEqual([
    'memoryPolynomial',
    [1, 3, 5, 7, 9],
    4,
  ]);
  expect(written.driveRange).toBeCloseTo(10 ** (3 / 20), 9);
  expect((await run('wave', 'driver.json', '--mean', '-9', '--out', 'drive')).code).toBe(0);
  const amplified = await run('amplify', 'drive', '--with', 'driver-polynomial.json');
  expect(amplified.err).toContain('Memory polynomial, order 9, memory depth 4');
  expect(amplified.code).toBe(0);
});

test('the curve is written as a table and a picture: it passes the stated points', async () => {
  const { code, err } = await run('sheet', 'driver.json', '--out', 'curve');
  expect([code, err]).toEqual([0, expect.stringContaining('wrote curve.csv, curve.svg in curve')]);
  const [head, ...rows] = readFileSync(join(folder, 'curve', 'curve.csv'), 'utf8')
    .trim()
    .split('\r\n');
  const columns = head?.replaceAll('"', '').split(',') ?? [];
  const numbers = rows.map((row) => row.split(',').map(Number));
  const column = (name: string) => numbers.map((row) => row[columns.indexOf(name)] ?? Number.NaN);
  expect(rows).toHaveLength(201);
  // 1 dB of compression stated at 44 dBm: the drive there is 44 − 36 + 1 = 9 dBm. Rows are 0.215 dB apart.
  const [drive, output, gain] = [column('drive (dBm)'), column('output (dBm)'), column('gain (dB re small signal)')];
  const at = drive.findIndex((dbm) => dbm >= 9);
  const share = (9 - (drive[at - 1] ?? 0)) / ((drive[at] ?? 0) - (drive[at - 1] ?? 0));
  const between = (values: number[]) => (1 - share) * (values[at - 1] ?? 0) + share * (values[at] ?? 0);
  expect(Math.abs(between(output) - 44)).toBeLessThan(0.02);
  expect(Math.abs(between(gain) + 1)).toBeLessThan(0.02);
  expect(Math.abs((output.at(-1) ?? 0) - 45.5)).toBeLessThan(0.01);
  const svg = readFileSync(join(folder, 'curve', 'curve.svg'), 'utf8');
  expect(wellFormednessFault(svg)).toBeNull();
  expect(svg).toContain('third-order output intercept');
  expect(svg).toContain('3 dB, largest output: 45.50');
});

test('measured points are drawn on the curve they made', async () => {
  const points = [-10, 0, 10, 14, 17].map((inputDbm, i) => ({ inputDbm, outputDbm: [20, 30, 39.5, 42.4, 43.5][i] }));
  const amplifier = {
    ...scenario.amplifier,
    saturatedPowerDbm: 43.5,
    gainDb: 30,
    model: { kind: 'envelopePoints', points },
  };
  writeFileSync(join(folder, 'points.json'), JSON.stringify({ ...scenario, amplifier }));
  expect((await run('sheet', 'points.json', '--out', 'points')).code).toBe(0);
  const svg = readFileSync(join(folder, 'points', 'curve.svg'), 'utf8');
  // Five points on each of two charts; the marks of readings are larger.
  expect(svg.match(/r="2.5"/g)).toHaveLength(10);
  expect(svg).toContain('no third-order intercept');
});

test('the polynomial leaves slow states out and says how much: held at the range by its own power', async () => {
  // Heat alone: H settles at the mean power of the drive, 9 dB below the range's, so the gain is 1 − d·10^−0.9·R². The noise
  // is held at the range in about one sample of 1000, which takes some hundredths of a dB of its power.
  const slowStates = {
    heatDepthRatio: 0.1,
    heatTimeConstantS: 1e-3,
    trapDepthRatio: 0,
    trapAttackS: 1e-6,
    trapReleaseS: 1e-3,
    phasePerGainDeg: -60,
  };
  const args = ['sheet', 'driver.json', '--polynomial', 'slow.json', '--json'];
  const { code, out, err } = await run(...args, '--set', `amplifier.slowStates=${JSON.stringify(slowStates)}`);
  expect(code).toBe(0);
  const { driveRange } = JSON.parse(out).amplifier;
  const lost = 0.1 * driveRange ** 2 * 10 ** -0.9;
  const told = /polynomial-without-slow-states.*take ([\d.]+) dB of gain and turn the phase by (−[\d.]+)°/.exec(
    err.replace(/\s+/g, ' '),
  );
  expect(Math.abs(Number(told?.[1]) + 20 * Math.log10(1 - lost))).toBeLessThan(0.01);
  expect(Math.abs(Number(told?.[2]?.replace('−', '-')) + 60 * lost)).toBeLessThan(0.1);
  expect((await run(...args)).err).not.toContain('polynomial-without-slow-states');
});
