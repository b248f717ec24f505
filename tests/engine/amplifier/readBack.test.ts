// Figures read back from known models against closed forms and the static table of the 3GPP polynomials (TR 38.803 Annex A).
import { expect, test } from 'vitest';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { amPmDegAt, readBackAmplifier } from '../../../src/engine/amplifier/readBack.ts';
import { amplifierOf, openPolynomial, plainKnee } from './settings.ts';

const RECORD = { sampleRateHz: 122.88e6, sampleCount: 4096 };

function read(settings: AmplifierModelSettings) {
  const model = amplifierOf(settings, RECORD);
  const scale = { model: settings, saturatedPowerDbm: 40, gainDb: 20, outputLossDb: 0 };
  return { model, readBack: readBackAmplifier(model, scale) };
}

test('Rapp, p = 1: 1 and 3 dB compression in closed form (Rapp 1991), no AM/PM, asymptote', () => {
  const { readBack } = read(plainKnee);
  expect(Math.abs((readBack.atOneDbCompression?.outputDbm ?? 0) - (40 - 6.868253244))).toBeLessThan(1e-6);
  expect(Math.abs((readBack.atThreeDbCompression?.outputDbm ?? 0) - (40 - 3.020624399))).toBeLessThan(1e-6);
  expect(readBack.atOneDbCompression?.amPmDeg).toBeCloseTo(0, 12);
  expect(readBack.highestGainDb).toBeLessThan(1e-6);
  // (1 + u)^(−1/2) = 1 − u/2 + …: c₃ = −1/2, the intercept stands 3.01 dB above saturation.
  expect(Math.abs((readBack.intercept.outputDb ?? 0) - 10 * Math.log10(2))).toBeLessThan(0.01);
});

test('Rapp, p = 1.5: products rise 4 dB per dB, so there is no intercept, with the reason', () => {
  const { intercept } = read({ ...plainKnee, kneeSharpness: 1.5 }).readBack;
  expect(intercept.outputDb).toBeNull();
  expect(intercept.slope).toBeCloseTo(4, 2);
  expect(intercept.reason).toContain('in place of 3');
});

test('cubic c₁ = 1, c₃ = −0.1: OIP3 10 dB, 10.636 dB over the 1 dB point (TT-04, TT-06)', () => {
  const { model } = read(
    openPolynomial([1, 3], 1, [
      { re: 1, im: 0 },
      { re: -0.1, im: 0 },
    ]),
  );
  // Beyond its peak a cubic turns over: the sweep ends there.
  const held = { ...model, driveRange: Math.sqrt(1 / 0.3) };
  const settings = openPolynomial([1], 1, [{ re: 1, im: 0 }]);
  const readBack = readBackAmplifier(held, { model: settings, saturatedPowerDbm: null, gainDb: 0, outputLossDb: 0 });
  expect(Math.abs((readBack.intercept.outputDb ?? 0) - 10)).toBeLessThan(1e-3);
  expect(Math.abs((readBack.intercept.slope ?? 0) - 3)).toBeLessThan(1e-3);
  expect(Math.abs(10 - (readBack.atOneDbCompression?.outputDb ?? 0) - 10.63574481)).toBeLessThan(1e-3);
  expect(readBack.saturation.outputDbm).toBeNull();
});

test.each([
  // Model, input of 1 dB compression, gain and AM/PM at |x| = 1, peak |y|.
  ['GaN_2GHz', -4.83, -2.97, 2.1, 0.733],
  ['GaAs_2GHz', -2.06, -1.93, 14.3, 0.801],
  ['CMOS_28GHz', -5.03, -4.9, 7.8, 0.591],
  ['GaN_28GHz', -3.71, -2.88, 13, 0.718],
] as const)('%s: static table of the 3GPP polynomials', (id, oneDbInput, gainAtOneDb, amPmDeg, peak) => {
  const { model, readBack } = read({ kind: 'published', id });
  const own = 20 * Math.log10(model.ownUnits.drive);
  const { re, im } = model.staticOutput(1 / model.ownUnits.drive);
  const gainDb = 20 * Math.log10(Math.hypot(re, im) * model.ownUnits.output);
  const oneDb = readBack.atOneDbCompression;
  expect(Math.abs((oneDb?.driveDb ?? 0) + own - oneDbInput)).toBeLessThan(0.006);
  expect(Math.abs(gainDb - gainAtOneDb)).toBeLessThan(0.006);
  expect(Math.abs(Math.abs(amPmDegAt(model, 1 / model.ownUnits.drive)) - amPmDeg)).toBeLessThan(0.06);
  expect(Math.abs(10 ** (readBack.saturation.outputDb / 20) * model.ownUnits.output - peak)).toBeLessThan(0.0006);
});

test('Ghorbani: the gain comes up before it falls; compression is read on the way down', () => {
  // Values of Ghorbani and Sheikhan 1991 (from memory). Gain x₁·r^(x₂−1)/(1 + x₃·r^x₂) + x₄, searched on a fine grid.
  const [x1, x2, x3, x4] = [8.1081, 1.5413, 6.5202, -0.0718] as const;
  const gainDb = (r: number) => 20 * Math.log10((x1 * r ** (x2 - 1)) / (1 + x3 * r ** x2) + x4);
  const grid = Array.from({ length: 40_000 }, (_, i) => 0.001 + i * 1e-4);
  const top = grid.reduce((best, r) => (gainDb(r) > gainDb(best) ? r : best), 0.1);
  const outputDb = (r: number) => gainDb(r) + 20 * Math.log10(r);
  const largest = Math.max(...grid.map(outputDb));
  const { readBack } = read({ kind: 'ghorbani', x1, x2, x3, x4, y1: 4.6645, y2: 2.0965, y3: 10.88, y4: -0.003 });
  for (const [compressionDb, reading] of [
    [1, readBack.atOneDbCompression],
    [3, readBack.atThreeDbCompression],
  ] as const) {
    const at = grid.find((r) => r > top && gainDb(r) <= gainDb(top) - compressionDb) ?? 0;
    expect(Math.abs((reading?.outputDb ?? 0) - (outputDb(at) - largest))).toBeLessThan(0.005);
    expect(reading?.compressionDb).toBeCloseTo(compressionDb, 6);
  }
});
