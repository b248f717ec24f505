import { describe, expect, test } from 'vitest';
import {
  applyBasis,
  type BasisStructure,
  envelopeOf,
  envelopePowerStep,
  memoryPolynomialStructure,
  memorySpan,
} from '../../../src/engine/basis/memoryPolynomial.ts';
import { type ComplexSignal, fromPairs, wrap, zeros } from '../../../src/engine/dsp/complex.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { lcgSignal } from '../../reference/lcg.ts';
import { largestDifference } from '../waveform/build.ts';

/** Σ_i c_i·x[n−l_i]·|x[n−l_i−m_i]|^(k_i−1), straight from the definition, indices taken round the record. */
function slowBasis({ terms }: BasisStructure, c: ComplexSignal, x: ComplexSignal): ComplexSignal {
  const length = x.re.length;
  const at = (n: number) => ((n % length) + length) % length;
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    terms.forEach(({ delaySamples, envelopeDelaySamples, nonlinearOrder }, i) => {
      const s = at(n - delaySamples);
      const e = at(n - delaySamples - envelopeDelaySamples);
      const weight = Math.hypot(x.re[e], x.im[e]) ** (nonlinearOrder - 1);
      out.re[n] += weight * (c.re[i] * x.re[s] - c.im[i] * x.im[s]);
      out.im[n] += weight * (c.re[i] * x.im[s] + c.im[i] * x.re[s]);
    });
  }
  return out;
}

const term = (delaySamples: number, envelopeDelaySamples: number, nonlinearOrder: number) => ({
  delaySamples,
  envelopeDelaySamples,
  nonlinearOrder,
});

const structures: [string, BasisStructure][] = [
  ['odd orders, 3 taps', memoryPolynomialStructure([1, 3, 5, 7], 3)],
  ['all orders, 4 taps', memoryPolynomialStructure([1, 2, 3, 4, 5], 4)],
  ['odd orders without the linear one', memoryPolynomialStructure([5, 3], 2)],
  [
    'lagging and leading envelope',
    { terms: [term(0, 0, 1), term(1, 2, 3), term(0, -1, 5), term(-2, 1, 3), term(3, -3, 3), term(1, 2, 7)] },
  ],
  ['leading envelope, all orders', { terms: [term(0, -2, 2), term(0, -2, 3), term(2, 1, 4)] }],
];

describe('applyBasis', () => {
  // Source: definition (Ding et al. 2004, eq. 11; cross terms Morgan et al. 2006, eq. 24). Rounding only.
  test.each(structures)('%s equals the definition', (_, structure) => {
    const x = lcgSignal(61, 5);
    const c = lcgSignal(structure.terms.length, 6);
    expect(largestDifference(applyBasis(structure, c, x), slowBasis(structure, c, x))).toBeLessThan(1e-14);
  });

  // Source: memory longer than the record wraps more than once.
  test('wraps as often as the delay asks', () => {
    const structure = { terms: [term(23, 0, 3), term(-17, 9, 1)] };
    const x = lcgSignal(7, 5);
    const c = lcgSignal(2, 6);
    expect(largestDifference(applyBasis(structure, c, x), slowBasis(structure, c, x))).toBeLessThan(1e-14);
  });

  // Source: reference check TT-02: two equal tones of amplitude A at ±D through c·x|x|^(p−1) give lines of
  // c·A^p·C(p, (p−m)/2) at ±mD. 1e-10 relative, as the check asks.
  test.each(Object.entries(checks['TT-02'].expected))('two tones through order %s give its lines', (order, lines) => {
    const p = Number(order);
    const length = 256;
    const bin = 5;
    const amplitude = 0.7;
    const x = zeros(length);
    for (let n = 0; n < length; n++) x.re[n] = 2 * amplitude * Math.cos((2 * Math.PI * bin * n) / length);
    const c = fromPairs([{ re: 0.3, im: -0.4 }]);
    const bins = fft(applyBasis({ terms: [term(0, 0, p)] }, c, x));
    lines.forEach((line, i) => {
      for (const side of [1, -1]) {
        const at = wrap(side * (2 * i + 1) * bin, length);
        expect(bins.re[at] / length).toBeCloseTo(0.3 * amplitude ** p * line, 10);
        expect(bins.im[at] / length).toBeCloseTo(-0.4 * amplitude ** p * line, 10);
      }
    });
  });

  test('refuses a wrong number of coefficients with both counts', () => {
    const structure = memoryPolynomialStructure([1, 3], 2);
    expect(() => applyBasis(structure, zeros(3), lcgSignal(8))).toThrow(/applyBasis: 3 coefficients for 4 terms/);
  });
});

describe('structure', () => {
  // Source: architecture: "Taps" means memory depth, delays including zero; index m·orderCount + k.
  test('delays run slowest', () => {
    const { terms } = memoryPolynomialStructure([1, 3, 5], 2);
    expect(terms.map(({ delaySamples, nonlinearOrder }) => [delaySamples, nonlinearOrder])).toEqual([
      [0, 1],
      [0, 3],
      [0, 5],
      [1, 1],
      [1, 3],
      [1, 5],
    ]);
  });

  test('memory span counts history and look-ahead', () => {
    expect(memorySpan(memoryPolynomialStructure([1, 3], 1))).toBe(1);
    expect(memorySpan(memoryPolynomialStructure([1], 5))).toBe(5);
    expect(memorySpan({ terms: [term(0, 0, 1), term(2, 3, 3), term(0, -2, 3)] })).toBe(8);
  });

  test('a root is taken only for even orders', () => {
    expect(envelopePowerStep(memoryPolynomialStructure([1, 3, 9], 2))).toBe(2);
    expect(envelopePowerStep(memoryPolynomialStructure([1, 2, 3], 2))).toBe(1);
    const x = fromPairs([{ re: 3, im: 4 }]);
    expect([envelopeOf(x, 2)[0], envelopeOf(x, 1)[0]]).toEqual([25, 5]);
  });
});
