import { describe, expect, test } from 'vitest';
import { orthonormalCoefficients, toOrthonormal } from '../../../src/engine/basis/orthogonal.ts';
import { fromPairs } from '../../../src/engine/dsp/complex.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

const ORDERS = [0, 1, 2, 3, 4, 5];

/** E|x|^(2k) = k! for a complex Gaussian of unit variance (reference check GA-01). */
function factorial(k: number): number {
  return k < 2 ? 1 : k * factorial(k - 1);
}

/** E[conj(ψ_a)·ψ_b] by exact moments: x|x|^2m · conj(x)|x|^2l has the mean (m + l + 1)!. */
function inner(a: number, b: number): number {
  let sum = 0;
  orthonormalCoefficients(a).forEach((p, m) => {
    orthonormalCoefficients(b).forEach((q, l) => {
      sum += p * q * factorial(m + l + 1);
    });
  });
  return sum;
}

describe('OP-01: polynomials orthonormal for a complex Gaussian', () => {
  // Source: Raich and Zhou 2004 (formula from memory), values of OP-01 with ten digits.
  test.each(Object.entries(checks['OP-01'].expected))('coefficients of %s', (name, printed) => {
    const ours = orthonormalCoefficients((Number(name.slice(4)) - 1) / 2);
    expect(ours.length).toBe(Object.keys(printed).length);
    for (const [order, value] of Object.entries(printed)) expect(ours[(Number(order) - 1) / 2]).toBeCloseTo(value, 9);
  });

  // Source: L_k^(1)(u)/√(k+1), associated Laguerre polynomials by their own recurrence
  // (k+1)·L_{k+1} = (2k+2−u)·L_k − (k+1)·L_{k−1}; the sign makes the highest coefficient positive.
  test.each(ORDERS)('ψ of index %i is a Laguerre polynomial', (k) => {
    for (const u of [0, 0.3, 1, 2.7, 6]) {
      let previous = 0;
      let laguerre = 1;
      for (let j = 0; j < k; j++) {
        const next = ((2 * j + 2 - u) * laguerre - (j + 1) * previous) / (j + 1);
        previous = laguerre;
        laguerre = next;
      }
      const ours = orthonormalCoefficients(k).reduce((sum, value, m) => sum + value * u ** m, 0);
      expect(ours).toBeCloseTo((k & 1 ? -1 : 1) * (laguerre / Math.sqrt(k + 1)), 12);
    }
  });

  // Source: exact moments; 1e-8 as OP-01 asks (the sums cancel from 11!·coefficients down to 1).
  test('their moment matrix is the identity', () => {
    for (const a of ORDERS) for (const b of ORDERS) expect(inner(a, b)).toBeCloseTo(a === b ? 1 : 0, 8);
  });
});

describe('toOrthonormal', () => {
  // Source: Bussgang gain of a quintic by hand, GA-02's form: the linear part is a1 + 2a3 + 6a5, the third-order part
  // √2·(a3 + 6a5), the fifth-order part √12·a5.
  test('of a quintic', () => {
    const b = toOrthonormal(
      fromPairs([
        { re: 1, im: 0.5 },
        { re: -0.2, im: 0.1 },
        { re: 0.03, im: -0.04 },
      ]),
    );
    expect(b.re[0]).toBeCloseTo(1 - 0.4 + 0.18, 14);
    expect(b.im[0]).toBeCloseTo(0.5 + 0.2 - 0.24, 14);
    expect(b.re[1]).toBeCloseTo(Math.SQRT2 * (-0.2 + 0.18), 14);
    expect(b.im[1]).toBeCloseTo(Math.SQRT2 * (0.1 - 0.24), 14);
    expect(b.re[2]).toBeCloseTo(Math.sqrt(12) * 0.03, 14);
    expect(b.im[2]).toBeCloseTo(Math.sqrt(12) * -0.04, 14);
  });

  test('the parts add up to the polynomial', () => {
    const a = fromPairs([{ re: 1 }, { re: -0.3, im: 0.2 }, { re: 0.05, im: 0.1 }, { re: -0.01, im: 0.02 }]);
    const b = toOrthonormal(a);
    const back = new Float64Array(8);
    for (let k = 0; k < 4; k++) {
      orthonormalCoefficients(k).forEach((psi, m) => {
        back[2 * m] += b.re[k] * psi;
        back[2 * m + 1] += b.im[k] * psi;
      });
    }
    for (let m = 0; m < 4; m++) {
      expect(back[2 * m]).toBeCloseTo(a.re[m], 13);
      expect(back[2 * m + 1]).toBeCloseTo(a.im[m], 13);
    }
  });
});
