// The arithmetic behind the spread: binomial interval, mean and deviation, the marginal state, seeds and units.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { SpreadQuestion } from '../../../shared/schema/study.ts';
import { checkScenario } from '../../../src/engine/index.ts';
import { wilsonInterval } from '../../../src/engine/study/binomialInterval.ts';
import { seedSets, stateOf, statisticsOf } from '../../../src/engine/study/spread.ts';
import { unitOf } from '../../../src/engine/study/units.ts';

describe('Wilson interval, 95 %', () => {
  // Worked values printed in R. G. Newcombe, Statistics in Medicine 17 (1998), table I, method 3 (four digits, from
  // memory); confirmed to 1e-12 by scipy 1.17.1: binomtest(k, n).proportion_ci(0.95, method='wilson').
  test.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%d of %d: %d to %d', (passCount, count, low, high) => {
    const interval = wilsonInterval(passCount, count);
    expect(interval.low).toBeCloseTo(low, 4);
    expect(interval.high).toBeCloseTo(high, 4);
  });

  test('its ends solve (p − π)² = z²·π·(1 − π)/n, and it holds the share seen', () => {
    const counts = fc
      .integer({ min: 1, max: 5000 })
      .chain((n) => fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n)));
    fc.assert(
      fc.property(counts, ([k, n]) => {
        const { low, high } = wilsonInterval(k, n);
        const share = k / n;
        const error = (end: number) => (share - end) ** 2 - (1.959963984540054 ** 2 * end * (1 - end)) / n;
        const inside = low >= 0 && low <= share && share <= high && high <= 1;
        return inside && Math.abs(error(low)) < 1e-12 && Math.abs(error(high)) < 1e-12;
      }),
    );
  });

  test('mirrors when passes and failures change places', () => {
    expect(wilsonInterval(40 - 26, 40).low).toBeCloseTo(1 - wilsonInterval(26, 40).high, 12);
  });

  test.each([
    [0, 0],
    [3, 2],
    [-1, 4],
    [Number.NaN, 4],
  ])('%d of %d is refused', (k, n) => {
    expect(() => wilsonInterval(k, n)).toThrow(/wilsonInterval/);
  });
});

describe('mean and deviation', () => {
  test('2, 4, 4, 4, 5, 5, 7, 9: mean 5, sum of squares 32, so √(32/7)', () => {
    expect(statisticsOf([2, 4, 4, 4, 5, 5, 7, 9])).toEqual({ mean: 5, standardDeviation: Math.sqrt(32 / 7) });
  });

  test('one value has no deviation', () => {
    expect(() => statisticsOf([1])).toThrow(RangeError);
  });

  test.each([
    [1, 0.4, 'pass'],
    [1, 0.5, 'pass'],
    [1, 0.6, 'marginal'],
    [-1, 0.6, 'marginal'],
    [-1, 0.4, 'fail'],
    [0, 0, 'pass'],
    [0, 0.1, 'marginal'],
  ])('room %d with a deviation of %d: %s (inside two deviations)', (room, deviation, state) => {
    expect(stateOf(room, deviation)).toBe(state);
  });
});

describe('seeds', () => {
  const seed = fc.integer({ min: 0, max: 2 ** 31 });
  const own = fc
    .uniqueArray(seed, { minLength: 3, maxLength: 3 })
    .map(([judging = 0, training = 0, selection = 0]) => ({ judging, training, selection }));

  test('the own seeds first, then none used twice, in any role, and all within range', () => {
    fc.assert(
      fc.property(own, fc.integer({ min: 2, max: 200 }), (seeds, count) => {
        const sets = seedSets(seeds, count);
        const all = sets.flatMap((set) => [set.judging, set.training, set.selection]);
        const fits = all.every((one) => Number.isInteger(one) && one >= 0 && one <= 2 ** 31);
        return sets[0] === seeds && sets.length === count && new Set(all).size === 3 * count && fits;
      }),
    );
  });

  test('at the end of the range they go on from 0', () => {
    const sets = seedSets({ judging: 2 ** 31, training: 0, selection: 2 }, 2);
    expect(sets[1]).toEqual({ judging: 1, training: 3, selection: 4 });
  });
});

describe('units of a production line', () => {
  const checked = checkScenario(quarryLink);
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const base: Scenario = checked.scenario;
  const spread = { saturatedPowerDb: 0.3, kneeSharpness: 0.05, amPmDeg: 1, tapRatio: 0.1 };
  const question = (change: Partial<SpreadQuestion['unitSpread']> = {}, unitSeed = 1): SpreadQuestion => ({
    kind: 'spread',
    seedCount: 2,
    unitCount: 0,
    unitSeed,
    unitSpread: { ...spread, ...change },
  });
  const nothing = { saturatedPowerDb: 0, kneeSharpness: 0, amPmDeg: 0, tapRatio: 0 };
  const modelOf = (scenario: Scenario) => {
    const { model } = scenario.amplifier;
    if (model.kind !== 'filterNonlinearityFilter') throw new Error(model.kind);
    return model;
  };
  const COUNT = 2000;
  const units = Array.from({ length: COUNT }, (_, i) => unitOf(base, question(), i));

  test('without a spread every unit is the scenario', () => {
    expect(unitOf(base, question(nothing), 7)).toEqual(base);
  });

  test('the same unit for the same seed and number; another for another seed', () => {
    expect(unitOf(base, question(), 3)).toEqual(units[3]);
    expect(unitOf(base, question({}, 2), 3)).not.toEqual(units[3]);
  });

  // 2000 draws: the mean lies within 4 σ/√2000 = 0.09 σ, the deviation within 4 σ/√4000 = 0.063 σ, in 99.99 % of seeds.
  test.each([
    ['saturated power', (unit: Scenario) => unit.amplifier.saturatedPowerDbm ?? 0, 45.5, 0.3],
    ['knee sharpness', (unit: Scenario) => modelOf(unit).kneeSharpness, 1.1, 0.05],
    ['AM/PM', (unit: Scenario) => modelOf(unit).amPmDeg, 12, 1],
  ])('%s: mean and deviation as asked', (_name, read, mean, deviation) => {
    const seen = statisticsOf(units.map(read));
    expect(Math.abs(seen.mean - mean)).toBeLessThan(0.09 * deviation);
    expect(Math.abs(seen.standardDeviation / deviation - 1)).toBeLessThan(0.063);
  });

  test('taps after the first differ by a tenth of their size, rms; the first stays 1', () => {
    const nominal = modelOf(base).inputTaps;
    const ratio = (unit: Scenario, tap: number) => {
      const { re, im } = modelOf(unit).inputTaps[tap];
      return Math.hypot(re - nominal[tap].re, im - nominal[tap].im) / Math.hypot(nominal[tap].re, nominal[tap].im);
    };
    for (const tap of [1, 2]) {
      const rms = Math.sqrt(units.reduce((sum, unit) => sum + ratio(unit, tap) ** 2, 0) / COUNT);
      expect(Math.abs(rms / 0.1 - 1)).toBeLessThan(0.063);
    }
    expect(units.every((unit) => ratio(unit, 0) === 0)).toBe(true);
  });

  test('the wanted power in dBm stays; stated as back-off it moves with the saturated power', () => {
    expect(units.every((unit) => unit.operatingPoint.meanPowerDbm === 36.5)).toBe(true);
    const relative = { ...base, operatingPoint: { outputBackoffDb: 9 } };
    for (let i = 0; i < 20; i++) {
      const unit = unitOf(relative, question(), i);
      const power = (unit.amplifier.saturatedPowerDbm ?? 0) - (unit.operatingPoint.outputBackoffDb ?? 0);
      expect(power).toBeCloseTo(36.5, 5);
    }
  });

  test('a wild spread leaves no figure outside the scenario’s ranges', () => {
    const wild = question({ saturatedPowerDb: 3, kneeSharpness: 1, amPmDeg: 30, tapRatio: 0.5 });
    const steep = {
      ...base,
      amplifier: { ...base.amplifier, model: { ...modelOf(base), kneeSharpness: 0.3, amPmDeg: 80 } },
    };
    for (let i = 0; i < 200; i++) expect(parseScenario(unitOf(steep, wild, i)).kind).toBe('scenario');
  });
});
