import { describe, expect, test } from 'vitest';
import { type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { resamplePeriodic } from '../../../src/engine/dsp/resample.ts';

function noise(length: number, seed = 1): ComplexSignal {
  const random = createRandom(seed, 'resample');
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = random.normal();
    x.im[n] = random.normal();
  }
  return x;
}

/** exp(j2π·cycles·n/length): `cycles` whole periods in the record. */
function tone(length: number, cycles: number, amplitude = 1): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    // Whole turns are left out first: they would cost the reference four digits at the far end of a long record.
    const angle = (2 * Math.PI * ((cycles * n) % length)) / length;
    x.re[n] = amplitude * Math.cos(angle);
    x.im[n] = amplitude * Math.sin(angle);
  }
  return x;
}

function largestDifference(x: ComplexSignal, y: ComplexSignal): number {
  expect(x.re.length).toBe(y.re.length);
  let largest = 0;
  for (let n = 0; n < x.re.length; n++) {
    largest = Math.max(largest, Math.abs(x.re[n] - y.re[n]), Math.abs(x.im[n] - y.im[n]));
  }
  return largest;
}

describe('resamplePeriodic', () => {
  // Even and odd lengths, powers of two, a prime, and the 10 MHz symbol (8768 samples) at 200 and 307.2 Msps.
  test.each([
    [64, 128],
    [64, 65],
    [63, 64],
    [63, 101],
    [96, 250],
    [97, 211],
    [3 * 8768, 42812 + 1],
    [6 * 8768, 85625],
    [8768, 21920],
  ])('%i samples to %i and back returns the record', (length, longer) => {
    const x = noise(length);
    // Tolerance: rounding of four transforms of unit noise, some 1e-14.
    expect(largestDifference(resamplePeriodic(resamplePeriodic(x, longer), length), x)).toBeLessThan(1e-12);
  });

  // Closed form: a tone with a whole number of cycles is the same tone at any rate that still holds its frequency.
  test.each([
    [96, 250, 31],
    [96, 250, -47],
    [250, 96, 47],
    [250, 96, -13],
    [101, 63, 30],
    [101, 64, -31],
    [8768, 21920, 4000],
  ])('a tone keeps amplitude and phase: %i to %i samples, %i cycles', (from, to, cycles) => {
    expect(largestDifference(resamplePeriodic(tone(from, cycles), to), tone(to, cycles))).toBeLessThan(1e-12);
  });

  test('content above half the new rate is dropped', () => {
    for (const cycles of [33, -33, 60]) {
      expect(meanPower(resamplePeriodic(tone(250, cycles), 64))).toBeLessThan(1e-26);
    }
  });

  // At exactly half the rate +f and −f are one bin: the longer record gets both halves, cos in place of exp.
  test('the bin at half the smaller rate is split into both signs', () => {
    const up = resamplePeriodic(tone(64, 32), 200);
    const expected = zeros(200);
    for (let n = 0; n < 200; n++) expected.re[n] = Math.cos((2 * Math.PI * 32 * n) / 200);
    expect(largestDifference(up, expected)).toBeLessThan(1e-12);
  });

  test('the mean power of a band-limited record does not change', () => {
    const x = resamplePeriodic(noise(60), 384);
    expect(meanPower(resamplePeriodic(x, 625))).toBeCloseTo(meanPower(x), 12);
  });

  test('a new record is returned even when nothing changes', () => {
    const x = noise(8);
    const y = resamplePeriodic(x, 8);
    expect(largestDifference(x, y)).toBe(0);
    y.re[0] = 99;
    expect(x.re[0]).not.toBe(99);
  });

  test('a length that is not a whole number is a programmer’s mistake', () => {
    expect(() => resamplePeriodic(noise(8), 8.5)).toThrow('resamplePeriodic: new length 8.5');
    expect(() => resamplePeriodic(noise(8), 0)).toThrow(RangeError);
  });
});
