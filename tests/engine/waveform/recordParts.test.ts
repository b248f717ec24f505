// Cutting a record into parts and fading over the join, against closed forms.
import { describe, expect, test } from 'vitest';
import { type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { planParts, takePart } from '../../../src/engine/waveform/recordParts.ts';
import { bench, generate, randomSignal } from './build.ts';

const supply = (signal: ComplexSignal) => ({ name: 'yard', signal, sampleRateHz: 1e6, sha512: null });

function tone(cycles: number, length: number): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = Math.cos((2 * Math.PI * cycles * n) / length);
    x.im[n] = Math.sin((2 * Math.PI * cycles * n) / length);
  }
  return x;
}

describe('a tone of 40.5 cycles', () => {
  const length = 20_000;
  const x = tone(40.5, length);
  const plan = planParts(supply(x), 1, 0.05, 1);

  test('steps by |1 − exp(−jπ·…)| at the cut: nearly 2, against 2·sin(π·40.5/20000) inside', () => {
    expect(plan.isUncuredPeriod).toBe(false);
    // From sample N − 1 back to sample 0: the phase falls short of a whole turn by half a turn less one step.
    const stepRad = (2 * Math.PI * 40.5) / length;
    const expected = Math.sin((Math.PI - stepRad) / 2) / Math.sin(stepRad / 2);
    expect(plan.uncured.stepRatio).toBeCloseTo(expected, 6);
  });

  test('fades over a twentieth and goes on without a step', () => {
    expect(plan.fadeSamples).toBe(1000);
    // 19000 is a multiple of 125 already.
    expect(plan.periodSamples).toBe(19_000);
    expect(plan.cured?.stepRatio).toBeLessThan(1.1);
    // Opposite halves of a tone cannot meet without a dip: the spectrum there stays unlike the rest, and it is told.
    expect(plan.isCuredPeriod).toBe(false);
    expect(plan.cured?.spectrumRatio).toBeLessThan(plan.uncured.spectrumRatio / 100);
    const y = takePart(x, plan, 1, 0);
    expect(y.re[0]).toBeCloseTo(x.re[19_000], 3);
    expect(y.im[0]).toBeCloseTo(x.im[19_000], 3);
    expect(y.re[1000]).toBe(x.re[1000]);
    expect(y.re[18_999]).toBe(x.re[18_999]);
  });
});

test('the fade keeps the power of what is uncorrelated', () => {
  const x = randomSignal(200_000, createRandom(5));
  const cut = { partSamples: 200_000, periodSamples: 160_000, fadeSamples: 40_000 };
  const y = takePart(x, cut, 1, 0);
  const faded = { re: y.re.subarray(0, 40_000), im: y.im.subarray(0, 40_000) };
  // 40000 independent powers scatter by 0.5 %, the record's by 0.2 %.
  expect(Math.abs(meanPower(faded) / meanPower(x) - 1)).toBeLessThan(0.02);
});

describe('periods', () => {
  const { signal } = generate({ ...bench, symbolCount: 8, sampleRateHz: 30.72e6 }, 2).waveform;

  test('a whole period stays as it is, whatever the join', () => {
    for (const joinRatio of [0, 0.01, 0.2]) {
      const plan = planParts(supply(signal), 1, joinRatio, 7);
      expect(plan).toMatchObject({ periodSamples: signal.re.length, fadeSamples: 0, isUncuredPeriod: true });
    }
    expect(takePart(signal, planParts(supply(signal), 1, 0.01, 1), 1, 5)).toEqual(signal);
  });

  test('three periods in a row are three parts without a fade', () => {
    const repeated = zeros(3 * signal.re.length);
    for (let i = 0; i < 3; i++) {
      repeated.re.set(signal.re, i * signal.re.length);
      repeated.im.set(signal.im, i * signal.re.length);
    }
    expect(planParts(supply(repeated), 3, 0.01, 1).isUncuredPeriod).toBe(true);
    expect(planParts(supply(repeated), 2, 0.01, 1).isUncuredPeriod).toBe(false);
  });

  test('a cut is shortened to a multiple where it is faded', () => {
    const cut = { re: signal.re.slice(100, 15_001), im: signal.im.slice(100, 15_001) };
    const plan = planParts(supply(cut), 1, 0.02, 768);
    expect(plan.periodSamples % 768).toBe(0);
    expect(plan.isCuredPeriod).toBe(true);
  });
});
