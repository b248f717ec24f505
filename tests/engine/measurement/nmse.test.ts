import { describe, expect, test } from 'vitest';
import {
  addScaled,
  innerProduct,
  leastSquaresGain,
  meanPower,
  rotate,
  zeros,
} from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { lcgSignal } from '../../reference/lcg.ts';

const x = lcgSignal(1000, 1);
/** A disturbance without any part along x. */
const raw = lcgSignal(1000, 2);
const along = leastSquaresGain(x, raw);
const e = addScaled(raw, { re: -along.re, im: -along.im }, x);

describe('measureNmseDb', () => {
  // Source: definition: y = g·x + s·e with e ⟂ x has the error s²|e|²/|g·x|².
  test.each([1, 1e-3, 1e-7])('reads a disturbance of relative size %f', (size) => {
    const g = { re: 0.6, im: -0.8 };
    const y = addScaled(rotate(x, g), { re: size, im: 0 }, e);
    const expected = powerRatioToDb((size ** 2 * meanPower(e)) / meanPower(x));
    expect(measureNmseDb(x, y)).toBeCloseTo(expected, 6);
  });

  // Source: one complex gain is removed first (architecture §6). The disturbance left is that of the size above.
  test('does not change with gain and phase of the output', () => {
    const y = addScaled(x, { re: 0.01, im: 0 }, e);
    expect(measureNmseDb(x, rotate(y, { re: -3, im: 4 }))).toBeCloseTo(measureNmseDb(x, y), 10);
  });

  // Source: double precision: an exact copy leaves rounding, 1e-16 of the amplitude (−313 dB, floored at −300). A
  // difference of energies would stop at −150 dB.
  test('an exact copy reads rounding, below −290 dB', () => {
    expect(measureNmseDb(x, rotate(x, { re: 0.3, im: 0.7 }))).toBeLessThan(-290);
    const tiny = addScaled(x, { re: 1e-11, im: 0 }, e);
    expect(measureNmseDb(x, tiny)).toBeCloseTo(powerRatioToDb((1e-22 * meanPower(e)) / meanPower(x)), 3);
  });

  test('an output without any part of the reference reads the other end, never NaN', () => {
    expect(measureNmseDb(x, zeros(1000))).toBe(300);
    const inner = innerProduct(x, e);
    expect(Math.hypot(inner.re, inner.im)).toBeLessThan(1e-12);
    expect(measureNmseDb(x, e)).toBeGreaterThan(250);
  });
});
