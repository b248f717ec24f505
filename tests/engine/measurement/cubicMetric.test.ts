import { describe, expect, test } from 'vitest';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { cubicMetricDb, rawCubicMetricDb } from '../../../src/engine/measurement/cubicMetric.ts';
import { shapePulses } from '../../../src/engine/waveform/singleCarrier.ts';
import { generate, randomSignal, type WaveformInput } from '../waveform/build.ts';

const tones = (count: number) => {
  const x = zeros(4096);
  for (let n = 0; n < 4096; n++) {
    for (let k = 0; k < count; k++) {
      x.re[n] += Math.cos((2 * Math.PI * k * n) / 4096);
      x.im[n] += Math.sin((2 * Math.PI * k * n) / 4096);
    }
  }
  return x;
};

describe('raw metric: 10·log10(E v⁶), v the envelope over its rms', () => {
  // Closed forms: a constant envelope is 0 dB; two equal tones have v² = 1 + cos, E(1 + cos)³ = 5/2; a complex Gaussian
  // has E v⁶ = 3! (reference check GA-01), known to 2 % from a million samples.
  test('constant, two tones, Gaussian', () => {
    expect(rawCubicMetricDb(tones(1))).toBeCloseTo(0, 10);
    expect(rawCubicMetricDb(tones(2))).toBeCloseTo(10 * Math.log10(2.5), 10);
    expect(Math.abs(rawCubicMetricDb(randomSignal(2 ** 20, createRandom(1))) - 10 * Math.log10(6))).toBeLessThan(0.1);
    expect(() => rawCubicMetricDb(zeros(8))).toThrow(/no power in 8/);
  });

  // Source: TS 25.101 (from memory): the UTRA voice reference has a raw metric of 1.52 dB. One DPDCH of spreading factor
  // 64 on I, the DPCCH of 256 on Q at 8/15, complex scrambling of TS 25.213 clause 4.3.2.2, roll-off 0.22. Random codes
  // and data in place of the standard's.
  test('the UTRA voice reference stands at 1.52 dB', () => {
    const chips = utraVoice(2560 * 30, createRandom(2, 'utra'));
    expect(Math.abs(rawCubicMetricDb(shapePulses(chips, 0.22, 8 * chips.re.length)) - 1.52)).toBeLessThan(0.03);
  });
});

/** Chips of one data and one control channel, scrambled so that every second turn is a right angle. */
function utraVoice(count: number, random: Random): ComplexSignal {
  const sign = () => (random.integer(2) === 0 ? 1 : -1);
  const chips = zeros(count);
  let [dataBit, controlBit, slow] = [1, 1, 1];
  for (let n = 0; n < count; n++) {
    if (n % 64 === 0) dataBit = sign();
    if (n % 256 === 0) controlBit = sign();
    if (n % 2 === 0) slow = sign();
    // Spreading code 16 of 64: two chips up, two down.
    const re = dataBit * (n % 4 < 2 ? 1 : -1);
    const im = (8 / 15) * controlBit;
    const fast = sign();
    const turn = n % 2 === 0 ? slow : -slow;
    chips.re[n] = fast * (re - turn * im);
    chips.im[n] = fast * (turn * re + im);
  }
  return chips;
}

const of = (input: Partial<WaveformInput> & Pick<WaveformInput, 'carriers'>) =>
  cubicMetricDb(generate({ symbolCount: 20, ...input }).waveform);
const ofdm = { kind: 'ofdm', standard: 'nr', channelBandwidthHz: 10e6 } as const;
const single = { kind: 'singleCarrier', symbolRateHz: 3.84e6, rollOffRatio: 0.22, modulation: 'QPSK' } as const;

describe('cubic metric of a waveform', () => {
  // (7.78 − 1.52)/1.56 = 4.01 dB, what is quoted for OFDM (from memory). 12 480 symbols: 0.15 dB.
  test('OFDM and noise: 4.0 dB', () => {
    expect(Math.abs((of({ carriers: [ofdm] }) ?? 0) - (10 * Math.log10(6) - 1.52) / 1.56)).toBeLessThan(0.15);
    const noise = { kind: 'noise', occupiedBandwidthHz: 5e6 } as const;
    expect(Math.abs((of({ carriers: [noise] }) ?? 0) - 4.01)).toBeLessThan(0.15);
  });

  test('a single carrier: slope 1.85 from the reference, and more for denser constellations', () => {
    const { waveform } = generate({ carriers: [single], sampleCount: 2 ** 17 });
    expect(cubicMetricDb(waveform)).toBeCloseTo((rawCubicMetricDb(waveform.signal) - 1.52) / 1.85, 10);
    const dense = generate({ carriers: [{ ...single, modulation: '64QAM' }], sampleCount: 2 ** 17 }).waveform;
    expect(cubicMetricDb(dense) ?? 0).toBeGreaterThan((cubicMetricDb(waveform) ?? 0) + 0.3);
  });

  test('shaping lowers it, silence between bursts does not raise it', () => {
    const plain = of({ carriers: [ofdm] }) ?? 0;
    expect(of({ carriers: [ofdm], crestFactorReduction: { targetPaprDb: 6 } })).toBeLessThan(plain - 0.3);
    const burst = { periodS: 0.5e-3, dutyRatio: 0.5 };
    expect(Math.abs((of({ carriers: [ofdm], symbolCount: 28, burst }) ?? 0) - plain)).toBeLessThan(0.3);
  });

  test('none is defined for tones and mixtures with single carriers', () => {
    expect(of({ carriers: [{ kind: 'twoTone', toneSpacingHz: 1e6 }], sampleCount: 4096 })).toBeNull();
    expect(of({ carriers: [{ ...single, offsetHz: -8e6 }, ofdm] })).toBeNull();
  });
});
