import { describe, expect, test } from 'vitest';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import {
  addFilteredSparse,
  besselI0,
  filterPeriodic,
  kaiserLowpass,
  moveFilter,
  spread,
} from '../../../src/engine/dsp/fir.ts';
import { shiftByCycles } from '../../../src/engine/dsp/frequencyShift.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { largestDifference, randomSignal } from '../waveform/build.ts';
import golden from './fir.golden.json' with { type: 'json' };

/** y[n] = Σ_k h[k]·x[(n − k + delay) mod N], straight from the definition. */
function slowFilter(x: ComplexSignal, h: ComplexSignal, delay: number): ComplexSignal {
  const length = x.re.length;
  const y = zeros(length);
  for (let n = 0; n < length; n++) {
    for (let k = 0; k < h.re.length; k++) {
      const at = (((n - k + delay) % length) + length) % length;
      y.re[n] += h.re[k] * x.re[at] - h.im[k] * x.im[at];
      y.im[n] += h.re[k] * x.im[at] + h.im[k] * x.re[at];
    }
  }
  return y;
}

/** |H| at a frequency in cycles per sample. */
function gainAt(taps: Float64Array, ratio: number): number {
  let re = 0;
  let im = 0;
  taps.forEach((tap, n) => {
    re += tap * Math.cos(2 * Math.PI * ratio * n);
    im -= tap * Math.sin(2 * Math.PI * ratio * n);
  });
  return Math.hypot(re, im);
}

describe('kaiserLowpass', () => {
  // Source: scipy.signal.firwin, fir.golden.py. Both sum the same few hundred terms: rounding only.
  test.each(golden.filters)('equals scipy for $tapCount taps, beta $beta', ({ tapCount, cutoffRatio, beta, taps }) => {
    const ours = kaiserLowpass({ tapCount, cutoffRatio, beta });
    expect(Math.max(...taps.map((tap, n) => Math.abs(tap - ours[n])))).toBeLessThan(1e-15);
  });

  // Source: scipy.special.i0, fir.golden.py.
  test.each(golden.bessel)('I0(%f) equals scipy', (x, expected) => {
    expect(besselI0(x) / expected - 1).toBeCloseTo(0, 13);
  });

  // Source: window method: symmetric taps, unit DC gain by scaling, half amplitude at the cut-off (long filter).
  test('is symmetric, passes DC and halves the cut-off', () => {
    const taps = kaiserLowpass({ tapCount: 513, cutoffRatio: 4.8 / 122.88, beta: 9 });
    expect(gainAt(taps, 0)).toBeCloseTo(1, 12);
    expect(gainAt(taps, 4.8 / 122.88)).toBeCloseTo(0.5, 4);
    for (let n = 0; n < 256; n++) expect(taps[n]).toBeCloseTo(taps[512 - n], 15);
  });

  // Source: Kaiser's design rule beta = 0.1102(A − 8.7): beta 9 is 90 dB; first side lobe may be up to 1 dB off it.
  test('keeps the stop band at Kaiser’s attenuation', () => {
    const taps = kaiserLowpass({ tapCount: 513, cutoffRatio: 4.8 / 122.88, beta: 9 });
    const stop = Array.from({ length: 2000 }, (_, i) => gainAt(taps, 5.5 / 122.88 + (i / 2000) * 0.45));
    expect(20 * Math.log10(Math.max(...stop))).toBeLessThan(-89);
  });

  test('refuses an even length, a cut-off outside the band and a negative beta', () => {
    expect(() => kaiserLowpass({ tapCount: 512, cutoffRatio: 0.1, beta: 9 })).toThrow(/512/);
    expect(() => kaiserLowpass({ tapCount: 5, cutoffRatio: 0.6, beta: 9 })).toThrow(/0\.6/);
    expect(() => kaiserLowpass({ tapCount: 5, cutoffRatio: 0.1, beta: -1 })).toThrow(/-1/);
  });
});

describe('filterPeriodic', () => {
  const random = createRandom(11);
  // Records and filters on both sides of the switch between direct form and blocks, and a filter beyond the record.
  test.each([
    [1000, 3, 1],
    [1000, 33, 16],
    [3001, 513, 256],
    [5000, 129, -7],
    [137, 201, 100],
    [64, 65, 500],
  ])('record %i, %i taps, delay %i: equals the definition', (length, tapCount, delay) => {
    const x = randomSignal(length, random);
    const h = randomSignal(tapCount, random);
    // Rounding of transforms of up to 8192 points: 1e-13 with some room.
    expect(largestDifference(filterPeriodic(x, h, delay), slowFilter(x, h, delay))).toBeLessThan(1e-12);
  });

  test('delay of a symmetric filter removed: a slow wave comes out in place', () => {
    const length = 4096;
    const x = shiftByCycles({ re: new Float64Array(length).fill(1), im: new Float64Array(length) }, 5);
    const taps = kaiserLowpass({ tapCount: 257, cutoffRatio: 0.1, beta: 9 });
    const y = filterPeriodic(x, { re: taps, im: new Float64Array(257) }, 128);
    // Pass-band ripple of beta 9 is 3e-5; a wrong delay of one sample would show 8e-3.
    expect(largestDifference(y, x)).toBeLessThan(1e-4);
  });

  test('refuses an empty filter and a fractional delay', () => {
    expect(() => filterPeriodic(zeros(8), zeros(0), 0)).toThrow(/0 taps/);
    expect(() => filterPeriodic(zeros(8), zeros(3), 0.5)).toThrow(/0\.5/);
  });
});

describe('addFilteredSparse', () => {
  test.each([true, false])('adds what filtering the dense record gives (real taps: %s)', (isReal) => {
    const random = createRandom(5);
    const length = 900;
    const taps = randomSignal(101, random);
    if (isReal) taps.im.fill(0);
    const sparse = { indices: Int32Array.of(0, 3, 450, 899), values: randomSignal(4, random), count: 4 };
    const start = randomSignal(length, random);
    const out = { re: start.re.slice(), im: start.im.slice() };
    addFilteredSparse(out, sparse, taps, 50, -1.15);
    const filtered = slowFilter(spread(sparse, length), taps, 50);
    const expected = zeros(length);
    for (let n = 0; n < length; n++) {
      expected.re[n] = start.re[n] - 1.15 * filtered.re[n];
      expected.im[n] = start.im[n] - 1.15 * filtered.im[n];
    }
    expect(largestDifference(out, expected)).toBeLessThan(1e-13);
  });

  test('refuses a filter longer than the record', () => {
    const sparse = { indices: Int32Array.of(0), values: zeros(1), count: 1 };
    expect(() => addFilteredSparse(zeros(10), sparse, zeros(11), 5, 1)).toThrow(/11 taps/);
  });
});

test('a moved filter does to a moved record what the filter does to the record', () => {
  const random = createRandom(9);
  const length = 1200;
  const x = randomSignal(length, random);
  const taps = kaiserLowpass({ tapCount: 65, cutoffRatio: 0.1, beta: 6 });
  const plain = filterPeriodic(x, { re: taps, im: new Float64Array(65) }, 32);
  const moved = filterPeriodic(shiftByCycles(x, -77), moveFilter(taps, -77 / length), 32);
  expect(largestDifference(moved, shiftByCycles(plain, -77))).toBeLessThan(1e-12);
});
