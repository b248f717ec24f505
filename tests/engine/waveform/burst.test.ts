// Burst pattern: envelope, spectrum and powers against closed forms.
import { describe, expect, test } from 'vitest';
import type { Issue } from '../../../shared/schema/issue.ts';
import { burstEnvelope, isWhollyOn, whileOn } from '../../../src/engine/dsp/burst.ts';
import { meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { gate, resolveBurst } from '../../../src/engine/waveform/burst.ts';
import { bench, generate, issuesOf, notesOf, randomSignal, resolve } from './build.ts';

const noise = { kind: 'noise', occupiedBandwidthHz: 10e6 } as const;
const plain = { carriers: [noise], sampleCount: 2 ** 16, sampleRateHz: 65.536e6 };
/** 1 ms record, 250 µs period. */
const burst = { periodS: 250e-6, dutyRatio: 0.5, rampS: 20e-6 };

describe('envelope', () => {
  const { burst: geometry } = resolve({ ...plain, burst });

  test('four periods of 16384 samples, on for half', () =>
    expect(geometry).toMatchObject({ periodSamples: 16384, periodCount: 4, onSamples: 8192, rampSamples: 1310.72 }));

  test('mean square is (D − R/4)/T: a raised cosine’s mean square is 3/8', () => {
    // The sum over samples differs from the integral by less than a sample's share.
    expect(geometry?.activeRatio).toBeCloseTo((8192 - 1310.72 / 4) / 16384, 4);
  });

  test('fully on from the start for D − R, half amplitude half a ramp outside', () => {
    const pattern = { periodSamples: 1000, onSamples: 500, rampSamples: 100 };
    const a = burstEnvelope(pattern, 2000);
    for (const start of [0, 1000]) {
      for (const t of [0, 1, 200, 400]) expect(a[start + t]).toBe(1);
      expect(a[start + 450]).toBeCloseTo(0.5, 12);
      for (const t of [500, 700, 900]) expect(a[start + t]).toBeCloseTo(0, 12);
      expect(a[start + 950]).toBeCloseTo(0.5, 12);
    }
  });

  test('ramps of zero length switch at once', () => {
    const a = burstEnvelope({ periodSamples: 10, onSamples: 4, rampSamples: 0 }, 20);
    expect([...a].map((value) => (value > 0 ? 1 : 0)).join('')).toBe('11111000001111100000');
  });

  test('what is fully on is picked, and nothing else', () => {
    const pattern = { periodSamples: 1000, onSamples: 500, rampSamples: 100 };
    const x = zeros(3000);
    x.re.set(burstEnvelope(pattern, 3000));
    const on = whileOn(x, pattern);
    expect(on.re.length).toBe(3 * 401);
    expect(Math.min(...on.re)).toBe(1);
    expect(isWhollyOn(pattern, 1000, 1400)).toBe(true);
    expect(isWhollyOn(pattern, 999, 1300)).toBe(false);
    expect(isWhollyOn(pattern, 1100, 1402)).toBe(false);
  });
});

describe('spectrum of a gated tone', () => {
  // Source: transform of a pulse with raised-cosine edges, a rectangle of D convolved with a half-cycle cosine of R:
  // c_k = (D/T)·sinc(kD/T)·cos(πkR/T)/(1 − (2kR/T)²), sinc(x) = sin(πx)/(πx), on multiples of 1/T.
  const sinc = (x: number) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
  const [T, D, R, periods] = [4096, 1600, 256, 4];

  test('lines at multiples of 1/period with the closed form’s amplitudes', () => {
    const x = zeros(T * periods);
    x.re.set(burstEnvelope({ periodSamples: T, onSamples: D, rampSamples: R }, T * periods));
    const bins = fft(x);
    for (let k = 0; k < 40; k++) {
      const ratio = (2 * k * R) / T;
      // At a ratio of 1 cosine and denominator vanish together: π/4.
      const ramp = ratio === 1 ? Math.PI / 4 : Math.cos((Math.PI * k * R) / T) / (1 - ratio * ratio);
      const expected = (D / T) * sinc((k * D) / T) * ramp;
      const at = k * periods;
      // Sampling folds the tail of the closed form, 1/k³ beyond the ramp's bandwidth: below 1e-5 here.
      expect(Math.hypot(bins.re[at], bins.im[at]) / x.re.length).toBeCloseTo(Math.abs(expected), 5);
      for (const off of [1, 2, 3]) {
        expect(Math.hypot(bins.re[at + off], bins.im[at + off]) / x.re.length).toBeLessThan(1e-12);
      }
    }
  });
});

describe('on a waveform', () => {
  test('mean power over the record is the active share; the gate is the envelope times one factor', () => {
    const { waveform } = generate({ ...plain, burst });
    const { waveform: continuous } = generate(plain);
    const ratio = waveform.burst?.activeRatio ?? 0;
    expect(meanPower(waveform.signal)).toBeCloseTo(ratio, 12);
    expect(waveform.signal).toBe(waveform.beforeReduction);
    if (waveform.burst === null) throw new Error('has a burst');
    const envelope = burstEnvelope(waveform.burst, 2 ** 16);
    const factor = waveform.signal.re[5] / continuous.signal.re[5];
    expect(Math.abs(20 * Math.log10(factor))).toBeLessThan(0.3);
    for (let n = 0; n < 2 ** 16; n += 97) {
      expect(waveform.signal.im[n]).toBeCloseTo(factor * envelope[n] * continuous.signal.im[n], 12);
    }
  });

  test('a constant envelope has unit power while on', () => {
    const { burst: geometry } = resolve({ ...plain, burst });
    if (geometry === null) throw new Error('has a burst');
    const tone = zeros(2 ** 16);
    tone.re.fill(Math.SQRT1_2);
    tone.im.fill(Math.SQRT1_2);
    const on = whileOn(gate(tone, geometry), geometry);
    expect(meanPower(on)).toBeCloseTo(1, 12);
  });

  test('acts after crest-factor reduction, on both records', () => {
    const crestFactorReduction = { targetPaprDb: 7 };
    const { waveform, crestReduction } = generate({ ...bench, crestFactorReduction, burst });
    const continuous = generate({ ...bench, crestFactorReduction });
    expect(waveform.signal).not.toBe(waveform.beforeReduction);
    expect(crestReduction).toEqual(continuous.crestReduction);
  });
});

describe('settings', () => {
  test('the period moves to whole periods per record, with both numbers', () => {
    const moved = { ...plain, burst: { ...burst, periodS: 260e-6 } };
    expect(resolve(moved).burst?.periodCount).toBe(4);
    expect(resolve(moved).resolvedSettings.burst).toEqual(burst);
    const [note] = notesOf(moved).filter(({ code }) => code === 'burst-moved');
    expect(note.message).toContain('260 µs');
    expect(note.message).toContain('250 µs');
    expect(notesOf({ ...plain, burst }).map(({ code }) => code)).not.toContain('burst-moved');
    expect(resolve({ ...plain, burst: { ...burst, periodS: 300e-6 } }).burst?.periodSamples).toBeCloseTo(
      2 ** 16 / 3,
      9,
    );
  });

  test.each([
    ['a period longer than twice the record', { ...burst, periodS: 2.1e-3 }, 'waveform.burst.periodS', '1000 µs'],
    ['a ramp longer than the on-time', { ...burst, dutyRatio: 0.05 }, 'waveform.burst.rampS', '12.2559 µs'],
    ['a ramp longer than the off-time', { ...burst, dutyRatio: 0.95 }, 'waveform.burst.rampS', '12.5 µs'],
    ['hardly any sample', { periodS: 1e-6, dutyRatio: 0.01, rampS: 0 }, 'waveform.burst.dutyRatio', 'raise the duty'],
  ])('%s is refused with what would do', (_, wanted, path, remedy) => {
    const issues = issuesOf({ ...plain, burst: wanted });
    expect(issues.map((issue) => issue.path)).toEqual([path]);
    expect(issues[0].remedy).toContain(remedy);
  });

  test('any pattern gives issues or a gate of the stated share', () => {
    const random = createRandom(9);
    const x = randomSignal(2 ** 16, random);
    let gated = 0;
    for (let i = 0; i < 60; i++) {
      const wanted = {
        periodS: 10 ** (-6 + 4 * random.uniform()),
        dutyRatio: 0.01 + 0.98 * random.uniform(),
        rampS: random.uniform() < 0.3 ? 0 : 10 ** (-9 + 6 * random.uniform()),
      };
      const issues: Issue[] = [];
      const record = { sampleRateHz: plain.sampleRateHz, sampleCount: plain.sampleCount };
      const geometry = resolveBurst(wanted, record, issues, []);
      expect(geometry === null).toBe(issues.length === 1);
      if (geometry === null) continue;
      gated++;
      expect(geometry.activeRatio).toBeGreaterThan(0);
      expect(geometry.activeRatio).toBeLessThan(1);
      expect(meanPower(gate(x, geometry))).toBeCloseTo(geometry.activeRatio, 12);
      const onRatio = whileOn(x, geometry).re.length / 2 ** 16;
      expect(onRatio).toBeLessThanOrEqual(geometry.activeRatio + 1e-9);
    }
    expect(gated).toBeGreaterThan(15);
  });
});
