// EVM of single carriers behind their matched filter, and impairments with closed forms.
import { describe, expect, test } from 'vitest';
import { addScaled, type ComplexSignal, meanPower, rotate, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import type { Waveform } from '../../../src/engine/dsp/waveformTypes.ts';
import { countEvmSymbols, type EvmRequest, measureEvm } from '../../../src/engine/measurement/evm.ts';
import checks from '../../reference/evmChecks.json' with { type: 'json' };
import { generate, randomSignal, type WaveformInput } from '../waveform/build.ts';

function readOf(waveform: Waveform, output: ComplexSignal, options: Partial<EvmRequest> = {}) {
  return measureEvm({ waveform, output, carrierIndex: 0, equalizer: 'oneGain', reference: 'data', ...options });
}
const evmOf = (waveform: Waveform, output: ComplexSignal, options: Partial<EvmRequest> = {}) =>
  readOf(waveform, output, options).reading.rmsPercent;

const carrier = { kind: 'singleCarrier', symbolRateHz: 3.84e6, rollOffRatio: 0.22, modulation: '16QAM' } as const;
const single = (change: Partial<WaveformInput> = {}) =>
  generate({ carriers: [carrier], sampleCount: 2 ** 16, sampleRateHz: 30.72e6, ...change }).waveform;

/**
 * A record made sample by sample in time, by another formula than the engine's: h(t) of a root-raised-cosine pulse
 * (handbook, such as TS 25.104 clause 6.8.1: from memory), cut at ±SPAN symbols, wrapped.
 */
const SPAN = 120;
function pulseTrain(data: ComplexSignal, samplesPerSymbol: number, sampleCount: number, alpha: number): ComplexSignal {
  const pulse = (t: number) => {
    if (Math.abs(t) < 1e-9) return 1 - alpha + (4 * alpha) / Math.PI;
    const z = 4 * alpha * t;
    if (Math.abs(Math.abs(z) - 1) < 1e-9) {
      const q = Math.PI / (4 * alpha);
      return (alpha / Math.SQRT2) * ((1 + 2 / Math.PI) * Math.sin(q) + (1 - 2 / Math.PI) * Math.cos(q));
    }
    return (
      (Math.sin(Math.PI * t * (1 - alpha)) + z * Math.cos(Math.PI * t * (1 + alpha))) / (Math.PI * t * (1 - z * z))
    );
  };
  const out = zeros(sampleCount);
  for (let s = 0; s < data.re.length; s++) {
    const from = Math.ceil((s - SPAN) * samplesPerSymbol);
    for (let n = from; n <= (s + SPAN) * samplesPerSymbol; n++) {
      const h = pulse(n / samplesPerSymbol - s);
      const at = ((n % sampleCount) + sampleCount) % sampleCount;
      out.re[at] += h * data.re[s];
      out.im[at] += h * data.im[s];
    }
  }
  return out;
}

function waveformOf(signal: ComplexSignal, data: ComplexSignal, rollOffRatio: number): Waveform {
  const sampleRateHz = 10e6;
  const symbolRateHz = (sampleRateHz * data.re.length) / signal.re.length;
  const occupiedBandwidthHz = symbolRateHz * (1 + rollOffRatio);
  return {
    signal,
    beforeReduction: signal,
    sampleRateHz,
    data: [data],
    burst: null,
    carriers: [
      {
        kind: 'singleCarrier',
        label: 'QPSK',
        offsetHz: 0,
        occupiedBandwidthHz,
        channelBandwidthHz: occupiedBandwidthHz,
        relativePowerDb: 0,
        ofdm: null,
        singleCarrier: {
          symbolRateHz,
          symbolCount: data.re.length,
          samplesPerSymbol: signal.re.length / data.re.length,
          rollOffRatio,
          modulation: 'QPSK',
          ringRatios: [1],
        },
        tones: null,
        notch: null,
      },
    ],
  };
}

describe('the matched filter', () => {
  // Two independent forms of one pulse: time here, frequency there. The pulse is cut at 120 symbols, where roll-offs of
  // 0.2 and more have fallen to 10⁻⁵.
  test.each([
    [4, 0.22],
    [2.5, 0.35],
    [1024 / 300, 0.5],
  ])('%f samples a symbol, roll-off %f: the symbols of a pulse train in time', (samplesPerSymbol, rollOff) => {
    const symbolCount = 300;
    const random = createRandom(4, 'symbols');
    const data = zeros(symbolCount);
    for (let s = 0; s < symbolCount; s++) {
      data.re[s] = (random.integer(2) - 0.5) * Math.SQRT2;
      data.im[s] = (random.integer(2) - 0.5) * Math.SQRT2;
    }
    const signal = pulseTrain(data, samplesPerSymbol, Math.round(symbolCount * samplesPerSymbol), rollOff);
    const { reading, equalized } = readOf(waveformOf(signal, data, rollOff), signal);
    expect(reading.rmsPercent).toBeLessThan(0.02);
    expect(reading).toMatchObject({ windowPosition: 'matchedFilter', symbolCount, equalizer: 'oneGain', biasRatio: 1 });
    expect(equalized.re[123]).toBeCloseTo(data.re[123], 2);
  });

  test.each(['BPSK', 'pi/2-BPSK', '8PSK', '16APSK', '32APSK', '1024QAM'] as const)(
    'clean %s reads nothing',
    (modulation) => {
      const waveform = single({ carriers: [{ ...carrier, modulation, offsetHz: 2e6 }] });
      expect(evmOf(waveform, waveform.signal)).toBeLessThan(1e-9);
      expect(evmOf(waveform, rotate(waveform.signal, { re: 0, im: 3 }))).toBeLessThan(1e-9);
    },
  );

  test('neighbours are rejected: a carrier 20 dB stronger beside it', () => {
    const waveform = single({
      carriers: [
        { ...carrier, offsetHz: -2.5e6, relativePowerDb: -20 },
        { ...carrier, offsetHz: 2.5e6 },
        { kind: 'noise', offsetHz: 7e6, occupiedBandwidthHz: 2e6, relativePowerDb: -3 },
      ],
    });
    expect(evmOf(waveform, waveform.signal)).toBeLessThan(1e-8);
    expect(evmOf(waveform, waveform.signal, { carrierIndex: 1 })).toBeLessThan(1e-8);
    expect(() => evmOf(waveform, waveform.signal, { carrierIndex: 2 })).toThrow(/carries no symbols/);
  });

  test('an equalizer it does not know is read as one gain, and said so', () => {
    const waveform = single();
    const turned = rotate(waveform.signal, { re: Math.cos(0.1), im: Math.sin(0.1) });
    for (const equalizer of ['oneGain', 'perSubcarrier', 'smoothed'] as const) {
      const { reading } = readOf(waveform, turned, { equalizer, windowPosition: 'standard' });
      expect(reading).toMatchObject({ equalizer: 'oneGain', windowPosition: 'matchedFilter' });
      expect(reading.rmsPercent).toBeLessThan(1e-9);
    }
    // Phase untouched: 2·sin(θ/2).
    expect(evmOf(waveform, turned, { equalizer: 'none' })).toBeCloseTo(200 * Math.sin(0.05), 8);
  });

  test('against the shaped waveform, what shaping cost does not show', () => {
    const crestFactorReduction = { targetPaprDb: 4.5, probability: 1e-4, roundCount: 12, evmBudgetPercent: null };
    const waveform = single({ crestFactorReduction });
    expect(evmOf(waveform, waveform.signal)).toBeGreaterThan(1);
    expect(evmOf(waveform, waveform.signal, { reference: 'shaped' })).toBeLessThan(1e-9);
  });
});

describe('impairments with closed forms', () => {
  // Source: reference check ME-06, EVM = 10^(−SNR/20), SNR behind the matched filter: white noise of power p a sample
  // leaves p·symbol rate/sample rate. 8192 symbols: 1/√8192/√2 = 0.8 %, three of them.
  test.each(Object.entries(checks['ME-06'].expected))('noise at %s dB reads %f %%', (snrDb, expectedPercent) => {
    const waveform = single();
    const noise = randomSignal(waveform.signal.re.length, createRandom(5, 'receiver'));
    const { samplesPerSymbol = 1 } = waveform.carriers[0].singleCarrier ?? {};
    const amplitude = Math.sqrt(samplesPerSymbol / meanPower(noise)) * 10 ** (-Number(snrDb) / 20);
    const percent = evmOf(waveform, addScaled(waveform.signal, { re: amplitude, im: 0 }, noise), { equalizer: 'none' });
    // "none" scales to the reference's rms, which noise has raised: √(2 − 2/√(1 + e²)) of e.
    const e = expectedPercent / 100;
    expect(Math.abs(percent / (100 * Math.sqrt(2 - 2 / Math.sqrt(1 + e * e))) - 1)).toBeLessThan(0.025);
    expect(Math.abs(percent / expectedPercent - 1)).toBeLessThan(0.03);
  });

  // Source: reference check ME-11 (derived): Gaussian phase of rms σ on every symbol, √(e^σ² − 1) after one gain. The
  // phase is put on the symbols the record is made of. 8192 symbols: 0.8 %, three of them.
  test.each(Object.entries(checks['ME-11'].expected))('phase noise of %s°', (degrees, { EVM_LSgain_pct }) => {
    const waveform = single();
    const data = waveform.data[0];
    if (data === null) throw new Error('no symbols');
    const random = createRandom(6, 'phase');
    const sigma = (Number(degrees) * Math.PI) / 180;
    const turned = zeros(data.re.length);
    for (let s = 0; s < data.re.length; s++) {
      const angle = sigma * random.normal();
      turned.re[s] = data.re[s] * Math.cos(angle) - data.im[s] * Math.sin(angle);
      turned.im[s] = data.re[s] * Math.sin(angle) + data.im[s] * Math.cos(angle);
    }
    // The clean record against turned symbols is the same error as the other way round, to second order.
    const percent = evmOf({ ...waveform, data: [turned] }, waveform.signal);
    expect(Math.abs(percent / EVM_LSgain_pct - 1)).toBeLessThan(0.025);
  });

  // Source: reference check ME-13: I/Q gain and phase error, image at IRR under a symmetric signal, EVM = 10^(−IRR/20).
  // The image of random symbols is uncorrelated with them: 8192 symbols leave 1 %.
  test.each(Object.entries(checks['ME-13'].expected))('I/Q imbalance of %s', (name, { image_EVM_pct }) => {
    const [gainDb, degrees] = name.match(/[\d.]+/g)?.map(Number) ?? [];
    const gain = 10 ** (gainDb / 20);
    const angle = (degrees * Math.PI) / 180;
    const { signal, ...rest } = single();
    const output = zeros(signal.re.length);
    for (let n = 0; n < signal.re.length; n++) {
      output.re[n] = signal.re[n];
      output.im[n] = gain * (Math.cos(angle) * signal.im[n] + Math.sin(angle) * signal.re[n]);
    }
    expect(Math.abs(evmOf({ signal, ...rest }, output) / image_EVM_pct - 1)).toBeLessThan(0.04);
  });

  // Source: reference check ME-14, carrier leakage at −L dBc: 10^(−L/20) where it is not removed. A single carrier sees
  // all of it: a constant on every symbol.
  test.each(Object.entries(checks['ME-14'].expected))('leakage of %s', (name, percent) => {
    const waveform = single();
    const leak = 10 ** (Number.parseFloat(name) / 20);
    const output = { re: waveform.signal.re.map((re) => re + leak), im: waveform.signal.im };
    expect(Math.abs(evmOf(waveform, output, { equalizer: 'none' }) / percent - 1)).toBeLessThan(0.05);
  });

  // Source: reference check ME-15: independent errors add in power. Three of its five are put in together: noise 1 %,
  // image 1 % (40 dB), phase 1° (1.745 %), 2.247 % in all.
  test('independent errors add in power', () => {
    const waveform = single();
    const noise = randomSignal(waveform.signal.re.length, createRandom(7, 'receiver'));
    const amplitude = Math.sqrt((waveform.carriers[0].singleCarrier?.samplesPerSymbol ?? 1) / meanPower(noise)) / 100;
    const image = { re: waveform.signal.re, im: waveform.signal.im.map((im) => -im) };
    const turned = rotate(waveform.signal, { re: Math.cos(Math.PI / 180), im: Math.sin(Math.PI / 180) });
    const output = addScaled(addScaled(turned, { re: 0.01, im: 0 }, image), { re: amplitude, im: 0 }, noise);
    const expected = Math.sqrt(1 + 1 + 1.745 ** 2);
    expect(Math.abs(evmOf(waveform, output, { equalizer: 'none' }) / expected - 1)).toBeLessThan(0.02);
  });
});

describe('burst patterns', () => {
  const burst = { periodS: 0.5e-3, dutyRatio: 0.4, rampS: 5e-6 };

  test('OFDM: only symbols wholly on count, and they are clean', () => {
    const { waveform } = generate({
      carriers: [{ kind: 'ofdm', standard: 'nr', channelBandwidthHz: 10e6, modulation: '64QAM' }],
      symbolCount: 28,
      sampleRateHz: 30.72e6,
      spectralEdge: { kind: 'none' },
      burst,
    });
    // 2 ms in 4 periods of 7 symbols; 0.4 of 7 symbols is 2.8: symbols 0 and 1 of each.
    expect(countEvmSymbols(waveform, 0)).toBe(8);
    for (const windowPosition of ['centre', 'standard'] as const) {
      const { reading, equalized } = readOf(waveform, waveform.signal, { equalizer: 'none', windowPosition });
      expect(reading.symbolCount).toBe(8);
      expect(reading.rmsPercent).toBeLessThan(1e-9);
      expect(equalized.re.length).toBe(8 * 624);
    }
    // One symbol on the ramp would show: as if all counted, the reading is ruined.
    expect(evmOf({ ...waveform, burst: null }, waveform.signal)).toBeGreaterThan(30);
  });

  test.each([0.05, 0.22, 0.5])('single carrier, roll-off %f: symbols clear of the edges count', (rollOffRatio) => {
    const { waveform } = generate({
      carriers: [{ ...carrier, rollOffRatio }],
      sampleCount: 2 ** 17,
      sampleRateHz: 30.72e6,
      burst,
    });
    const all = waveform.data[0]?.re.length ?? 0;
    const counted = countEvmSymbols(waveform, 0);
    const { activeRatio = 1 } = waveform.burst ?? {};
    // 768 symbols a burst, less 4/α on either side and the ramp.
    expect(counted / all).toBeLessThan(activeRatio - 0.01);
    expect(counted / all).toBeGreaterThan(activeRatio - 0.1);
    const { reading } = readOf(waveform, waveform.signal);
    expect(reading.symbolCount).toBe(counted);
    expect(reading.rmsPercent).toBeLessThan(0.1);
  });

  test('bursts too short for a symbol leave nothing to read', () => {
    const { waveform } = generate({
      carriers: [{ kind: 'ofdm', standard: 'nr', channelBandwidthHz: 10e6 }],
      symbolCount: 28,
      sampleRateHz: 30.72e6,
      burst: { ...burst, dutyRatio: 0.1 },
    });
    expect(countEvmSymbols(waveform, 0)).toBe(0);
    expect(() => readOf(waveform, waveform.signal)).toThrow(/carries no symbols/);
  });
});

test('silence is all error, never NaN', () => {
  const waveform = single();
  for (const equalizer of ['none', 'oneGain'] as const) {
    expect(evmOf(waveform, scale(waveform.signal, 0), { equalizer })).toBeCloseTo(100, 9);
  }
});
