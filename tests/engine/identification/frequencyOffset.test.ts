import { describe, expect, test } from 'vitest';
import { alignRecords } from '../../../src/engine/dsp/align.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { findFrequencyOffset, removeFrequencyOffset } from '../../../src/engine/identification/frequencyOffset.ts';
import { flatBand, observe } from './syntheticPair.ts';

const LENGTH = 8192;
const NO_ERRORS = { gainDb: 4, phaseDeg: 70, leakDbc: -400, imageDb: -400 };

function trial(seed: number, turns: number, snrDb: number, delaySamples = 5) {
  const random = createRandom(seed, 'offset');
  const x = flatBand(LENGTH, 800, 1, random);
  const still = observe(x, { ...NO_ERRORS, delaySamples, snrDb }, random);
  const y = removeFrequencyOffset(still, -turns / LENGTH);
  const found = findFrequencyOffset(x, y, alignRecords(x, y));
  return found && { error: found.cyclesPerSample - turns / LENGTH, deviation: found.deviation };
}

describe('an offset of the receiver', () => {
  const trials = Array.from({ length: 100 }, (_, seed) => trial(seed, 0.3, 20));

  test('spreads by its bound within 25 %', () => {
    // Known signal, unknown phase, white noise: var(ω) = 6/(s·N³), s the power of a sample over its noise (Rife and
    // Boorstyn 1974 for a tone, from memory; a known signal turned back is one). 100 trials spread by 7 %; the whole-sample
    // delay and 32 segments cost 0.1 %.
    const bound = Math.sqrt(6 / (100 * LENGTH ** 3)) / (2 * Math.PI);
    const rms = Math.sqrt(trials.reduce((sum, one) => sum + (one?.error ?? 1) ** 2, 0) / trials.length);
    expect(rms / bound).toBeGreaterThan(0.75);
    expect(rms / bound).toBeLessThan(1.25);
    const stated = trials.reduce((sum, one) => sum + (one?.deviation ?? 0), 0) / trials.length;
    expect(stated / bound).toBeGreaterThan(0.85);
    expect(stated / bound).toBeLessThan(1.15);
  });

  test.each([0.01, -0.45, 0.8, -2.5, 4])('of %d turns over the record is found', (turns) => {
    // The bound at 40 dB is √(6/(10⁴·8192))/2π = 4.3e-5 turns over the record.
    expect(Math.abs(trial(7, turns, 40)?.error ?? 1)).toBeLessThan(5e-4 / LENGTH);
  });

  test('is found beside a long delay of either sign', () => {
    for (const delay of [200, -150]) expect(Math.abs(trial(3, 1.5, 40, delay)?.error ?? 1)).toBeLessThan(5e-4 / LENGTH);
  });
});

test('records of different transmissions have none', () => {
  const [x, y] = [1, 2].map((seed) => flatBand(LENGTH, 800, 1, createRandom(seed, 'other')));
  if (x === undefined || y === undefined) throw new Error('no records');
  expect(findFrequencyOffset(x, y, alignRecords(x, y))).toBeNull();
});
