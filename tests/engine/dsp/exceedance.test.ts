// Exceeded levels and how far a record pins them down.
import { describe, expect, test } from 'vitest';
import { exceedancesOf } from '../../../src/engine/dsp/exceedance.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { bandLimitedNoise } from '../../../src/engine/waveform/noise.ts';

/** Oversampled by 13.65 as Quarry Link: 9 MHz at 122.88 Msps. */
const length = 1 << 17;
const halfBinCount = Math.round((9 / 122.88) * (length / 2));
const ratio = length / (2 * halfBinCount + 1);
const record = (seed: number) => bandLimitedNoise(length, halfBinCount, createRandom(seed, 'exceedance'));

describe('exceedancesOf', () => {
  const x = record(1);
  const sorted = Float64Array.from(x.re, (re, n) => re * re + x.im[n] * x.im[n]).sort();
  const levelAt = (beyond: number) => sorted[length - 1 - beyond];

  test('the level at b samples beyond, and at one standard deviation √(b·r) more and fewer', () => {
    const [level] = exceedancesOf(x, [1e-2], ratio);
    const beyond = Math.floor(0.01 * length);
    const scatter = Math.round(Math.sqrt(beyond * ratio));
    expect(level).toEqual({
      power: levelAt(beyond),
      lowPower: levelAt(beyond + scatter),
      highPower: levelAt(beyond - scatter),
    });
  });

  // 13 samples are beyond 1e-4: ten and more, but less than one independent sample of a record oversampled by 13.66.
  test('null where less than one independent sample lies beyond, however many samples do', () => {
    expect(exceedancesOf(x, [1e-4], ratio)).toEqual([null]);
    expect(exceedancesOf(x, [1e-4], 1)[0]?.power).toBe(levelAt(13));
    expect(exceedancesOf(x, [7e-5], 1)).toEqual([null]);
  });

  // Source: measurement. Over 30 records the level at 1e-2 must scatter as the record says; a standard deviation from 30
  // values is itself 13 % uncertain, and peaks of a band are not quite 1/r apart: a factor 1.5. Taking each sample for an
  // independent one would read √r = 3.7 times too little.
  test('the stated spread is the scatter between records', () => {
    const levels = Array.from({ length: 30 }, (_, seed) => exceedancesOf(record(seed + 10), [1e-2], ratio)[0]);
    const db = levels.map((level) => 10 * Math.log10(level?.power ?? 0));
    const mean = db.reduce((sum, value) => sum + value, 0) / db.length;
    const scatter = Math.sqrt(db.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (db.length - 1));
    const stated =
      levels.reduce((sum, level) => sum + 5 * Math.log10((level?.highPower ?? 0) / (level?.lowPower ?? 1)), 0) / 30;
    expect(scatter / stated).toBeGreaterThan(1 / 1.5);
    expect(scatter / stated).toBeLessThan(1.5);
  });

  test('a ratio below one and a probability outside (0, 1) are refused', () => {
    expect(() => exceedancesOf(x, [1e-2], 0.5)).toThrow(/0.5/);
    expect(() => exceedancesOf(x, [1], 2)).toThrow(/probability 1/);
  });
});
