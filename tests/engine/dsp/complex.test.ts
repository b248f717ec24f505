import { describe, expect, test } from 'vitest';
import {
  addScaled,
  copy,
  fromPairs,
  innerProduct,
  leastSquaresGain,
  meanPower,
  peakPower,
  rotate,
  scale,
  wrap,
  zeros,
} from '../../../src/engine/dsp/complex.ts';
import { lcgSignal } from '../../reference/lcg.ts';

const x = fromPairs([{ re: 1, im: 2 }, { re: -3 }, { re: 0, im: -1 }]);
const y = fromPairs([
  { re: 2, im: -1 },
  { re: 1, im: 1 },
  { re: 4, im: 0 },
]);

// Source of the numbers in this file: complex arithmetic by hand.
describe('element by element', () => {
  test('zeros, pairs and copies', () => {
    expect(Array.from(zeros(2).re)).toEqual([0, 0]);
    expect(Array.from(x.im)).toEqual([2, 0, -1]);
    const other = copy(x);
    other.re[0] = 9;
    expect(x.re[0]).toBe(1);
  });

  test('real and complex factors', () => {
    expect(Array.from(scale(x, -2).im)).toEqual([-4, -0, 2]);
    const turned = rotate(x, { re: 2, im: 1 }); // (1 + 2j)(2 + j) = 5j, −3(2 + j), −j(2 + j) = 1 − 2j
    expect(Array.from(turned.re)).toEqual([0, -6, 1]);
    expect(Array.from(turned.im)).toEqual([5, -3, -2]);
  });

  test('x + g·y', () => {
    const sum = addScaled(x, { re: 0, im: 1 }, y); // j·y = 1 + 2j, −1 + j, 4j
    expect(Array.from(sum.re)).toEqual([2, -4, 0]);
    expect(Array.from(sum.im)).toEqual([4, 1, 3]);
  });
});

describe('sums', () => {
  test('mean and peak power', () => {
    expect(meanPower(x)).toBeCloseTo((5 + 9 + 1) / 3, 15);
    expect(peakPower(x)).toBe(9);
  });

  test('⟨y, x⟩ = Σ conj(x)·y', () => {
    // (1 − 2j)(2 − j) = −5j; −3(1 + j); j·4
    expect(innerProduct(x, y)).toEqual({ re: -3, im: -5 - 3 + 4 });
  });

  // Source: least squares: the residual is orthogonal to x, and a y = g·x returns g.
  test('the least-squares gain leaves an orthogonal residual', () => {
    const a = lcgSignal(500, 1);
    const b = addScaled(rotate(a, { re: 0.8, im: -0.3 }), { re: 0.2, im: 0 }, lcgSignal(500, 2));
    const g = leastSquaresGain(a, b);
    const residual = addScaled(b, { re: -g.re, im: -g.im }, a);
    const inner = innerProduct(a, residual);
    expect(Math.hypot(inner.re, inner.im) / (500 * meanPower(a))).toBeLessThan(1e-15);
    const exact = leastSquaresGain(a, rotate(a, { re: 0.8, im: -0.3 }));
    expect(exact.re).toBeCloseTo(0.8, 14);
    expect(exact.im).toBeCloseTo(-0.3, 14);
  });

  test('unequal lengths are refused with both', () => {
    expect(() => innerProduct(x, zeros(2))).toThrow(/innerProduct: signals of 3 and 2 samples/);
    expect(() => addScaled(x, { re: 1, im: 0 }, zeros(4))).toThrow(RangeError);
  });
});

test.each([
  [7, 5, 2],
  [-1, 5, 4],
  [-11, 5, 4],
  [5, 5, 0],
  [-0.5, 8, 7.5],
  [-1e-17, 8, 0],
])('wrap(%d, %d) is %d: never the length itself', (value, length, expected) => {
  expect(wrap(value, length)).toBe(expected);
});
