import { describe, expect, test } from 'vitest';
import { createDriveResampler, multipleOf } from '../../../src/engine/amplifier/driveResampling.ts';
import { copy, rotate, scale } from '../../../src/engine/dsp/complex.ts';
import { resamplePeriodic } from '../../../src/engine/dsp/resample.ts';
import { lcgSignal } from '../../reference/lcg.ts';

const x = lcgSignal(384);

describe('multipleOf', () => {
  test.each([1, 0.3, -2, 1e-8])('finds the factor %d', (factor) => {
    expect(multipleOf(x, scale(x, factor))).toBeCloseTo(factor, 14);
  });

  test('is null for a phase, one other sample, another length, silence', () => {
    expect(multipleOf(x, rotate(x, { re: 0, im: 1 }))).toBeNull();
    const other = copy(x);
    other.im[200] *= 1 + 1e-14;
    expect(multipleOf(x, other)).toBeNull();
    expect(multipleOf(x, lcgSignal(383))).toBeNull();
    expect(multipleOf(scale(x, 0), x)).toBeNull();
  });
});

describe('createDriveResampler', () => {
  // Tolerance: rounding of two transforms of some hundred points.
  test('gives what resampling each drive gives, whatever came before', () => {
    const resample = createDriveResampler(625);
    const drives = [x, scale(x, 1.3), scale(x, -0.2), lcgSignal(384, 7), scale(x, 2), x];
    for (const drive of drives) {
      const exact = resamplePeriodic(drive, 625);
      const arrived = resample(drive);
      for (let n = 0; n < 625; n++) {
        expect(Math.abs(arrived.re[n] - exact.re[n])).toBeLessThan(1e-14);
        expect(Math.abs(arrived.im[n] - exact.im[n])).toBeLessThan(1e-14);
      }
    }
  });
});
