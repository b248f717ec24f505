// Slow states against closed forms of one-pole averages (textbook: a step settles as 1 − exp(−t/τ)), and against plain
// repetition of the record, which the settled states must be the limit of.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SlowStatesSettings } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import {
  afterSilence,
  applySlowStates,
  COLD,
  settledStates,
  slowGainOf,
} from '../../../src/engine/amplifier/slowStates.ts';
import { type ComplexSignal, scale } from '../../../src/engine/dsp/complex.ts';
import { largestAmplitude, largestDifference, noise, openPolynomial, plainKnee } from './settings.ts';

const RATE = 1e6;
const settings: SlowStatesSettings = {
  heatDepthRatio: 0.19,
  heatTimeConstantS: 400e-6,
  trapDepthRatio: 0.05,
  trapAttackS: 15e-6,
  trapReleaseS: 3e-3,
  phasePerGainDeg: 60,
};

function constant(length: number, amplitude: number): ComplexSignal {
  return { re: new Float64Array(length).fill(amplitude), im: new Float64Array(length) };
}

describe('a constant drive', () => {
  test('settles at its power, the trap too', () => {
    const states = settledStates(settings, constant(1000, 0.5), RATE);
    expect(states.heat).toBeCloseTo(0.25, 12);
    expect(states.trap).toBeCloseTo(0.25, 12);
  });
  test('the limits of both states: traps 2, heat 4', () => {
    const states = settledStates(settings, constant(1000, 3), RATE);
    expect(states.heat).toBeCloseTo(4, 10);
    expect(states.trap).toBeCloseTo(2, 10);
  });
  test('from cold, gain and phase after n whole blocks are those of 1 − exp(−t/τ)', () => {
    const y = applySlowStates(settings, constant(64 * 40, 0.5), RATE, COLD);
    for (const blocks of [1, 5, 20, 39]) {
      const t = (64 * blocks) / RATE;
      const states = { heat: -0.25 * Math.expm1(-t / 400e-6), trap: -0.25 * Math.expm1(-t / 15e-6) };
      const gain = 1 - 0.05 * states.trap - 0.19 * states.heat;
      expect(slowGainOf(settings, states)).toBeCloseTo(gain, 12);
      // Samples on both sides of the block's end: their mean is off by a quarter of the lines' kink, 0.02/64 at most.
      const n = 64 * blocks;
      const amplitude = (Math.hypot(y.re[n - 1], y.im[n - 1]) + Math.hypot(y.re[n], y.im[n])) / 2;
      expect(Math.abs(amplitude / 0.5 - gain)).toBeLessThan(8e-5);
      expect(Math.abs((Math.atan2(y.im[n], y.re[n]) * 180) / Math.PI - 60 * (1 - gain))).toBeLessThan(2e-2);
    }
  });
});

test('silence: both states fall as exp(−t/τ), the trap with its release', () => {
  const states = afterSilence(settings, { heat: 0.2, trap: 0.8 }, 1e-3);
  expect(states.heat).toBeCloseTo(0.2 * Math.exp(-1 / 0.4), 14);
  expect(states.trap).toBeCloseTo(0.8 * Math.exp(-1 / 3), 14);
  expect(afterSilence(settings, { heat: 0.2, trap: 0.8 }, 0)).toEqual({ heat: 0.2, trap: 0.8 });
  expect(() => afterSilence(settings, COLD, -1)).toThrow('afterSilence');
});

describe('settled states', () => {
  const anySettings = fc.record({
    heatDepthRatio: fc.double({ min: 0, max: 0.2, noNaN: true }),
    heatTimeConstantS: fc.double({ min: 1e-5, max: 1e-3, noNaN: true }),
    trapDepthRatio: fc.double({ min: 0, max: 0.2, noNaN: true }),
    trapAttackS: fc.double({ min: 1e-6, max: 1e-3, noNaN: true }),
    trapReleaseS: fc.double({ min: 1e-6, max: 1e-3, noNaN: true }),
    phasePerGainDeg: fc.double({ min: -360, max: 360, noNaN: true }),
  });

  test('are what many repetitions lead to, and one more repetition leaves the output as it is', () => {
    fc.assert(
      fc.property(anySettings, fc.nat(1e6), fc.integer({ min: 65, max: 700 }), (own, seed, length) => {
        const drive = scale(noise(length, 0.2, seed), 0.6);
        const settled = applySlowStates(own, drive, RATE, settledStates(own, drive, RATE));
        // Twenty time constants of the slowest state.
        const count = Math.ceil(20e-3 / (length / RATE));
        // Repeated in whole records, not end to end: blocks begin with the record.
        let states = COLD;
        for (let k = 0; k < count; k++) states = statesAfter(own, drive, states);
        expect(largestDifference(settled, applySlowStates(own, drive, RATE, states))).toBeLessThan(1e-7);
      }),
      { seed: 9, numRuns: 25 },
    );
  });

  test('never give more than the drive nor less than a tenth of it', () => {
    fc.assert(
      fc.property(anySettings, fc.nat(1e6), fc.double({ min: -40, max: 40, noNaN: true }), (own, seed, db) => {
        const drive = scale(noise(300, 0.5, seed), 10 ** (db / 20));
        const y = applySlowStates(own, drive, RATE, settledStates(own, drive, RATE));
        let isWithin = true;
        for (let n = 0; n < 300; n++) {
          const ratio = Math.hypot(y.re[n], y.im[n]) / Math.hypot(drive.re[n], drive.im[n]);
          isWithin &&= ratio <= 1 + 1e-12 && ratio >= 0.0999;
        }
        expect(isWithin).toBe(true);
      }),
      { seed: 10, numRuns: 100 },
    );
  });

  test('need no repetition however slow they are: a record of 0.3 ms, time constants of 10 s', () => {
    const slow = { ...settings, heatTimeConstantS: 10, trapAttackS: 1e-3, trapReleaseS: 10 };
    const drive = noise(300, 0.2, 3);
    const { heat, trap } = settledStates(slow, drive, RATE);
    const power = (n: number) => drive.re[n] ** 2 + drive.im[n] ** 2;
    const mean = Array.from({ length: 300 }, (_, n) => power(n)).reduce((sum, one) => sum + one, 0) / 300;
    expect(Math.abs(heat / mean - 1)).toBeLessThan(1e-4);
    // A trap that fills ten thousand times as fast as it empties stands near the highest peak.
    const peak = Math.min(2, Math.max(...Array.from({ length: 300 }, (_, n) => power(n))));
    expect(trap).toBeGreaterThan(0.99 * peak);
    expect(trap).toBeLessThanOrEqual(peak);
  });
});

/** The states after one record, written out once more: the definition, block by block. */
function statesAfter(own: SlowStatesSettings, drive: ComplexSignal, { heat, trap }: { heat: number; trap: number }) {
  for (let start = 0; start < drive.re.length; start += 64) {
    const powers: number[] = [];
    for (let n = start; n < Math.min(start + 64, drive.re.length); n++)
      powers.push(drive.re[n] ** 2 + drive.im[n] ** 2);
    const t = powers.length / RATE;
    const mean = Math.min(4, powers.reduce((sum, power) => sum + power, 0) / powers.length);
    const peak = Math.min(2, Math.max(...powers));
    heat += (1 - Math.exp(-t / own.heatTimeConstantS)) * (mean - heat);
    trap += (1 - Math.exp(-t / (peak > trap ? own.trapAttackS : own.trapReleaseS))) * (peak - trap);
  }
  return { heat, trap };
}

describe('ahead of a model', () => {
  const record = { sampleRateHz: RATE, sampleCount: 512 };
  const modelOf = (own: SlowStatesSettings | null) => {
    const outcome = createAmplifier(plainKnee, record, own);
    if (outcome.kind !== 'amplifier') throw new Error('the knee is a model');
    return outcome.model;
  };
  const drive = scale(noise(512, 0.2, 4), 0.7);

  test('the model sees the drive behind them, settled on that very drive', () => {
    const behind = applySlowStates(settings, drive, RATE, settledStates(settings, drive, RATE));
    expect(largestDifference(modelOf(settings).amplify(drive), modelOf(null).amplify(behind))).toBe(0);
  });
  test('after no silence a burst is warm; after a long one it is cold; settled with another drive it differs', () => {
    const model = modelOf(settings);
    expect(largestDifference(model.amplifyAfterSilence(drive, 0), model.amplify(drive))).toBe(0);
    const cold = modelOf(null).amplify(applySlowStates(settings, drive, RATE, COLD));
    expect(largestDifference(model.amplifyAfterSilence(drive, 1), cold)).toBeLessThan(1e-12);
    const hotter = model.amplifyAfterSilence(drive, 0, scale(drive, 1.5));
    expect(largestAmplitude(hotter)).toBeLessThan(largestAmplitude(model.amplify(drive)));
  });
  test('without them both calls are the same', () => {
    const model = modelOf(null);
    expect(largestDifference(model.amplifyAfterSilence(drive, 1), model.amplify(drive))).toBe(0);
  });
  test('a drive range counts and holds what arrives behind them', () => {
    const polynomial = openPolynomial([1, 3], 1, [
      { re: 1, im: 0 },
      { re: -0.1, im: 0 },
    ]);
    const outcome = createAmplifier({ ...polynomial, driveRange: 0.98 }, record, settings);
    if (outcome.kind !== 'amplifier') throw new Error('the polynomial is a model');
    const { model } = outcome;
    // Behind 1 − 0.24·r² a carrier of amplitude r = 1.1 arrives with 0.78: nothing is held.
    expect(model.heldSampleRatio(constant(512, 1.1))).toBe(0);
    expect(model.heldSampleRatio(constant(512, 0.5))).toBe(0);
    const withoutStates = createAmplifier({ ...polynomial, driveRange: 0.98 }, record);
    expect(withoutStates.kind === 'amplifier' && withoutStates.model.heldSampleRatio(constant(512, 1.1))).toBe(1);
  });
});
