import { describe, expect, test } from 'vitest';
import { scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import {
  ccdf,
  ccdfLevelsDb,
  crestFactorDb,
  gaussianCcdf,
  measureCcdf,
  measurePapr,
  paprAtProbability,
} from '../../../src/engine/measurement/ccdf.ts';
import { randomSignal } from '../waveform/build.ts';

// Source: reference check PR-01: 10·log10(p·ln 10) at 10^−p.
const PR01: [number, number][] = [
  [1e-1, 3.622156887],
  [1e-2, 6.632456844],
  [1e-3, 8.393369434],
  [1e-4, 9.6427568],
  [1e-5, 10.61185693],
  [1e-6, 11.40366939],
];

describe('PR-01: complex Gaussian', () => {
  test.each(PR01)('the formula at %f is %f dB', (probability, expectedDb) => {
    expect(gaussianCcdf([expectedDb])[0] / probability).toBeCloseTo(1, 6);
  });

  const length = 2 ** 21;
  const noise = randomSignal(length, createRandom(1));

  // γ at probability p scatters by 1/√(pN) absolute, that is 4.34/√(pN)/γ dB: four standard deviations.
  test.each(PR01.slice(0, 5))('2^21 samples at %f read %f dB', (probability, expectedDb) => {
    const gamma = 10 ** (expectedDb / 10);
    const tolerance = (4 * 4.343) / Math.sqrt(probability * length) / gamma;
    const db = paprAtProbability(noise, probability) ?? 0;
    expect(Math.abs(db - expectedDb)).toBeLessThan(tolerance);
    // The curve through the same level gives the probability back.
    expect(ccdf(noise, [db])[0]).toBeCloseTo(Math.floor(probability * length) / length, 12);
  });

  test('2^21 samples cannot tell 10⁻⁶: two samples', () => expect(paprAtProbability(noise, 1e-6)).toBeNull());
});

describe('ccdf', () => {
  test('counts samples above each level, whatever the scale', () => {
    // Powers 1, 1, 1, 5 with mean 2: −3.01 dB three times, +3.98 dB once.
    const x = { re: Float64Array.of(1, 0, -1, 1), im: Float64Array.of(0, 1, 0, 2) };
    const levels = [-10, -3.1, -3, 3.9, 4];
    expect(Array.from(ccdf(x, levels))).toEqual([1, 1, 0.25, 0.25, 0]);
    expect(ccdf(scale(x, 1e-3), levels)).toEqual(ccdf(x, levels));
    expect(crestFactorDb(x)).toBeCloseTo(10 * Math.log10(2.5), 12);
  });

  test('a constant envelope steps from one to nothing at 0 dB', () => {
    const x = { re: new Float64Array(64).fill(3), im: new Float64Array(64) };
    expect(Array.from(ccdf(x, [-0.01, 0.01]))).toEqual([1, 0]);
    expect(crestFactorDb(x)).toBeCloseTo(0, 12);
  });

  test('the plotted curve and list use the stated levels and probabilities', () => {
    const x = randomSignal(20000, createRandom(2));
    const { levelDb, probability } = measureCcdf(x);
    expect(levelDb).toEqual(ccdfLevelsDb());
    expect(probability).toEqual(ccdf(x, levelDb));
    for (let i = 1; i < probability.length; i++) expect(probability[i]).toBeLessThanOrEqual(probability[i - 1]);
    // Ten of 20000 samples are 5·10⁻⁴: less likely levels cannot be told.
    expect(measurePapr(x).map(({ db }) => db === null)).toEqual([false, false, false, true, true]);
  });

  test('refuses falling levels, silence and a probability outside (0, 1)', () => {
    const x = randomSignal(100, createRandom(3));
    expect(() => ccdf(x, [3, 2])).toThrow(/3 dB before 2 dB/);
    expect(() => ccdf(zeros(10), [1])).toThrow(/mean power 0/);
    expect(() => paprAtProbability(x, 1)).toThrow(/probability 1/);
  });
});

// Source: pitfalls P27: two records of one waveform read different peaks, but the same level at a stated probability.
test('P27: the peak grows with the record, the level at a probability does not', () => {
  const short = randomSignal(2 ** 14, createRandom(4));
  const long = randomSignal(2 ** 20, createRandom(4));
  expect(crestFactorDb(long) - crestFactorDb(short)).toBeGreaterThan(0.5);
  const difference = (paprAtProbability(long, 1e-2) ?? 0) - (paprAtProbability(short, 1e-2) ?? 0);
  // 164 samples beyond in the short record: 4.34/√164/4.6 = 0.07 dB, three of them.
  expect(Math.abs(difference)).toBeLessThan(0.22);
});
