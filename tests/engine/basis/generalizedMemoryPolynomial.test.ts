// Generalized memory polynomial: counts of PA-09, terms against the defining sums (Morgan et al. 2006, eq. (24)), and its
// own coefficients found again by least squares.
import { describe, expect, test } from 'vitest';
import { generalizedMemoryPolynomialStructure } from '../../../src/engine/basis/generalizedMemoryPolynomial.ts';
import { accumulateNormalEquations } from '../../../src/engine/basis/gram.ts';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { solveNormalEquations } from '../../../src/engine/dsp/leastSquares.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { lcgSignal } from '../../reference/lcg.ts';

const CROSS = { nonlinearOrders: [3, 5], memoryDepth: 3, laggingEnvelopeDelays: 2, leadingEnvelopeDelays: 1 };

describe('PA-09: number of coefficients (Morgan et al. 2006)', () => {
  const { expected } = checks['PA-09'];

  test('5 orders × 4 delays, 3 × 4 × 2 lagging and 3 × 4 × 1 leading', () => {
    const cross = { nonlinearOrders: [2, 3, 4], memoryDepth: 4, laggingEnvelopeDelays: 2, leadingEnvelopeDelays: 1 };
    const { terms } = generalizedMemoryPolynomialStructure([1, 2, 3, 4, 5], 4, cross);
    expect(terms).toHaveLength(expected.gmp_example);
    expect(expected.gmp_example).toBe(20 + 24 + 12);
  });

  test('memory polynomials without cross terms', () => {
    const none = { nonlinearOrders: [3], memoryDepth: 1, laggingEnvelopeDelays: 0, leadingEnvelopeDelays: 0 };
    expect(generalizedMemoryPolynomialStructure([1, 3, 5], 3, none).terms).toHaveLength(expected.ding);
    expect(generalizedMemoryPolynomialStructure([1, 3, 5, 7, 9], 4, none).terms).toHaveLength(expected.mp_9_3_odd);
    expect(generalizedMemoryPolynomialStructure([1, 3, 5], 3, none)).toEqual(memoryPolynomialStructure([1, 3, 5], 3));
  });
});

/** The three sums as printed, with wrapped indices; c in the stated order of terms. */
function printedSums(x: ComplexSignal, c: ComplexSignal): ComplexSignal {
  const length = x.re.length;
  const at = (n: number) => ((n % length) + length) % length;
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    let i = 0;
    const add = (l: number, envelope: number, order: number) => {
      const a = at(n - l);
      const b = at(envelope);
      const weight = Math.sqrt(x.re[b] ** 2 + x.im[b] ** 2) ** (order - 1);
      out.re[n] += (c.re[i] * x.re[a] - c.im[i] * x.im[a]) * weight;
      out.im[n] += (c.re[i] * x.im[a] + c.im[i] * x.re[a]) * weight;
      i++;
    };
    for (const l of [0, 1, 2]) for (const order of [1, 3, 5]) add(l, n - l, order);
    for (const l of [0, 1, 2]) {
      for (const m of [1, 2]) for (const order of [3, 5]) add(l, n - l - m, order);
      for (const order of [3, 5]) add(l, n - l + 1, order);
    }
  }
  return out;
}

const structure = generalizedMemoryPolynomialStructure([1, 3, 5], 3, CROSS);

function relativeError(a: ComplexSignal, b: ComplexSignal): number {
  let error = 0;
  let power = 0;
  for (let n = 0; n < a.re.length; n++) {
    error += (a.re[n] - b.re[n]) ** 2 + (a.im[n] - b.im[n]) ** 2;
    power += b.re[n] ** 2 + b.im[n] ** 2;
  }
  return Math.sqrt(error / power);
}

test('its output is the three printed sums, lag behind and lead ahead, in the stated order', () => {
  const x = lcgSignal(257, 3);
  const c = lcgSignal(structure.terms.length, 4);
  expect(relativeError(applyBasis(structure, c, x), printedSums(x, c))).toBeLessThan(1e-13);
});

test('no term occurs twice', () => {
  const keys = structure.terms.map((term) => JSON.stringify(term));
  expect(new Set(keys).size).toBe(keys.length);
});

test('least squares finds the coefficients that made an output', () => {
  const x = lcgSignal(4000, 5);
  const c = lcgSignal(structure.terms.length, 6);
  const { gram, rightSide } = accumulateNormalEquations(structure, x, applyBasis(structure, c, x), 'whole');
  const found = solveNormalEquations(gram, rightSide, 0);
  expect(found?.coefficients.re).toHaveLength(9 + 18);
  // 1e-10: double precision times the squared condition number of white noise, below 1e4.
  expect(relativeError(found?.coefficients ?? zeros(27), c)).toBeLessThan(1e-10);
});

test('cross terms of order 1 are refused: they would repeat the linear term', () => {
  expect(() => generalizedMemoryPolynomialStructure([1, 3], 2, { ...CROSS, nonlinearOrders: [1, 3] })).toThrow(
    /cross-term orders 1,3 must be 2 or more/,
  );
});
