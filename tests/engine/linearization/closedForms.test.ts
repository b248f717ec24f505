// Inverses whose coefficients and residuals have closed forms: DX-03 and DX-04.
import { describe, expect, test } from 'vitest';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type Complex, fromPairs, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { fitPostInverse } from '../../../src/engine/linearization/postInverse.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { randomSignal } from '../waveform/build.ts';

// Source: DX-03, closed form MMSE = |a|^(2(Q+1))·(1−|a|²)/(1−|a|^(2(Q+2))) of the inverse of a first-order moving average.
describe.each(Object.entries(checks['DX-03'].expected))('DX-03: %s', (name, expected) => {
  test('the fitted inverse has its taps and its residual', () => {
    const [, size = '0', unit = '', delays = '0'] = name.match(/a=([\d.]+)(j?),Q=(\d+)/) ?? [];
    const a: Complex = unit === 'j' ? { re: 0, im: Number(size) } : { re: Number(size), im: 0 };
    const x = randomSignal(1 << 16, createRandom(1));
    const amplifier = memoryPolynomialStructure([1], 2);
    const structure = memoryPolynomialStructure([1], Number(delays) + 1);
    const fit = fitPostInverse({
      structure: polynomialRegressors(structure),
      observation: applyBasis(amplifier, fromPairs([{ re: 1 }, a]), x),
      target: x,
      window: 'whole',
      ridge: 0,
      solver: 'cholesky',
    });
    expect(Math.abs((fit?.residualDb ?? 0) - expected.MMSE_dB)).toBeLessThan(0.1);
    // The noise of 2^16 samples: 1/256 of the residual's amplitude, and of the taps themselves by the record's own colour.
    expected.w.forEach((tap, i) => {
      expect(Math.abs((fit?.coefficients.re[i] ?? 0) - tap.re)).toBeLessThan(0.01);
      expect(Math.abs((fit?.coefficients.im[i] ?? 0) - tap.im)).toBeLessThan(0.01);
    });
  });
});

// Source: DX-04, Schetzen's p-th order inverse d3 = −c3, d5 = 2c3² + |c3|² ahead of y = x + c3·x|x|². Two equal tones
// t·(e^jθ + e^−jθ); an order more removed makes third-order products fall two decibels faster.
describe.each(Object.entries(checks['DX-04'].expected.IM3_dBc))('DX-04: drive of %s dB', (levelDb, expected) => {
  const { c3, d3, d5 } = checks['DX-04'].expected;

  test('third-order products without, with third and with fifth-order inverse', () => {
    expect(d3).toEqual({ re: -c3.re, im: -c3.im });
    const square = { re: c3.re ** 2 - c3.im ** 2, im: 2 * c3.re * c3.im };
    expect(d5.re).toBeCloseTo(2 * square.re + c3.re ** 2 + c3.im ** 2, 12);
    expect(d5.im).toBeCloseTo(2 * square.im, 12);
    const inverses = { none: [{ re: 1 }], third: [{ re: 1 }, d3], fifth: [{ re: 1 }, d3, d5] };
    for (const [name, inverse] of Object.entries(inverses)) {
      const db = thirdOrderProductDb(Number(levelDb), c3, inverse);
      expect(Math.abs(db - expected[name as keyof typeof expected])).toBeLessThan(0.01);
    }
  });
});

const TONES = 64;

function thirdOrderProductDb(levelDb: number, c3: Complex, inverse: { re: number; im?: number }[]): number {
  const x = zeros(TONES);
  for (let n = 0; n < TONES; n++) x.re[n] = 2 * 10 ** (levelDb / 20) * LEVEL * Math.cos((2 * Math.PI * n) / TONES);
  const orders = inverse.map((_, k) => 2 * k + 1);
  const drive = applyBasis(memoryPolynomialStructure(orders, 1), fromPairs(inverse), x);
  const y = applyBasis(memoryPolynomialStructure([1, 3], 1), fromPairs([{ re: 1 }, c3]), drive);
  const line = (bin: number) => {
    let [re, im] = [0, 0];
    for (let n = 0; n < TONES; n++) {
      const [cos, sin] = [Math.cos((2 * Math.PI * bin * n) / TONES), Math.sin((2 * Math.PI * bin * n) / TONES)];
      re += (y.re[n] ?? 0) * cos + (y.im[n] ?? 0) * sin;
      im += (y.im[n] ?? 0) * cos - (y.re[n] ?? 0) * sin;
    }
    return re * re + im * im;
  };
  return 10 * Math.log10(line(3) / line(1));
}
/** Of one tone, at 0 dB. */
const LEVEL = 1;
