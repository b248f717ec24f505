import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import numeric from '../../reference/numeric.json' with { type: 'json' };

const COUNT = 200_000;

function draw(next: () => number, count = COUNT): Float64Array {
  return Float64Array.from({ length: count }, next);
}

function mean(values: Float64Array, of: (value: number, n: number) => number): number {
  return values.reduce((sum, value, n) => sum + of(value, n), 0) / values.length;
}

describe('the sequence of a seed', () => {
  // Source: the Alea generator written down independently in Python (tests/reference/numeric.py). Same seed, same
  // figures, in every runtime: these may not change between versions.
  test.each(Object.entries(numeric.alea))('"%s" is the published generator’s', (name, values) => {
    const [seed, purpose] = name.split('/');
    const random = createRandom(Number(seed), purpose);
    for (const value of values) expect(random.uniform()).toBe(value);
  });

  test('repeats, and differs by seed and by purpose', () => {
    const first = (seed: number, purpose: string) => createRandom(seed, purpose).uniform();
    expect(first(1, 'data')).toBe(first(1, 'data'));
    expect(new Set([first(1, 'data'), first(2, 'data'), first(1, 'noise'), first(12, 'data')]).size).toBe(4);
  });
});

// Sources: moments of the uniform and the normal distribution. Tolerances: five standard deviations of the mean of
// 200 000 values (a correct generator fails one such test in two million).
describe('distributions', () => {
  test('uniform: mean 1/2, variance 1/12, in [0, 1)', () => {
    const values = draw(createRandom(1, 'u').uniform);
    expect(Math.abs(mean(values, (value) => value) - 1 / 2)).toBeLessThan(5 * Math.sqrt(1 / 12 / COUNT));
    const variance = mean(values, (value) => (value - 0.5) ** 2);
    expect(Math.abs(variance - 1 / 12)).toBeLessThan(5 * Math.sqrt(1 / 180 / COUNT));
    expect(values.every((value) => value >= 0 && value < 1)).toBe(true);
  });

  test('integers: every one of 64 equally often', () => {
    const random = createRandom(1, 'i');
    const counts = new Float64Array(64);
    for (let n = 0; n < COUNT; n++) counts[random.integer(64)]++;
    const chiSquare = counts.reduce((sum, count) => sum + (count - COUNT / 64) ** 2 / (COUNT / 64), 0);
    // 63 degrees of freedom: mean 63, standard deviation √126.
    expect(Math.abs(chiSquare - 63)).toBeLessThan(5 * Math.sqrt(126));
  });

  test('normal: moments 0, 1, 0, 3 and the tail beyond 3', () => {
    const values = draw(createRandom(1, 'n').normal);
    expect(Math.abs(mean(values, (value) => value))).toBeLessThan(5 * Math.sqrt(1 / COUNT));
    expect(Math.abs(mean(values, (value) => value ** 2) - 1)).toBeLessThan(5 * Math.sqrt(2 / COUNT));
    expect(Math.abs(mean(values, (value) => value ** 3))).toBeLessThan(5 * Math.sqrt(15 / COUNT));
    expect(Math.abs(mean(values, (value) => value ** 4) - 3)).toBeLessThan(5 * Math.sqrt(96 / COUNT));
    // P(|z| > 3) = 0.0026998 (standard table).
    const beyond = mean(values, (value) => (Math.abs(value) > 3 ? 1 : 0));
    expect(Math.abs(beyond - 0.0026998)).toBeLessThan(5 * Math.sqrt(0.0027 / COUNT));
  });

  // Both normals of a Box–Muller pair share one radius: they must still be independent of each other, squares included.
  test('normal: neighbours are independent', () => {
    const values = draw(createRandom(2, 'n').normal);
    const pairs = mean(values, (value, n) => value * (values[n + 1] ?? 0));
    const squares = mean(values, (value, n) => (value ** 2 - 1) * ((values[n + 1] ?? 1) ** 2 - 1));
    expect(Math.abs(pairs)).toBeLessThan(5 / Math.sqrt(COUNT));
    expect(Math.abs(squares)).toBeLessThan((5 * 2) / Math.sqrt(COUNT));
  });
});
