// The orthogonal route: published coefficients, the same signal as powers, and the condition number it saves.
import { describe, expect, test } from 'vitest';
import { generalizedMemoryPolynomialStructure } from '../../../src/engine/basis/generalizedMemoryPolynomial.ts';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import {
  type Amplitude,
  orthogonalRows,
  orthonormalCoefficients,
  uniformCoefficients,
} from '../../../src/engine/basis/orthogonal.ts';
import { orthogonalRegressors } from '../../../src/engine/basis/orthogonalRegressors.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { conditioningOf } from '../../../src/engine/dsp/leastSquares.ts';
import { fitPostInverse, residualDb } from '../../../src/engine/linearization/postInverse.ts';
import { lcgUniform } from '../../reference/lcg.ts';

/** Σ_ab T_a·T_b·E|x|^(orders sum). */
function inner(a: ArrayLike<number>, b: ArrayLike<number>, moment: (power: number) => number): number {
  let sum = 0;
  for (let m = 0; m < a.length; m++) for (let l = 0; l < b.length; l++) sum += a[m] * b[l] * moment(m + l + 2);
  return sum;
}

/** |x| Rayleigh of unit power, or uniform from 0 to 1; any angle. Independent samples. */
function drawn(amplitude: Amplitude, length: number): ComplexSignal {
  const u = lcgUniform(2 * length, 4);
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    const share = u[2 * n] + 0.5;
    const radius = amplitude === 'uniform' ? share : Math.sqrt(-Math.log(1 - share));
    out.re[n] = radius * Math.cos(2 * Math.PI * u[2 * n + 1]);
    out.im[n] = radius * Math.sin(2 * Math.PI * u[2 * n + 1]);
  }
  return out;
}

// Source: OP-02, whole numbers and squared norms 1/(2k+1) (Raich, Qian and Zhou 2004, from memory).
describe('OP-02: polynomials orthogonal for a uniform amplitude', () => {
  test.each([
    [1, [1]],
    [2, [-3, 4]],
    [3, [6, -20, 15]],
    [4, [-10, 60, -105, 56]],
    [5, [15, -140, 420, -504, 210]],
    [6, [-21, 280, -1260, 2520, -2310, 792]],
  ])('coefficients of ψ_%i', (k, expected) => {
    expect([...uniformCoefficients(k)]).toEqual(expected);
  });

  test('off-diagonal moments vanish, the diagonal is 1/(2k+1)', () => {
    for (let a = 1; a <= 6; a++) {
      for (let b = 1; b <= 6; b++) {
        const value = inner(uniformCoefficients(a), uniformCoefficients(b), (power) => 1 / (power + 1));
        expect(value).toBeCloseTo(a === b ? 1 / (2 * a + 1) : 0, 9);
      }
    }
  });
});

// Source: orthogonal functions of one span in one order are unique but for their size, so Gram–Schmidt on a grid must
// give the closed forms. 1e-4: the grid's midpoint rule.
describe('orthogonalRows', () => {
  test.each(['gaussian', 'uniform'] as const)('Gram–Schmidt and closed form agree: %s', (amplitude) => {
    const orders = amplitude === 'gaussian' ? [1, 3, 5, 7] : [1, 2, 3, 4];
    const closed = orthogonalRows(orders, amplitude);
    // A gap at the end leaves the rows before it as they are, and the list is no longer one of the closed forms'.
    const numeric = orthogonalRows([...orders, 10], amplitude);
    closed.forEach((row, k) => {
      const factor = row[k] / numeric[k][k];
      row.forEach((value, m) => {
        expect(Math.abs((numeric[k][m] * factor) / value - 1)).toBeLessThan(1e-4);
      });
    });
    expect(closed[2]).toEqual(amplitude === 'gaussian' ? orthonormalCoefficients(2) : uniformCoefficients(3));
  });
});

describe('a fit by the orthogonal route', () => {
  const structures = {
    'odd orders': memoryPolynomialStructure([1, 3, 5, 7], 3),
    'all orders': memoryPolynomialStructure([1, 2, 3, 4, 5], 2),
    'orders with a gap, depth by order': memoryPolynomialStructure([1, 3, 7], [3, 2, 1]),
    'cross terms': generalizedMemoryPolynomialStructure([1, 3, 5], 2, {
      nonlinearOrders: [3, 5],
      memoryDepth: 2,
      laggingEnvelopeDelays: 1,
      leadingEnvelopeDelays: 1,
    }),
  };
  const x = drawn('gaussian', 4000);
  const bent = { re: x.re.map((v, n) => v * (1 - 0.1 * Math.tanh(x.re[n] ** 2 + x.im[n] ** 2))), im: x.im };

  // Source: least squares over the same span has one solution. 1e-9 of the signal, −180 dB, as far as powers allow.
  test.each(Object.entries(structures))('gives the same signal as powers: %s', (_, structure) => {
    for (const window of ['whole', { startSample: 3500, sampleCount: 1500 }] as const) {
      const task = { observation: x, target: bent, window, ridge: 0 };
      const range = { startSample: 0, sampleCount: x.re.length };
      const powers = fitPostInverse({ ...task, structure: polynomialRegressors(structure), solver: 'cholesky' });
      for (const amplitude of ['gaussian', 'uniform'] as const) {
        for (const solver of ['cholesky', 'qr'] as const) {
          const regressors = orthogonalRegressors(structure, amplitude);
          const fit = fitPostInverse({ ...task, structure: regressors, solver });
          if (fit === null || powers === null) throw new Error('no fit');
          const ours = regressors.apply(fit.coefficients, x);
          expect(residualDb(regressors.apply(powers.coefficients, x), ours, range)).toBeLessThan(-180);
          expect(Math.abs(fit.residualDb - powers.residualDb)).toBeLessThan(1e-6);
        }
      }
    }
  });

  // Source: the definition, ΦᴴΦ from the columns.
  test('normal equations are those of the columns', () => {
    const regressors = orthogonalRegressors(structures['cross terms'], 'gaussian');
    const range = { startSample: 3900, sampleCount: 300 };
    const { gram, termCount } = regressors.normalEquations(x, bent, range);
    const columns = regressors.columns(x, range);
    const scaleOf = (i: number) => Math.sqrt(meanPower(columns[i]) * range.sampleCount);
    for (let i = 0; i < termCount; i++) {
      for (let j = 0; j < termCount; j++) {
        let re = 0;
        for (let k = 0; k < range.sampleCount; k++) {
          re += columns[i].re[k] * columns[j].re[k] + columns[i].im[k] * columns[j].im[k];
        }
        expect(Math.abs(gram.re[i * termCount + j] - re) / (scaleOf(i) * scaleOf(j))).toBeLessThan(1e-12);
      }
    }
  });

  // Source: OP-03, "orthogonal basis gives 1"; the check's powers need sqrt(86.5) = 9.3 for Gaussian odd orders up to 5
  // and sqrt(3.3e6) = 1819 for uniform all orders up to 5. 15 %: moments of 20 000 samples scatter.
  test.each([
    ['gaussian', [1, 3, 5], Math.sqrt(86.53550671)],
    ['uniform', [1, 2, 3, 4, 5], Math.sqrt(3308421.044)],
  ] as const)('condition number near 1 for the amplitude it is made for: %s', (amplitude, orders, ofPowers) => {
    const signal = drawn(amplitude, 20000);
    const structure = memoryPolynomialStructure(orders, 1);
    const conditionOf = (one: { normalEquations: ReturnType<typeof polynomialRegressors>['normalEquations'] }) => {
      const { gram, termCount } = one.normalEquations(signal, signal, 'whole');
      return conditioningOf(gram, termCount).conditionNumber ?? Infinity;
    };
    expect(conditionOf(orthogonalRegressors(structure, amplitude))).toBeLessThan(1.15);
    expect(conditionOf(polynomialRegressors(structure)) / ofPowers).toBeGreaterThan(0.85);
    expect(conditionOf(polynomialRegressors(structure)) / ofPowers).toBeLessThan(1.15);
  });
});
