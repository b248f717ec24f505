import { describe, expect, test } from 'vitest';
import { accumulateNormalEquations } from '../../../src/engine/basis/gram.ts';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { orthonormalCoefficients } from '../../../src/engine/basis/orthogonal.ts';
import { type ComplexSignal, peakPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { conditionOfGram, solveNormalEquations } from '../../../src/engine/dsp/leastSquares.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { multicarrierRecord } from '../linearization/multicarrierRecord.ts';
import { randomSignal } from '../waveform/build.ts';

/** Γ at whole and half arguments. */
function gamma(value: number): number {
  if (value === 1) return 1;
  if (value === 0.5) return Math.sqrt(Math.PI);
  return (value - 1) * gamma(value - 1);
}

/** Moment matrix of x·|x|^(k−1): E|x|^(k+l). */
function momentMatrix(orders: readonly number[], moment: (power: number) => number): ComplexSignal {
  const size = orders.length;
  const gram = zeros(size * size);
  orders.forEach((k, i) => {
    orders.forEach((l, j) => {
      gram.re[i * size + j] = moment(k + l);
    });
  });
  return gram;
}

function columnScaled(gram: ComplexSignal, size: number): ComplexSignal {
  const out = zeros(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      out.re[i * size + j] = gram.re[i * size + j] / Math.sqrt(gram.re[i * size + i] * gram.re[j * size + j]);
    }
  }
  return out;
}

const odd = (highest: number) => Array.from({ length: (highest + 1) / 2 }, (_, i) => 2 * i + 1);
const all = (highest: number) => Array.from({ length: highest }, (_, i) => i + 1);
const gaussian = (power: number) => gamma(power / 2 + 1);
const uniform = (power: number) => 1 / (power + 1);

// Source: Raich and Zhou 2004 motivate them; values of OP-03 computed with numpy from exact moments. The check gives
// condition numbers of the moment matrix, ours are of the regressor matrix: their roots. 1e-6 relative for conditions
// below 1e10, as OP-03 asks.
describe.each(Object.entries(checks['OP-03'].expected))(
  'OP-03: moment matrices up to order %s',
  (highest, expected) => {
    const cases = [
      ['gauss_odd', odd(+highest), gaussian],
      ['gauss_all', all(+highest), gaussian],
      ['uniform01_odd', odd(+highest), uniform],
      ['uniform01_all', all(+highest), uniform],
    ] as const;
    const within = cases.flatMap(([name, orders, moment]) => [
      { name, orders, moment, scaled: false, value: expected[name] },
      { name: `${name}_colscaled`, orders, moment, scaled: true, value: expected[`${name}_colscaled`] },
    ]);

    test.each(within.filter(({ value }) => value < 1e10))('$name: $value', ({ orders, moment, scaled, value }) => {
      const gram = momentMatrix(orders, moment);
      const size = orders.length;
      const condition = conditionOfGram(scaled ? columnScaled(gram, size) : gram, size);
      expect(Math.abs(condition ** 2 / value - 1)).toBeLessThan(1e-6);
    });
  },
);

// Source: OP-03's condition numbers, on one record of noise. Tolerance: four standard deviations of 24 records of 2^20
// samples in numpy, [raw, scaled]; |x|^14 alone scatters by √(14!/7!²/2^20) = 6 %, so that "a few %" holds up to order 5.
test.each([
  [3, 0.0008, 0.0014],
  [5, 0.007, 0.011],
  [7, 0.03, 0.083],
])('noise of unit variance comes close to order %i', (highest, rawScatter, scaledScatter) => {
  const x = scale(randomSignal(1 << 20, createRandom(1, 'noise')), Math.SQRT1_2);
  const structure = memoryPolynomialStructure(odd(highest), 1);
  const { gram, rightSide } = accumulateNormalEquations(structure, x, x, 'whole');
  const solution = solveNormalEquations(gram, rightSide, 0);
  const expected = checks['OP-03'].expected[`${highest}` as '3'];
  const raw = (solution?.rawConditionNumber ?? 0) / Math.sqrt(expected.gauss_odd);
  const scaled = (solution?.conditionNumber ?? 0) / Math.sqrt(expected.gauss_odd_colscaled);
  expect(Math.abs(raw - 1)).toBeLessThan(4 * rawScatter);
  expect(Math.abs(scaled - 1)).toBeLessThan(4 * scaledScatter);
});

// Source: OP-01: the orthonormal basis has condition number 1 where the monomials of order 9 have 80 (scaled).
test('orthonormal polynomials cure it', () => {
  const count = 5;
  const gram = zeros(count * count);
  for (let a = 0; a < count; a++) {
    for (let b = 0; b < count; b++) {
      orthonormalCoefficients(a).forEach((p, m) => {
        orthonormalCoefficients(b).forEach((q, l) => {
          gram.re[a * count + b] += p * q * gaussian(2 * (m + l + 1));
        });
      });
    }
  }
  expect(conditionOfGram(gram, count)).toBeCloseTo(1, 8);
});

// Source: DI-06, computed with numpy on a record of its own seed; factor 2, as the check asks.
describe('DI-06: regressors of a 6.8 times oversampled multicarrier', () => {
  const record = multicarrierRecord(32768, 4801, 5334, 8, 1);
  const x = scale(record.signal, 1 / Math.sqrt(peakPower(record.signal)));

  test.each(Object.entries(checks['DI-06'].expected))('%s', (name, expected) => {
    const [order, delays] = name.split(',').map((part) => Number(part.slice(2)));
    const structure = memoryPolynomialStructure(odd(order), delays + 1);
    const { gram, rightSide } = accumulateNormalEquations(structure, x, x, 'whole');
    const solution = solveNormalEquations(gram, rightSide, 0);
    const raw = (solution?.rawConditionNumber ?? 0) / expected.peak_norm;
    const scaled = (solution?.conditionNumber ?? 0) / expected.col_scaled;
    expect(Math.max(raw, 1 / raw)).toBeLessThan(2);
    expect(Math.max(scaled, 1 / scaled)).toBeLessThan(2);
  });
});
