// Ding et al. 2004, IEEE Trans. Commun. 52(1), eqs (8)-(10): figures of check PA-07, computed with numpy from the
// printed coefficients. Its filters and polynomial in the units they are printed in.
import { describe, expect, test } from 'vitest';
import { impulseResponse } from '../../../src/engine/amplifier/wienerHammerstein.ts';
import { scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { amplifierOf, largestAmplitude, noise } from './settings.ts';

/** Check PA-07. */
const PA_07 = {
  inputGain: 1.875,
  outputGain: 1.5,
  smallSignalGainDb: 9.106334742,
  innerPlateau: 0.7531822379,
  drivePlateau: 0.4016971936,
  outputPlateau: 0.5755422804,
  impulse: [
    [0.101156908, 0.008412809],
    [0.06067946288, 0.005079854355],
    [0.06875263072, 0.005798526047],
    [0.03639613289, 0.0030743778],
    [0.0112821284, 0.0009542910043],
    [0.003857841912, 0.0003261379432],
    [0.001412136996, 0.0001193356567],
    [0.0005386548618, 4.551032797e-5],
  ],
} as const;

const model = amplifierOf(
  { kind: 'published', id: 'Ding_2004_Wiener_Hammerstein' },
  { sampleRateHz: 1e8, sampleCount: 256 },
);
const { drive: driveUnit, output: outputUnit } = model.ownUnits;

describe('Wiener–Hammerstein amplifier of Ding 2004 (PA-07)', () => {
  test('its filters have the gains 1.875 and 1.5 at the carrier', () => {
    const sum = (taps: Float64Array) => taps.reduce((total, tap) => total + tap, 0);
    expect(sum(impulseResponse({ numerator: [1, 0, 0.5], denominator: [1, -0.2] }))).toBeCloseTo(PA_07.inputGain, 12);
    expect(sum(impulseResponse({ numerator: [1, 0, -0.1], denominator: [1, -0.4] }))).toBeCloseTo(PA_07.outputGain, 12);
  });
  test('response to an impulse of 0.1, within 1e-9', () => {
    const x = zeros(256);
    x.re[0] = 0.1 / driveUnit;
    const y = scale(model.amplify(x), outputUnit);
    PA_07.impulse.forEach(([re, im], n) => {
      expect(Math.abs(y.re[n] - re)).toBeLessThan(1e-9);
      expect(Math.abs(y.im[n] - im)).toBeLessThan(1e-9);
    });
  });
  test('small-signal gain, and range and output of the plateau', () => {
    const { re, im } = model.staticOutput(1e-6 / driveUnit);
    expect(20 * Math.log10((outputUnit * Math.hypot(re, im)) / 1e-6)).toBeCloseTo(PA_07.smallSignalGainDb, 8);
    expect((model.driveRange ?? 0) * driveUnit).toBeCloseTo(PA_07.drivePlateau, 9);
    expect(outputUnit / PA_07.outputGain).toBeCloseTo(PA_07.outputPlateau, 7);
  });
  test('any drive, far beyond the range too, stays within the bound, which for these filters is saturated power', () => {
    // All taps of H are positive, those of G sum to 1.5 in magnitude as well.
    expect(model.outputBound).toBeCloseTo(1, 6);
    for (const seed of [1, 2, 3, 4, 5, 6]) {
      const y = model.amplify(scale(noise(256, seed % 2 === 0 ? 1 : 0.2, seed), 10 ** (seed - 3)));
      expect(largestAmplitude(y)).toBeLessThanOrEqual(model.outputBound ?? 0);
    }
  });
});
