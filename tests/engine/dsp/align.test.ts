import { describe, expect, test } from 'vitest';
import { alignRecords, delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { addScaled, type ComplexSignal, meanPower, rotate, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';

/** Flat band of `binCount` random-phase bins about bin `centre`, unit mean power. */
function flatBand(length: number, binCount: number, random: Random, centre = 0): ComplexSignal {
  const bins = zeros(length);
  const amplitude = length / Math.sqrt(binCount);
  for (let i = 0; i < binCount; i++) {
    const k = centre + i - (binCount - 1) / 2;
    const at = (k + length) % length;
    const phase = 2 * Math.PI * random.uniform();
    bins.re[at] = amplitude * Math.cos(phase);
    bins.im[at] = amplitude * Math.sin(phase);
  }
  return inverseFft(bins);
}

function withNoise(x: ComplexSignal, snrDb: number, random: Random): ComplexSignal {
  const sigma = Math.sqrt(meanPower(x) * 10 ** (-snrDb / 10) * 0.5);
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = x.re[n] + sigma * random.normal();
    out.im[n] = x.im[n] + sigma * random.normal();
  }
  return out;
}

function errorDb(x: ComplexSignal, y: ComplexSignal): number {
  return powerRatioToDb(meanPower(addScaled(y, { re: -1, im: 0 }, x)) / meanPower(x));
}

// LI-06 of the project's reference checks: N = 32768, B = 9 MHz / 61.44 MHz, odd so that it is symmetric about 0.
const LENGTH = 32768;
const BIN_COUNT = 4801;
const BANDWIDTH = BIN_COUNT / LENGTH;

describe('delayPeriodic', () => {
  test('a tone on bin k is turned by −2πkd/N, closed form', () => {
    const length = 96;
    const x = zeros(length);
    const wanted = zeros(length);
    for (let n = 0; n < length; n++) {
      x.re[n] = Math.cos((2 * Math.PI * -7 * n) / length);
      x.im[n] = Math.sin((2 * Math.PI * -7 * n) / length);
      wanted.re[n] = Math.cos((2 * Math.PI * -7 * (n - 3.3)) / length);
      wanted.im[n] = Math.sin((2 * Math.PI * -7 * (n - 3.3)) / length);
    }
    expect(errorDb(wanted, delayPeriodic(x, 3.3))).toBeLessThan(-280); // rounding of one transform pair
  });

  test('a whole delay is an exact rotation of the record, and wraps', () => {
    const x = flatBand(128, 31, createRandom(5, 'whole'));
    const y = delayPeriodic(x, -130);
    for (let n = 0; n < 128; n++) expect(y.re[n]).toBe(x.re[(n + 2) % 128]);
  });

  test('two delays in a row add up, for a length that is not a power of two', () => {
    const x = flatBand(1096, 201, createRandom(6, 'chirp'));
    const twice = delayPeriodic(delayPeriodic(x, 2.71), -11.13);
    expect(errorDb(delayPeriodic(x, 2.71 - 11.13), twice)).toBeLessThan(-250);
  });
});

describe('alignRecords', () => {
  test.each([
    [LENGTH, BIN_COUNT, 0.3717],
    [LENGTH, BIN_COUNT, -1234.4999],
    [8768, 643, 17.5],
    [8768, 643, -4384.25],
    [4096, 4001, 0.5], // nearly the whole rate: the correlation is only two samples wide
  ])('without noise the delay of %i samples, %i bins, is found within 1e-9 (LI-06)', (length, binCount, delay) => {
    const x = flatBand(length, binCount, createRandom(11, 'noise-free'));
    const y = rotate(delayPeriodic(x, delay), { re: -0.3, im: 0.4 });
    const found = alignRecords(x, y);
    const error = found.delaySamples - delay;
    expect(Math.abs(error - length * Math.round(error / length))).toBeLessThan(1e-9); // LI-06
    expect(found.gain.re).toBeCloseTo(-0.3, 9);
    expect(found.gain.im).toBeCloseTo(0.4, 9);
    expect(found.residualDb).toBeLessThan(-180); // 2π·f_rms·1e-10 samples of rounding
    expect(found.correlationRatio).toBeCloseTo(1, 9);
  });

  test.each([10, 20, 30, 40])(
    'at %i dB SNR the spread over 100 trials is the Cramér–Rao bound within 25 percent (LI-06)',
    (snrDb) => {
      const random = createRandom(20260 + snrDb, 'li-06');
      const x = flatBand(LENGTH, BIN_COUNT, random);
      const bound = 1 / Math.sqrt((2 * LENGTH * 10 ** (snrDb / 10) * (2 * Math.PI * BANDWIDTH) ** 2) / 12);
      let sumOfSquares = 0;
      let stated = 0;
      for (let trial = 0; trial < 100; trial++) {
        const delay = 40 * random.uniform() - 20;
        const found = alignRecords(x, withNoise(delayPeriodic(x, delay), snrDb, random));
        sumOfSquares += (found.delaySamples - delay) ** 2;
        stated += found.delayDeviationSamples / 100;
      }
      const ratio = Math.sqrt(sumOfSquares / 100) / bound;
      // 100 trials spread by 7 %: 25 % is 3.5 of their standard deviations (tolerance of LI-06).
      expect(ratio).toBeGreaterThan(0.75);
      expect(ratio).toBeLessThan(1.25);
      expect(stated / bound).toBeGreaterThan(0.97); // an average over bins and trials: far tighter than one trial
      expect(stated / bound).toBeLessThan(1.03);
    },
  );

  test('the bound itself is the value of LI-06 at 40 dB', () => {
    const bound = 1 / Math.sqrt((2 * LENGTH * 1e4 * (2 * Math.PI * 0.1465148926) ** 2) / 12);
    expect(bound).toBeCloseTo(0.0001469904158, 9);
  });

  test.each([
    [0.001, -71.51057967],
    [0.003, -61.96815458],
    [0.01, -51.51057967],
    [0.05, -37.53117959],
    [0.1, -31.51057967],
  ])('a residual delay of %f samples leaves 20·log10(2π·B/√12·τ) = %f dB (LI-07)', (delay, wantedDb) => {
    const x = flatBand(LENGTH, BIN_COUNT, createRandom(31, 'li-07'));
    const leftDb = errorDb(x, delayPeriodic(x, delay));
    expect(Math.abs(leftDb - wantedDb)).toBeLessThan(0.15); // LI-07's tolerance; the formula is first order in τ
    const rmsCyclesPerSample = BIN_COUNT / LENGTH / Math.sqrt(12);
    expect(20 * Math.log10(2 * Math.PI * rmsCyclesPerSample * delay)).toBeCloseTo(wantedDb, 2);
  });

  test('37.3 ns at 122.88 Msps and 40 dB SNR is found within 0.2 ns, and leaves less than 0.1 % (F20)', () => {
    const random = createRandom(41, 'f20');
    const sampleRateHz = 122.88e6;
    const length = 24 * 8768;
    const x = flatBand(length, 15413, random); // 9 MHz of 122.88
    const y = withNoise(rotate(delayPeriodic(x, 37.3e-9 * sampleRateHz), { re: 0, im: 2 }), 40, random);
    const found = alignRecords(x, y);
    expect(Math.abs(found.delaySamples / sampleRateHz - 37.3e-9)).toBeLessThan(0.2e-9); // F20
    expect(found.delayErrorPercent).toBeLessThan(0.1); // F20
    expect(found.residualDb).toBeCloseTo(-40, 1); // the noise, and nothing of the delay
    expect(Math.hypot(found.gain.re, found.gain.im - 2)).toBeLessThan(1e-3);
  });

  test('a band beside the centre of the record: its phase is not taken for delay', () => {
    const random = createRandom(43, 'offset');
    const x = flatBand(LENGTH, 1201, random, 9000);
    const found = alignRecords(x, withNoise(rotate(delayPeriodic(x, 5.25), { re: 0.6, im: 0.8 }), 30, random));
    // The bound counts ω from the band's centre; 4 standard deviations.
    const bound = 1 / Math.sqrt((2 * LENGTH * 1e3 * ((2 * Math.PI * 1201) / LENGTH) ** 2) / 12);
    expect(Math.abs(found.delaySamples - 5.25)).toBeLessThan(4 * bound);
    expect(found.delayDeviationSamples / bound).toBeCloseTo(1, 0);
  });

  test('records that share nothing correlate by about √(ln N/N), and are said to', () => {
    const random = createRandom(47, 'strangers');
    const found = alignRecords(flatBand(4096, 601, random), flatBand(4096, 601, random));
    expect(found.correlationRatio).toBeLessThan(0.2); // largest of ~600 Rayleigh values over √600
  });

  test('unequal and empty records are the caller’s mistake', () => {
    const x = flatBand(64, 9, createRandom(1));
    expect(() => alignRecords(x, flatBand(32, 9, createRandom(1)))).toThrow(
      'alignRecords: signals of 64 and 32 samples',
    );
    expect(() => alignRecords(x, scale(x, 0))).toThrow('alignRecords: a record of 64 samples holds no power');
  });
});
