// The longest records people ask for: 10 ms of a 100 MHz carrier, and millions of samples of noise.
import { describe, expect, test } from 'vitest';
import { meanPower } from '../../../src/engine/dsp/complex.ts';
import { paprAtProbability } from '../../../src/engine/measurement/ccdf.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import checks from '../../reference/waveformChecks.json' with { type: 'json' };
import { generate, leakage } from './build.ts';

describe('NR 100 MHz, 30 kHz, 10 ms at 491.52 Msps', () => {
  const { waveform } = generate({
    carriers: [{ kind: 'ofdm', channelBandwidthHz: 100e6, subcarrierSpacingHz: 30e3, modulation: '256QAM' }],
    // 20 slots of 14 symbols (TS 38.211 clause 4.3.2).
    symbolCount: 280,
    sampleRateHz: 491.52e6,
  });

  test('is 4.9 million samples of 3276 subcarriers', () => {
    // 16384 + 1152 samples a symbol; 10 ms less the longer prefixes: 20 of 256 samples.
    expect(waveform.signal.re.length).toBe(4915200 - 20 * 256);
    expect(waveform.carriers[0].ofdm?.subcarriers.length).toBe(3276);
    expect(waveform.data[0]?.re.length).toBe(280 * 3276);
    expect(meanPower(waveform.signal)).toBeCloseTo(1, 10);
  });

  test('leaks 80 dB below and is demodulated to rounding of its channel filter', () => {
    const channels = { sampleRateHz: 491.52e6, bandwidthHz: 98.28e6, spacingHz: 100e6 };
    for (const aclrDb of leakage(waveform.signal, channels)) expect(aclrDb).toBeGreaterThan(80);
    const request = { output: waveform.signal, waveform, carrierIndex: 0, reference: 'data' } as const;
    expect(measureEvm({ ...request, equalizer: 'perSubcarrier' }).reading.rmsPercent).toBeLessThan(0.01);
  });
});

describe('PR-01: four million samples of a noise carrier of half the rate', () => {
  const sampleCount = 2 ** 22;
  const { signal } = generate({
    carriers: [{ kind: 'noise', occupiedBandwidthHz: 50e6 }],
    sampleCount,
    sampleRateHz: 100e6,
  }).waveform;

  // Source: reference check PR-01: 10·log10(p·ln 10). 2^21 independent complex values lie in the band: γ at probability p
  // scatters by 1/√(p·2^21), that is 4.34/√(p·2^21)/γ dB; four standard deviations.
  test.each([
    ['1e-2', 1e-2],
    ['1e-3', 1e-3],
    ['1e-4', 1e-4],
  ] as const)('exceed the Gaussian level with %s', (name, probability) => {
    const expectedDb = checks['PR-01'].expected[name];
    const tolerance = (4 * 4.343) / Math.sqrt((probability * sampleCount) / 2) / 10 ** (expectedDb / 10);
    expect(Math.abs((paprAtProbability(signal, probability) ?? 0) - expectedDb)).toBeLessThan(tolerance);
  });
});
