import { describe, expect, test } from 'vitest';
import { accumulateNormalEquations, regressorColumns, type SampleWindow } from '../../../src/engine/basis/gram.ts';
import {
  applyBasis,
  type BasisStructure,
  memoryPolynomialStructure,
} from '../../../src/engine/basis/memoryPolynomial.ts';
import { type ComplexSignal, innerProduct, zeros } from '../../../src/engine/dsp/complex.ts';
import { lcgSignal } from '../../reference/lcg.ts';

const term = (delaySamples: number, envelopeDelaySamples: number, nonlinearOrder: number) => ({
  delaySamples,
  envelopeDelaySamples,
  nonlinearOrder,
});

/** Memory polynomial of three taps with cross terms whose envelope lags and leads by up to two samples. */
const generalized: BasisStructure = {
  terms: [
    ...memoryPolynomialStructure([1, 3, 5], 3).terms,
    ...[1, 2].flatMap((lag) => [0, 1, 2].flatMap((l) => [term(l, lag, 3), term(l, -lag, 3), term(l, -lag, 5)])),
  ],
};

const structures: [string, BasisStructure][] = [
  ['odd orders, 1 tap', memoryPolynomialStructure([1, 3, 5, 7, 9], 1)],
  ['odd orders, 5 taps', memoryPolynomialStructure([1, 3, 5, 7, 9], 5)],
  ['all orders, 4 taps', memoryPolynomialStructure([1, 2, 3, 4, 5, 6], 4)],
  ['cross terms with lag and lead', generalized],
  [
    'scattered delays, unordered',
    { terms: [term(7, 0, 3), term(0, 0, 1), term(-3, 2, 4), term(0, -6, 3), term(7, 0, 1)] },
  ],
];

/** Two blocks of the accumulation and a rest. */
const LENGTH = 2500;
const windows: ['whole' | SampleWindow, string][] = [
  ['whole', 'the whole record'],
  [{ startSample: 0, sampleCount: LENGTH }, 'a window of the whole record'],
  [{ startSample: 13, sampleCount: 1024 }, 'a window inside'],
  [{ startSample: 5, sampleCount: 37 }, 'a short window'],
  [{ startSample: 2000, sampleCount: 1800 }, 'a window that wraps'],
];

/** φ_i over the record by applying one coefficient: independent of both functions under test. */
function column(structure: BasisStructure, index: number, x: ComplexSignal): ComplexSignal {
  const one = zeros(structure.terms.length);
  one.re[index] = 1;
  return applyBasis(structure, one, x);
}

function cut(x: ComplexSignal, { startSample, sampleCount }: SampleWindow): ComplexSignal {
  const out = zeros(sampleCount);
  for (let k = 0; k < sampleCount; k++) {
    out.re[k] = x.re[(startSample + k) % x.re.length];
    out.im[k] = x.im[(startSample + k) % x.re.length];
  }
  return out;
}

describe.each(structures)('%s', (_, structure) => {
  const x = lcgSignal(LENGTH, 21);
  const u = lcgSignal(LENGTH, 22);
  const size = structure.terms.length;
  const whole = structure.terms.map((_term, i) => column(structure, i, x));

  // Source: definition G = ΦᴴΦ, b = Φᴴu by plain sums. 1e-12 of √(G_ii·G_jj): 2500 roundings at most.
  test.each(windows)('normal equations of %j (%s)', (window) => {
    const range = window === 'whole' ? { startSample: 0, sampleCount: LENGTH } : window;
    const columns = whole.map((one) => cut(one, range));
    const target = cut(u, range);
    const { gram, rightSide, sampleCount, termCount } = accumulateNormalEquations(structure, x, u, window);
    expect([sampleCount, termCount]).toEqual([range.sampleCount, size]);
    const norms = columns.map((one) => Math.sqrt(innerProduct(one, one).re));
    let worst = 0;
    columns.forEach((row, i) => {
      columns.forEach((other, j) => {
        const plain = innerProduct(row, other);
        const at = i * size + j;
        const error = Math.hypot(gram.re[at] - plain.re, gram.im[at] - plain.im);
        worst = Math.max(worst, error / (norms[i] * norms[j]));
      });
      const plain = innerProduct(row, target);
      const error = Math.hypot(rightSide.re[i] - plain.re, rightSide.im[i] - plain.im);
      worst = Math.max(worst, error / (norms[i] * Math.sqrt(innerProduct(target, target).re)));
    });
    expect(worst).toBeLessThan(1e-12);
  });

  test('is exactly Hermitian with a real diagonal', () => {
    const { gram } = accumulateNormalEquations(structure, x, u, 'whole');
    for (let i = 0; i < size; i++) {
      expect(Math.abs(gram.im[i * size + i])).toBe(0);
      for (let j = 0; j < size; j++) {
        expect(gram.re[i * size + j]).toBeCloseTo(gram.re[j * size + i], 12);
        expect(gram.im[i * size + j]).toBeCloseTo(-gram.im[j * size + i], 12);
      }
    }
  });

  // Source: definition; for QR.
  test.each(windows.slice(1))('regressor columns of %j (%s)', (window) => {
    const range = window as SampleWindow;
    regressorColumns(structure, x, range).forEach((ours, i) => {
      const plain = cut(whole[i], range);
      for (let k = 0; k < range.sampleCount; k++) {
        expect(Math.hypot(ours.re[k] - plain.re[k], ours.im[k] - plain.im[k])).toBeLessThan(1e-15);
      }
    });
  });
});

test('unequal lengths are refused with both', () => {
  const structure = memoryPolynomialStructure([1], 1);
  expect(() => accumulateNormalEquations(structure, lcgSignal(8), lcgSignal(9), 'whole')).toThrow(
    /gram: input of 8 and target of 9 samples/,
  );
});
