import { describe, expect, test } from 'vitest';
import { type ComplexSignal, meanPower, peakPower, zeros } from '../../../src/engine/dsp/complex.ts';
import {
  fft,
  fftInto,
  inverseFft,
  inverseFftInPlace,
  inverseFftInto,
  isPowerOfTwo,
  multiplyInPlace,
  nextPowerOfTwo,
} from '../../../src/engine/dsp/fft.ts';
import { lcgSignal } from '../../reference/lcg.ts';
import numeric from '../../reference/numeric.json' with { type: 'json' };
import { largestDifference } from '../waveform/build.ts';

/** X[b] = Σ x[n]·exp(−j2πbn/N), straight from the definition; the angle is reduced exactly. */
function slowTransform(x: ComplexSignal): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  for (let b = 0; b < length; b++) {
    for (let n = 0; n < length; n++) {
      const angle = (-2 * Math.PI * ((b * n) % length)) / length;
      out.re[b] += x.re[n] * Math.cos(angle) - x.im[n] * Math.sin(angle);
      out.im[b] += x.re[n] * Math.sin(angle) + x.im[n] * Math.cos(angle);
    }
  }
  return out;
}

/** Largest |X − Y| over the rms of the whole spectrum, which is √N·rms of the record (Parseval). */
function differenceOverRms(ours: ComplexSignal, theirs: { re: number[]; im: number[] }, step: number, rms: number) {
  return Math.max(
    ...theirs.re.map((re, i) => Math.hypot(ours.re[i * step] - re, ours.im[i * step] - theirs.im[i]) / rms),
  );
}

describe('fft of any length', () => {
  // Source: definition of the discrete Fourier transform. 1..40 has powers of two, primes and composites; 97 and 131
  // are primes. Tolerance: N roundings of 1e-16 in the plain sum itself.
  test.each([...Array.from({ length: 40 }, (_, i) => i + 1), 97, 131, 200])(
    '%i points equal the plain sum',
    (length) => {
      const x = lcgSignal(length);
      expect(largestDifference(fft(x), slowTransform(x))).toBeLessThan(2e-14);
    },
  );

  // Source: numpy.fft.fft, tests/reference/numeric.py. Tolerance: a chirp transform of 8768 points runs three
  // transforms of 32768 and loses about log2(N)·1e-16 in each.
  test.each(numeric.transforms)('$length points equal numpy', ({ length, step, re, im }) => {
    const x = lcgSignal(length);
    const rms = Math.sqrt(length * meanPower(x));
    expect(differenceOverRms(fft(x), { re, im }, step, rms)).toBeLessThan(1e-14);
  });

  // Source: Parseval, Σ|X|² = N·Σ|x|². 210432 samples are 24 symbols of the reference bench. Tolerance: rounding of
  // 2·10⁵ squares added up.
  test.each([64, 1000, 8768, 210432])('%i points keep the energy', (length) => {
    const x = lcgSignal(length);
    expect(meanPower(fft(x)) / (length * meanPower(x))).toBeCloseTo(1, 12);
  });

  // Source: definition of the inverse.
  test.each([1, 2, 7, 64, 1000, 8768])('%i points come back', (length) => {
    const x = lcgSignal(length);
    expect(largestDifference(inverseFft(fft(x)), x)).toBeLessThan(1e-14);
  });

  // Source: a tone on a bin is one line of N·A. The chirp's angles must be exact for long records (n² mod 2N): the
  // rest of the spectrum lies at rounding, 1e-13 of the line.
  test.each([1096, 210432])('a tone on a bin of %i points is one line', (length) => {
    const bin = Math.floor(0.307 * length);
    const x = zeros(length);
    for (let n = 0; n < length; n++) {
      const angle = (2 * Math.PI * ((bin * n) % length)) / length;
      x.re[n] = Math.cos(angle);
      x.im[n] = Math.sin(angle);
    }
    const bins = fft(x);
    expect(bins.re[bin] / length).toBeCloseTo(1, 12);
    bins.re[bin] = 0;
    bins.im[bin] = 0;
    expect(Math.sqrt(peakPower(bins)) / length).toBeLessThan(1e-13);
  });
});

describe('transforms into a buffer', () => {
  test('may overwrite their input', () => {
    const x = lcgSignal(256);
    const expected = fft(x);
    const work = { re: x.re.slice(), im: x.im.slice() };
    fftInto(work, work);
    expect(largestDifference(work, expected)).toBe(0);
    inverseFftInto(work, work);
    expect(largestDifference(work, x)).toBeLessThan(1e-15);
  });

  test.each([1, 64, 137 * 8, 4384])(
    'the inverse of any length, %d too, gives the same in the place of its input',
    (length) => {
      const x = lcgSignal(length);
      const apart = inverseFft(x);
      expect(inverseFftInPlace(x)).toBe(x);
      expect(x).toEqual(apart);
    },
  );

  test('refuse a length that is not a power of two, with the value', () => {
    const x = zeros(12);
    expect(() => fftInto(x, x)).toThrow(/fft: length 12 is not a power of two/);
    expect(() => inverseFftInto(x, x)).toThrow(RangeError);
  });

  test('know powers of two', () => {
    expect([1, 2, 3, 1024, 0, -4, 2.5].map(isPowerOfTwo)).toEqual([true, true, false, true, false, false, false]);
    expect([1, 2, 3, 1025].map(nextPowerOfTwo)).toEqual([1, 2, 4, 2048]);
  });

  // Source: (1 + 2j)(3 − 4j) = 11 + 2j.
  test('multiply bin by bin', () => {
    const x = { re: Float64Array.of(1), im: Float64Array.of(2) };
    multiplyInPlace(x, { re: Float64Array.of(3), im: Float64Array.of(-4) });
    expect([x.re[0], x.im[0]]).toEqual([11, 2]);
  });
});
