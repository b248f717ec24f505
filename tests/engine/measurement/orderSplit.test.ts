import { describe, expect, test } from 'vitest';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { orthonormalCoefficients } from '../../../src/engine/basis/orthogonal.ts';
import {
  addScaled,
  type ComplexSignal,
  fromPairs,
  innerProduct,
  leastSquaresGain,
  meanPower,
  rotate,
} from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { bandPower } from '../../../src/engine/dsp/spectrum.ts';
import { holdAmplitude } from '../../../src/engine/linearization/idealLimiter.ts';
import { type OrderSplit, SPLIT_ORDERS, splitByOrder } from '../../../src/engine/measurement/orderSplit.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { largestDifference } from '../waveform/build.ts';
import { flatNoise, wholeRecord } from './flatNoise.ts';

const record = { length: 1 << 18, bins: 26215 };

function sumOf(parts: readonly ComplexSignal[]): ComplexSignal {
  return parts.reduce((sum, part) => addScaled(sum, { re: 1, im: 0 }, part));
}

/** |⟨a, b⟩| over both norms. */
function correlation(a: ComplexSignal, b: ComplexSignal): number {
  const inner = innerProduct(a, b);
  return Math.hypot(inner.re, inner.im) / (a.re.length * Math.sqrt(meanPower(a) * meanPower(b)));
}

describe('a cubic on Gaussian noise', () => {
  const power = 0.5;
  const x = flatNoise(power, 1, record);
  const a1 = { re: 1, im: 0.2 };
  const a3 = { re: -0.1, im: 0.06 };
  const y = applyBasis(memoryPolynomialStructure([1, 3], 1), fromPairs([a1, a3]), x);
  const { parts } = splitByOrder(x, y) as OrderSplit;

  // Source: GA-03: the linear part has the gain a1 + 2·a3·P in the mean. On the record 2P is E|x|⁴/E|x|²; 26000
  // independent samples scatter it by 2/√26000 = 1.2 %, times 2·|a3|·P = 0.12: 1.5e-3. Three of them.
  test('the linear part has the gain a1 + 2·a3·P', () => {
    const expected = rotate(x, { re: a1.re + 2 * a3.re * power, im: a1.im + 2 * a3.im * power });
    const difference = addScaled(parts[0], { re: -1, im: 0 }, expected);
    expect(Math.sqrt(meanPower(difference) / meanPower(expected))).toBeLessThan(4.5e-3);
  });

  // Source: OP-01, ψ3 of a Gaussian drive: the third-order part is a3·σ³·√2·ψ3(x/σ) = a3·x·(|x|² − 2σ²). The record's
  // own moments are within 1.2 % of it (as above); a part of light tails: 3 %.
  test('the third-order part is that of OP-01', () => {
    const [down, up] = orthonormalCoefficients(1);
    const scaled = fromPairs(
      [down, up].map((c, m) => {
        const size = Math.SQRT2 * c * power ** (1 - m);
        return { re: a3.re * size, im: a3.im * size };
      }),
    );
    const expected = applyBasis(memoryPolynomialStructure([1, 3], 1), scaled, x);
    const difference = addScaled(parts[1], { re: -1, im: 0 }, expected);
    expect(Math.sqrt(meanPower(difference) / meanPower(expected))).toBeLessThan(0.03);
    expect(meanPower(expected) / meanPower(parts[1])).toBeCloseTo(1, 1);
  });

  // Source: GA-03: D = 2·|a3|²·P³ in the mean. |x|⁶ on 26000 independent samples scatters by 1.5 %: 0.2 dB.
  test('the third-order part has the power 2·|a3|²·P³', () => {
    const expected = 2 * (a3.re ** 2 + a3.im ** 2) * power ** 3;
    expect(Math.abs(powerRatioToDb(meanPower(parts[1]) / expected))).toBeLessThan(0.2);
  });

  test('there is nothing of higher order', () => {
    expect(meanPower(parts[2]) / meanPower(parts[1])).toBeLessThan(1e-12);
    expect(meanPower(parts[3]) / meanPower(parts[1])).toBeLessThan(1e-12);
  });

  // Source: GA-08: two thirds of a third-order product lie in the channel, a sixth in each adjacent one. Scatter of this record: 0.003.
  test('the third-order part makes the shoulders', () => {
    const spectrum = wholeRecord(parts[1]);
    const total = meanPower(parts[1]);
    const share = (j: number) => bandPower(spectrum, j * record.bins, record.bins) / total;
    expect(Math.abs(share(0) - checks['GA-08'].expected['3']['0'])).toBeLessThan(0.01);
    expect(Math.abs(share(1) - checks['GA-08'].expected['3']['1'])).toBeLessThan(0.01);
    expect(Math.abs(share(-1) - checks['GA-08'].expected['3']['1'])).toBeLessThan(0.01);
    const linear = wholeRecord(parts[0]);
    expect(powerRatioToDb(bandPower(linear, record.bins, record.bins) / meanPower(parts[0]))).toBeLessThan(-100);
  });
});

describe('an amplifier with memory and orders up to seven', () => {
  const x = flatNoise(0.3, 2, record);
  const coefficients = fromPairs([
    { re: 1, im: 0 },
    { re: -0.2, im: 0.1 },
    { re: 0.04, im: -0.05 },
    { re: -0.006, im: 0.008 },
    { re: 0.1, im: -0.05 },
    { re: 0.06, im: 0.03 },
    { re: -0.02, im: 0.01 },
    { re: 0.003, im: 0 },
  ]);
  const y = applyBasis(memoryPolynomialStructure(SPLIT_ORDERS, 2), coefficients, x);
  const { parts, residualDb } = splitByOrder(x, y) as OrderSplit;

  // Source: the parts are the fit, rewritten; the amplifier lies within its structure.
  test('the parts add up to the output', () => {
    expect(largestDifference(sumOf(parts), y)).toBeLessThan(1e-6);
  });

  // Source: nested least-squares spaces. 1e-5: the normal equations of tenfold oversampled taps are nearly dependent.
  test('parts of different order are uncorrelated', () => {
    for (let i = 0; i < 4; i++) {
      for (let j = 0; j < i; j++) expect(correlation(parts[i], parts[j])).toBeLessThan(1e-5);
    }
  });

  test('nothing is left over: the amplifier lies within the structure', () => {
    expect(residualDb).toBeLessThan(-110);
  });

  test('the power of the output is the sum of theirs', () => {
    const sum = parts.reduce((total, part) => total + meanPower(part), 0);
    expect(sum / meanPower(y)).toBeCloseTo(1, 8);
  });
});

// A drive clipped at 1.6 of its rms is far from Gaussian: on polynomials orthogonal for a Gaussian its parts correlate
// by a third and more.
describe('a shaped drive', () => {
  const x = holdAmplitude(flatNoise(1, 4, record), 1.6);
  const soft = (z: ComplexSignal) => {
    const out = { re: z.re.slice(), im: z.im.slice() };
    for (let n = 0; n < out.re.length; n++) {
      const factor = 1 / Math.sqrt(1 + 0.3 * (z.re[n] ** 2 + z.im[n] ** 2));
      out.re[n] *= factor;
      out.im[n] *= factor;
    }
    return out;
  };
  const y = soft(x);

  test.each([1, 4])('with %i taps the parts are uncorrelated and their powers add up with the residual', (taps) => {
    const { parts, residualDb } = splitByOrder(x, y, taps) as OrderSplit;
    for (let i = 0; i < 4; i++) {
      for (let j = 0; j < i; j++) expect(correlation(parts[i], parts[j])).toBeLessThan(1e-3);
    }
    const sum = parts.reduce((total, part) => total + meanPower(part), 0);
    expect(sum / meanPower(y) + 10 ** (residualDb / 10)).toBeCloseTo(1, 6);
    // A soft knee is no polynomial: something is left, and less than the seventh order took.
    expect(residualDb).toBeGreaterThan(-110);
    expect(residualDb).toBeLessThan(powerRatioToDb(meanPower(parts[3]) / meanPower(y)));
  });

  // Source: Gram–Schmidt under the drive's moments: the linear gain is E[x*·y]/E|x|².
  test('with one tap the linear part is the least-squares gain', () => {
    const { parts } = splitByOrder(x, y, 1) as OrderSplit;
    expect(largestDifference(parts[0], rotate(x, leastSquaresGain(x, y)))).toBeLessThan(1e-9);
  });
});

// Source: |x| constant makes all orders the same function: the fit has no single answer.
test('a drive of constant amplitude gives null', () => {
  const x = fromPairs(
    Array.from({ length: 256 }, (_, n) => ({ re: Math.cos(0.7 * n * n), im: Math.sin(0.7 * n * n) })),
  );
  expect(splitByOrder(x, x)).toBeNull();
});
