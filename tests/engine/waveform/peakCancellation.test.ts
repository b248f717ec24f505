// Peak cancellation against clipping and filtering, and the shares that carriers take of a correction.
import { describe, expect, test } from 'vitest';
import { zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { kaiserLowpass } from '../../../src/engine/dsp/fir.ts';
import { crestFactorDb, paprAtProbability } from '../../../src/engine/measurement/ccdf.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { cancelPeaks } from '../../../src/engine/waveform/peakCancellation.ts';
import { bench, generate, largestDifference, leakage, type WaveformInput } from './build.ts';

const LTE = { sampleRateHz: 122.88e6, bandwidthHz: 9e6, spacingHz: 10e6 };
const shaping = { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: null };
const cancelling = { ...shaping, method: 'peakCancellation' } as const;

function spent(input: WaveformInput, seed: number) {
  const made = generate(input, seed);
  const evmPercent = made.waveform.carriers.map((carrier, carrierIndex) => {
    if (carrier.ofdm === null) return null;
    const request = {
      output: made.waveform.signal,
      waveform: made.waveform,
      carrierIndex,
      equalizer: 'perSubcarrier',
    } as const;
    return measureEvm({ ...request, reference: 'data', windowPosition: 'centre' }).reading.rmsPercent;
  });
  return { ...made, evmPercent, papr: paprAtProbability(made.waveform.signal, 1e-4) ?? 0 };
}

describe('one pulse', () => {
  const taps = kaiserLowpass({ tapCount: 101, cutoffRatio: 0.05, beta: 9 });
  const filter = { kind: 'taps', taps: { re: taps, im: new Float64Array(101) }, delaySamples: 50 } as const;

  test('takes a lone peak just down to the threshold and leaves what lies beyond the pulse', () => {
    const x = zeros(4096);
    x.re.fill(1);
    x.re[0] = 3; // across the join of the record
    x.im[0] = 4;
    const mean = (4095 + 25) / 4096;
    const { signal, roundsUsed } = cancelPeaks(x, filter, { targetPaprDb: 6, roundCount: 1 });
    expect(roundsUsed).toBe(1);
    const factor = signal.re[2000];
    expect(Math.hypot(signal.re[0], signal.im[0]) / factor).toBeCloseTo(Math.sqrt(mean * 10 ** 0.6), 9);
    expect(Math.atan2(signal.im[0], signal.re[0])).toBeCloseTo(Math.atan2(4, 3), 9);
    for (const n of [51, 4096 - 51]) expect(signal.re[n] / factor).toBe(1);
    expect(signal.im[1]).toBeLessThan(0);
  });
});

describe('F3 by peak cancellation (source: product F3)', () => {
  const by = (targetPaprDb: number, method: 'clipAndFilter' | 'peakCancellation') =>
    spent({ ...bench, symbolCount: 120, crestFactorReduction: { ...shaping, method, targetPaprDb } }, 7);
  const eight = by(8, 'peakCancellation');

  test('8.0 dB is met at 10⁻⁴ within 0.1 dB and the peak within 0.3 dB', () => {
    expect(Math.abs(eight.papr - 8)).toBeLessThan(0.1);
    expect(crestFactorDb(eight.waveform.signal)).toBeLessThan(8.3);
    expect(eight.notes).toEqual([]);
  });

  test('8.0 dB spends 1.3 to 1.9 %, within 0.5 points of clipping and filtering', () => {
    expect(eight.evmPercent[0]).toBeGreaterThan(1.3);
    expect(eight.evmPercent[0]).toBeLessThan(1.9);
    expect(Math.abs((eight.evmPercent[0] ?? 0) - (by(8, 'clipAndFilter').evmPercent[0] ?? 9))).toBeLessThan(0.5);
  });

  test('6.0 dB spends 5.3 to 6.5 %', () => {
    const six = by(6, 'peakCancellation');
    expect(six.evmPercent[0]).toBeGreaterThan(5.3);
    expect(six.evmPercent[0]).toBeLessThan(6.5);
    expect(Math.abs(six.papr - 6)).toBeLessThan(0.1);
  });

  test('the leakage changes by less than 0.5 dB', () => {
    const before = leakage(eight.waveform.beforeReduction, LTE);
    for (const [side, db] of leakage(eight.waveform.signal, LTE).entries()) {
      expect(Math.abs(db - before[side])).toBeLessThan(0.5);
    }
  });

  test('noise stays on its exact bins', () => {
    const { waveform, papr } = spent(
      {
        carriers: [{ kind: 'noise', occupiedBandwidthHz: 10e6 }],
        sampleCount: 2 ** 17,
        sampleRateHz: 80e6,
        crestFactorReduction: cancelling,
      },
      1,
    );
    const bins = fft(waveform.signal);
    const half = Math.round((waveform.carriers[0].occupiedBandwidthHz * 2 ** 17) / 80e6 - 1) / 2;
    let [inside, outside] = [0, 0];
    for (let b = 0; b < 2 ** 17; b++) {
      const power = bins.re[b] ** 2 + bins.im[b] ** 2;
      if (Math.abs(b < 2 ** 16 ? b : b - 2 ** 17) <= half) inside += power;
      else outside += power;
    }
    expect(powerRatioToDb(outside / inside)).toBeLessThan(-250);
    expect(Math.abs(papr - 8)).toBeLessThan(0.1);
  });
});

describe.each(['clipAndFilter', 'peakCancellation'] as const)('shares by %s', (method) => {
  const carrier = { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6 } as const;
  const two = (robust: number, fragile: number): WaveformInput => ({
    ...bench,
    symbolCount: 48,
    carriers: [
      { ...carrier, modulation: 'QPSK', offsetHz: -5e6, crestShareRatio: robust },
      { ...carrier, modulation: '256QAM', offsetHz: 5e6, crestShareRatio: fragile },
    ],
    crestFactorReduction: { ...shaping, method, roundCount: 30 },
  });

  test('a carrier of share 0 is left alone, the other one takes all, and the target is met', () => {
    const { evmPercent, papr, crestReduction, notes } = spent(two(1, 0), 3);
    // The channel filters' stopbands, 90 dB down, are all that reaches the untouched carrier.
    expect(evmPercent[1]).toBeLessThan(0.01);
    expect(evmPercent[0]).toBeGreaterThan(2.5);
    // The generator's own figure is taken beside the other carrier, 10 MHz or 666.67 subcarriers away: it leaks a little.
    expect(crestReduction?.evmPerCarrierPercent[1]).toBeLessThan(0.05);
    expect(crestReduction?.evmPercent).toBe(crestReduction?.evmPerCarrierPercent[0]);
    expect(Math.abs(papr - 8)).toBeLessThan(0.1);
    expect(notes).toEqual([]);
  });

  test('equal shares spend equally; half shares on both are the same', () => {
    const [half, whole] = [spent(two(0.5, 0.5), 3), spent(two(1, 1), 3)];
    expect(largestDifference(half.waveform.signal, whole.waveform.signal)).toBe(0);
    expect(Math.abs((whole.evmPercent[0] ?? 0) / (whole.evmPercent[1] ?? 1) - 1)).toBeLessThan(0.05);
  });

  test('a weak carrier that is to take all does not reach the target and says so', () => {
    const carriers = [
      { ...carrier, offsetHz: -5e6, relativePowerDb: -20 },
      { ...carrier, offsetHz: 5e6, crestShareRatio: 0 },
    ];
    const crestFactorReduction = { ...shaping, method, evmBudgetPercent: 10 };
    const { evmPercent, papr, notes } = spent({ ...bench, carriers, crestFactorReduction }, 3);
    expect(notes.map(({ code }) => code)).toEqual(['crest-target-missed', 'crest-evm-over-budget']);
    expect(papr).toBeGreaterThan(8.1);
    expect(evmPercent[0]).toBeGreaterThan(10);
    expect(evmPercent[1]).toBeLessThan(0.01);
  });

  test('noise by its bins: share 0 keeps every one of them', () => {
    const noise = { kind: 'noise', occupiedBandwidthHz: 10e6 } as const;
    const { waveform } = generate({
      carriers: [
        { ...noise, offsetHz: -8e6 },
        { ...noise, offsetHz: 8e6, crestShareRatio: 0 },
      ],
      sampleCount: 2 ** 16,
      sampleRateHz: 131.072e6,
      crestFactorReduction: { ...shaping, method, probability: 1e-3 },
    });
    const [before, after] = [fft(waveform.beforeReduction), fft(waveform.signal)];
    // 2 kHz bins; the record is scaled to unit power once more, by one factor.
    const factor = after.re[4000] / before.re[4000];
    for (let bin = 1501; bin < 6500; bin += 7) {
      expect(Math.hypot(after.re[bin] - factor * before.re[bin], after.im[bin] - factor * before.im[bin])).toBeLessThan(
        1e-9 * 2 ** 16,
      );
    }
    expect(Math.hypot(after.re[2 ** 16 - 4000] - factor * before.re[2 ** 16 - 4000])).toBeGreaterThan(1);
  });

  test('a notch stays open', () => {
    const notch = { bandwidthHz: 1e6 };
    const inside = (input: WaveformInput) => {
      const { waveform, notes } = generate({ ...input, crestFactorReduction: { ...shaping, method } });
      expect(notes.filter(({ code }) => code.startsWith('crest'))).toEqual([]);
      const channels = { sampleRateHz: waveform.sampleRateHz, bandwidthHz: 0.8e6, spacingHz: 1.5e6 };
      return [waveform.beforeReduction, waveform.signal].map((x) => leakage(x, channels)[1]);
    };
    const ofdm = inside({ ...bench, carriers: [{ ...carrier, notch }] });
    expect(ofdm[0]).toBeLessThan(-20);
    expect(ofdm[1]).toBeLessThan(ofdm[0] + 1);
    const sampleRateHz = 131.072e6;
    const noise = { kind: 'noise', occupiedBandwidthHz: 10e6, notch } as const;
    expect(inside({ carriers: [noise], sampleCount: 2 ** 17, sampleRateHz })[1]).toBeLessThan(-60);
  });

  test('a single carrier alone is shaped inside its band', () => {
    const single = { kind: 'singleCarrier', symbolRateHz: 8e6, modulation: '64QAM' } as const;
    const reduced = { ...shaping, method, targetPaprDb: 5.5, probability: 1e-3 };
    const { waveform } = generate({ carriers: [single], sampleCount: 2 ** 17, crestFactorReduction: reduced });
    expect(Math.abs((paprAtProbability(waveform.signal, 1e-3) ?? 0) - 5.5)).toBeLessThan(0.15);
    const half = waveform.carriers[0].occupiedBandwidthHz / 2;
    const bins = fft(waveform.signal);
    let [inside, outside] = [0, 0];
    for (let b = 0; b < 2 ** 17; b++) {
      const hz = ((b < 2 ** 16 ? b : b - 2 ** 17) * waveform.sampleRateHz) / 2 ** 17;
      const power = bins.re[b] ** 2 + bins.im[b] ** 2;
      if (Math.abs(hz) <= half) inside += power;
      else outside += power;
    }
    expect(powerRatioToDb(outside / inside)).toBeLessThan(-200);
  });

  test('tones take no correction: alone they keep their crest factor, beside a carrier their lines', () => {
    const tones = { kind: 'twoTone', toneSpacingHz: 1e6, offsetHz: 12e6, relativePowerDb: -10 } as const;
    const alone = generate({
      carriers: [{ ...tones, relativePowerDb: 0 }],
      crestFactorReduction: { ...shaping, method, targetPaprDb: 3 },
    });
    expect(alone.waveform.signal).toBe(alone.waveform.beforeReduction);
    expect(alone.notes.map(({ code }) => code)).toEqual(['crest-no-share']);
    expect(alone.notes[0].message).toContain('3.01 dB');
    const { waveform } = generate({
      ...bench,
      carriers: [carrier, tones],
      crestFactorReduction: { ...shaping, method },
    });
    const [before, after] = [fft(waveform.beforeReduction), fft(waveform.signal)];
    const toneHz = waveform.carriers[1].offsetHz + (waveform.carriers[1].tones?.frequencyHz[1] ?? 0);
    const bin = Math.round((toneHz * waveform.signal.re.length) / waveform.sampleRateHz);
    const level = (x: typeof before, at: number) => 10 * Math.log10(x.re[at] ** 2 + x.im[at] ** 2);
    expect(level(after, bin) - level(after, bin + 50)).toBeGreaterThan(80);
    expect(Math.abs(level(after, bin) - level(before, bin))).toBeLessThan(0.1);
  });
});
