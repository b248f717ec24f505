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
