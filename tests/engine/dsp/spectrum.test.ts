import { describe, expect, test } from 'vitest';
import { addScaled, type ComplexSignal, fromPairs, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import {
  bandPower,
  estimateSpectrum,
  isInsideAxis,
  type PowerSpectrum,
  type SpectrumOptions,
} from '../../../src/engine/dsp/spectrum.ts';
import type { WindowName } from '../../../src/engine/dsp/windows.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { lcgSignal } from '../../reference/lcg.ts';
import numeric from '../../reference/numeric.json' with { type: 'json' };
import { randomSignal } from '../waveform/build.ts';

const segments = (over: Partial<SpectrumOptions> = {}): SpectrumOptions => ({
  sampleRateHz: 2e6,
  method: 'segments',
  window: 'hann',
  segmentLength: 256,
  overlapRatio: 0.5,
  ...over,
});

/** A·exp(j2π·ratio·n). */
function tone(length: number, ratio: number, amplitude = 1): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = amplitude * Math.cos(2 * Math.PI * ratio * n);
    x.im[n] = amplitude * Math.sin(2 * Math.PI * ratio * n);
  }
  return x;
}

/** The 1000-sample vector of reference check ME-01. */
function checkVector(): ComplexSignal {
  const tones = addScaled(tone(1000, 0.1), { re: 1, im: 0 }, tone(1000, -0.23, 0.01));
  return addScaled(tones, { re: 0.1, im: 0 }, lcgSignal(1000));
}

/** Bin 0 first, as scipy orders them. */
function fromBinZero({ power }: PowerSpectrum): number[] {
  const half = Math.floor(power.length / 2);
  return Array.from(power, (_, b) => power[(b + half) % power.length]);
}

function total(power: ArrayLike<number>): number {
  return Array.from(power).reduce((sum, value) => sum + value, 0);
}

describe('ME-01: equal to an independent Welch estimator', () => {
  const cases: [keyof typeof numeric.welch, WindowName, number, number][] = [
    ['hann256_50', 'hann', 256, 0.5],
    ['blackmanharris128_75', 'blackmanHarris', 128, 0.75],
    ['boxcar250_0', 'rectangular', 250, 0],
    ['flattop200_65', 'flatTop', 200, 0.65],
  ];
  const x = checkVector();

  // Source: the first values printed by ME-01.
  test('the vector is the published one', () => {
    checks['ME-01'].inputs.x_first2.forEach(({ re, im }, n) => {
      expect(x.re[n]).toBeCloseTo(re, 9);
      expect(x.im[n]).toBeCloseTo(im, 9);
    });
  });

  // Source: scipy.signal.welch (tests/reference/numeric.py), 1e-9 relative in every bin as ME-01 asks.
  test.each(cases)('%s: every bin equals scipy', (row, window, segmentLength, overlapRatio) => {
    const spectrum = estimateSpectrum(x, segments({ window, segmentLength, overlapRatio, periodic: false }));
    const expected: readonly number[] = numeric.welch[row];
    fromBinZero(spectrum).forEach((power, b) => {
      expect(power / spectrum.binWidthHz / expected[b] - 1).toBeCloseTo(0, 9);
    });
  });

  // Source: ME-01, scipy 1.10 as printed with ten digits.
  test.each(cases.slice(0, 3))('%s: printed bins, segment count and total power', (row, window, size, overlap) => {
    const options = segments({ window, segmentLength: size, overlapRatio: overlap, periodic: false });
    const spectrum = estimateSpectrum(x, options);
    const printed = checks['ME-01'].expected[row as 'hann256_50'];
    const density = fromBinZero(spectrum).map((power) => power / spectrum.binWidthHz);
    expect(spectrum.segmentCount).toBe(printed.nseg);
    for (const [bin, value] of Object.entries(printed.bins)) expect(density[+bin] / value - 1).toBeCloseTo(0, 9);
    expect(total(spectrum.power)).toBeCloseTo(printed.total_power, 8);
  });

  // Source: ME-01 in scipy's "spectrum" scaling, a marker reading: power per bin times the noise bandwidth in bins.
  test('a marker in the resolution bandwidth reads the spectrum scaling', () => {
    const spectrum = estimateSpectrum(x, segments({ periodic: false }));
    const enbw = spectrum.resolutionBandwidthHz / spectrum.binWidthHz;
    const marker = fromBinZero(spectrum).map((power) => power * enbw);
    for (const [bin, value] of Object.entries(checks['ME-01'].expected.hann256_50_spectrum.bins)) {
      expect(marker[+bin] / value - 1).toBeCloseTo(0, 9);
    }
  });
});

describe('levels', () => {
  // Source: definition of the scales: a tone of amplitude A on a bin holds A² over its main lobe, and its highest bin
  // times the noise bandwidth reads A².
  test.each(['rectangular', 'hann', 'blackmanHarris', 'flatTop'] as const)('%s: a tone on a bin reads A²', (window) => {
    const spectrum = estimateSpectrum(tone(4096, 17 / 256, 0.5), segments({ window }));
    const peak = spectrum.power[128 + 17];
    expect(spectrum.frequencyHz[128 + 17]).toBe((17 * 2e6) / 256);
    expect((peak * spectrum.resolutionBandwidthHz) / spectrum.binWidthHz).toBeCloseTo(0.25, 12);
    expect(total(spectrum.power)).toBeCloseTo(0.25, 12);
  });

  // Source: power is averaged before the logarithm (pitfall P32: averaging dB reads 2.5 dB low). White noise of power 2
  // in 1024 segments of 256 bins: the mean of 2.6·10⁵ exponential values scatters 0.2 %, 0.009 dB.
  test('white noise reads its density', () => {
    const x = randomSignal(1 << 18, createRandom(4, 'noise'));
    const spectrum = estimateSpectrum(x, segments({ window: 'rectangular', overlapRatio: 0 }));
    expect(Math.abs(powerRatioToDb(total(spectrum.power) / 2))).toBeLessThan(0.02);
    const logarithms = Array.from(spectrum.power, (power) => powerRatioToDb((256 * power) / 2));
    expect(Math.abs(total(logarithms) / 256)).toBeLessThan(0.02);
  });

  // Source: every sample of a periodic record weighs the same, so that turning the record changes nothing; here the
  // number of samples is a whole number of hops.
  test('a periodic record may start anywhere', () => {
    const x = lcgSignal(4096);
    const turned = zeros(4096);
    for (let n = 0; n < 4096; n++) {
      turned.re[n] = x.re[(n + 1280) % 4096];
      turned.im[n] = x.im[(n + 1280) % 4096];
    }
    const one = estimateSpectrum(x, segments());
    const other = estimateSpectrum(turned, segments());
    one.power.forEach((power, b) => {
      expect(other.power[b] / power).toBeCloseTo(1, 10);
    });
    expect(one.segmentCount).toBe(32);
  });

  // Source: hop 128 in 1000 samples: ceil(1000/128) = 8 segments around the circle, no sample left out.
  test('a record that is no whole number of hops is covered all round', () => {
    const late = zeros(1000);
    late.re[999] = 1;
    expect(total(estimateSpectrum(late, segments()).power)).toBeGreaterThan(0);
    expect(total(estimateSpectrum(late, segments({ periodic: false })).power)).toBe(0);
    expect(estimateSpectrum(late, segments()).segmentCount).toBe(8);
  });
});

describe('whole record', () => {
  // Source: Parseval and the definition; an odd length that is no power of two.
  test('holds exact bins and all power', () => {
    const x = scale(tone(1095, 40 / 1095), 0.3);
    const spectrum = estimateSpectrum(x, segments({ method: 'wholeRecord', sampleRateHz: 1095 }));
    expect([spectrum.frequencyHz[0], spectrum.frequencyHz[547], spectrum.frequencyHz[1094]]).toEqual([-547, 0, 547]);
    expect(spectrum.power[547 + 40]).toBeCloseTo(0.09, 14);
    expect(total(spectrum.power)).toBeCloseTo(meanPower(x), 14);
    expect([spectrum.resolutionBandwidthHz, spectrum.segmentCount, spectrum.segmentLength]).toEqual([1, 1, 1095]);
  });
});

describe('bandPower', () => {
  const flat: PowerSpectrum = {
    frequencyHz: Float64Array.from({ length: 16 }, (_, i) => i - 8),
    power: new Float64Array(16).fill(0.25),
    binWidthHz: 1,
    resolutionBandwidthHz: 1,
    segmentLength: 16,
    segmentCount: 1,
    runs: [],
  };

  // Source: a flat density D holds D·B in a band B wherever its edges cut the bins.
  test.each([
    [0, 1],
    [0.3, 2.7],
    [-5, 4.5],
    [2.25, 0.4],
    [0, 15],
  ])('flat density about %f Hz, %f Hz wide', (centre, width) => {
    expect(bandPower(flat, centre, width)).toBeCloseTo(0.25 * width, 14);
  });

  // Source: half of the bin at −fs/2 lies at +fs/2, a bin's frequency being known up to fs.
  test('the whole axis holds everything', () => {
    expect(bandPower(flat, 0, 16)).toBeCloseTo(4, 14);
    expect(bandPower(flat, 6, 4)).toBeCloseTo(1, 14);
    expect(bandPower(flat, -6, 4)).toBeCloseTo(1, 14);
  });

  test('a band outside the axis is refused with its numbers', () => {
    expect(() => bandPower(flat, 7, 6)).toThrow(/bandPower: 7 ± 3 Hz lies outside the axis/);
    expect(() => bandPower(flat, -7, 6)).toThrow(RangeError);
  });

  test('isInsideAxis counts the edges in', () => {
    expect([isInsideAxis(16, 5, 6), isInsideAxis(16, 5.1, 6), isInsideAxis(16, -5.1, 6)]).toEqual([true, false, false]);
  });
});

describe('mistakes of the caller', () => {
  test('are named with function and values', () => {
    const x = fromPairs(Array.from({ length: 100 }, () => ({ re: 1 })));
    expect(() => estimateSpectrum(x, segments())).toThrow(
      /estimateSpectrum: segment of 256 samples in a record of 100/,
    );
    expect(() => estimateSpectrum(x, segments({ segmentLength: 100 }))).toThrow(/length 100 is not a power of two/);
  });
});
