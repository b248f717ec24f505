// Spectral regrowth of a Gaussian waveform in closed form: an independent truth for amplifier, basis, spectrum and ACLR.
import { describe, expect, test } from 'vitest';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { orthonormalCoefficients, toOrthonormal } from '../../../src/engine/basis/orthogonal.ts';
import {
  addScaled,
  type ComplexSignal,
  fromPairs,
  leastSquaresGain,
  meanPower,
} from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { channelPowers, flatNoise } from './flatNoise.ts';

type Pair = { readonly re: number; readonly im: number };

function throughPolynomial(c: readonly Pair[], x: ComplexSignal): ComplexSignal {
  const orders = c.map((_, k) => 2 * k + 1);
  return applyBasis(memoryPolynomialStructure(orders, 1), fromPairs(c), x);
}

/** Eulerian numbers ⟨n, k⟩ by their recurrence. */
function eulerian(n: number, k: number): number {
  if (k < 0 || k >= n) return 0;
  return n === 1 ? 1 : (k + 1) * eulerian(n - 1, k) + (n - k) * eulerian(n - 1, k - 1);
}

function factorial(n: number): number {
  return n < 2 ? 1 : n * factorial(n - 1);
}

/** Share of a product of odd order n in the channel j away: n-fold convolution of rectangles. */
function share(n: number, j: number): number {
  return eulerian(n, (n - 1) / 2 + j) / factorial(n);
}

/** Closed form: powers of the orthogonal parts, each spread over the channels by its share. */
function channelPower(c: readonly Pair[], power: number, j: number): number {
  const scaled = fromPairs(c.map(({ re, im }, k) => ({ re: re * power ** (k + 0.5), im: im * power ** (k + 0.5) })));
  const parts = toOrthonormal(scaled);
  return c.reduce((sum, _, m) => sum + (parts.re[m] ** 2 + parts.im[m] ** 2) * share(2 * m + 1, j), 0);
}

describe('GA-08: where the products of one order fall', () => {
  // Source: GA-08, Eulerian numbers over n!; 1e-12 of the fractions it prints with ten digits.
  test.each(Object.entries(checks['GA-08'].expected))('shares of order %s', (order, shares) => {
    const n = Number(order);
    for (const [j, value] of Object.entries(shares)) expect(share(n, Number(j))).toBeCloseTo(value, 9);
    const all = Array.from({ length: n }, (_, i) => share(n, i - (n - 1) / 2));
    expect(all.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 12);
  });

  // Source: GA-08 on records, orthonormal parts of OP-01, 16 records of 2^18 samples. Tolerances [main, adjacent,
  // alternate …] are four standard deviations measured with numpy on records of the same size: products of high order
  // live on few peaks.
  test.each([
    [3, [0.04, 0.11]],
    [5, [0.17, 0.22, 1]],
    [7, [0.36, 0.24, 2, 3.6]],
    [9, [0.36, 0.24, 0.8, 2.8, 4.6]],
  ] as const)('order %i on records of noise', (order, tolerancesDb) => {
    const psi = Array.from(orthonormalCoefficients((order - 1) / 2), (re) => ({ re, im: 0 }));
    const record = { length: 1 << 18, bins: 27887 };
    const { inChannel, total } = channelPowers((x) => throughPolynomial(psi, x), 1, 16, (order - 1) / 2, record);
    tolerancesDb.forEach((toleranceDb, j) => {
      const value = checks['GA-08'].expected[`${order}` as '9'][`${j}` as '0'];
      expect(Math.abs(powerRatioToDb(inChannel(j) / total / value))).toBeLessThan(toleranceDb);
      expect(Math.abs(powerRatioToDb(inChannel(-j) / total / value))).toBeLessThan(toleranceDb);
    });
  });
});

describe('GA-03: linear and distorted part of a cubic', () => {
  const { alpha, D, SDR_dB } = checks['GA-03'].expected;
  const c = [
    { re: 1, im: 0 },
    { re: -0.1, im: 0 },
  ];

  // Source: GA-03: α = c1 + 2·c3·P, D = 2|c3|²P³ (Bussgang 1952). Tolerances: with 10⁵ independent samples E|x|⁴
  // scatters by √20/√10⁵ = 1.4 % of 2, times c3·P: 0.07 % of α. D holds |x|⁶: 0.1 dB as GA-02 allows.
  test('on a record of noise', () => {
    const x = flatNoise(0.5, 2);
    const y = throughPolynomial(c, x);
    const gain = leastSquaresGain(x, y);
    expect(Math.abs(gain.re / alpha - 1)).toBeLessThan(7e-4);
    expect(Math.abs(gain.im)).toBeLessThan(1e-12);
    const distortion = meanPower(addScaled(y, { re: -gain.re, im: -gain.im }, x));
    expect(Math.abs(powerRatioToDb(distortion / D))).toBeLessThan(0.1);
    const ratioDb = powerRatioToDb((gain.re ** 2 * meanPower(x)) / distortion);
    expect(Math.abs(ratioDb - SDR_dB)).toBeLessThan(0.1);
  });
});

describe('GA-09: exact ACLR of a polynomial amplifier', () => {
  // Source: GA-09 (Price, Bussgang and B-splines), 1e-9 with the ten digits printed.
  test.each(Object.entries(checks['GA-09'].expected))('closed form: %s', (_, { c, P, Pmain, ACLR1_dB, ACLR2_dB }) => {
    expect(channelPower(c, P, 0)).toBeCloseTo(Pmain, 9);
    expect(powerRatioToDb(channelPower(c, P, 0) / channelPower(c, P, 1))).toBeCloseTo(ACLR1_dB, 7);
    if (ACLR2_dB === null) expect(channelPower(c, P, 2)).toBe(0);
    else expect(powerRatioToDb(channelPower(c, P, 0) / channelPower(c, P, 2))).toBeCloseTo(ACLR2_dB, 7);
  });

  // Source: the same values, simulated on 2^20 samples or more. The adjacent channel holds 0.1 dB, as GA-09 states. The
  // alternate channels, at 44 and 52 dB, scatter by 0.3 and 0.75 dB from one record of 2^18 samples to the next (numpy):
  // four standard deviations of the mean. Cubics have none: rounding.
  test.each([
    ['cubic c3=-0.1 P=0.5', 8, null],
    ['cubic complex', 8, null],
    ['quintic', 32, 0.22],
    ['septic', 48, 0.43],
  ] as const)('%s on %i records of noise', (row, recordCount, toleranceDb) => {
    const { c, P, ACLR1_dB, ACLR2_dB } = checks['GA-09'].expected[row];
    const record = { length: 1 << 18, bins: 41943 };
    const { inChannel } = channelPowers((x) => throughPolynomial(c, x), P, recordCount, 2, record);
    for (const side of [-1, 1]) {
      const adjacentDb = powerRatioToDb(inChannel(0) / inChannel(side));
      const alternateDb = powerRatioToDb(inChannel(0) / inChannel(2 * side));
      expect(Math.abs(adjacentDb - ACLR1_dB)).toBeLessThan(0.1);
      if (ACLR2_dB === null) expect(alternateDb).toBeGreaterThan(250);
      else expect(Math.abs(alternateDb - ACLR2_dB)).toBeLessThan(toleranceDb ?? 0);
    }
  });
});
