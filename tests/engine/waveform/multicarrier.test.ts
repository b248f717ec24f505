import { describe, expect, test } from 'vitest';
import { numerologies } from '../../../shared/tables/numerologies.ts';
import { type ComplexSignal, meanPower, peakPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { kaiserLowpass } from '../../../src/engine/dsp/fir.ts';
import { bandPower, estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { bench, generate, leakage, resolve, type WaveformInput } from './build.ts';

const LTE = { sampleRateHz: 122.88e6, bandwidthHz: 9e6, spacingHz: 10e6 };

/** Width holding 99 % of the power, by a plain periodogram of the whole record. */
function occupied99Hz(signal: ComplexSignal, sampleRateHz: number): number {
  const length = signal.re.length;
  const bins = fft(signal);
  const half = Math.floor(length / 2);
  const power = Array.from({ length }, (_, i) => {
    const b = (i - half + length) % length;
    return bins.re[b] * bins.re[b] + bins.im[b] * bins.im[b];
  });
  const total = power.reduce((sum, p) => sum + p, 0);
  const crossing = (share: number) => {
    let sum = 0;
    return power.findIndex((p) => {
      sum += p;
      return sum >= share * total;
    });
  };
  return ((crossing(0.995) - crossing(0.005)) * sampleRateHz) / length;
}

describe('F1: 600 × 15 kHz at four times the base rate', () => {
  const input = { ...bench, sampleRateHz: 61.44e6, symbolCount: 24, spectralEdge: { kind: 'channelFilter' } } as const;
  const { waveform } = generate(input, 1);

  // Source: product F1.
  test('occupies 8.9 to 9.1 MHz and has unit rms', () => {
    const widthMHz = occupied99Hz(waveform.signal, 61.44e6) / 1e6;
    expect(widthMHz).toBeGreaterThan(8.9);
    expect(widthMHz).toBeLessThan(9.1);
    expect(Math.abs(Math.sqrt(meanPower(waveform.signal)) - 1)).toBeLessThan(0.001);
  });

  test('the same seed gives the same samples, another seed others', () => {
    expect(generate(input, 1).waveform.signal).toEqual(waveform.signal);
    const other = generate(input, 2).waveform.signal;
    expect(Math.abs(other.re[0] - waveform.signal.re[0])).toBeGreaterThan(1e-6);
  });
});

describe('F2 and P11: the source’s own leakage', () => {
  // Source: product F2: at least 80 dB with the filter (pitfalls P10: the filter gives 117).
  test('is at least 80 dB down with the channel filter', () => {
    const { waveform } = generate(bench);
    for (const aclrDb of leakage(waveform.signal, LTE)) expect(aclrDb).toBeGreaterThan(80);
  });

  test.each([
    ['lte', 10e6, 15e3, 9e6],
    ['nr', 10e6, 15e3, 9.36e6],
    ['nr', 20e6, 30e3, 18.36e6],
    ['lte', 3e6, 15e3, 2.7e6],
  ] as const)('is at least 80 dB down with the automatic filter of %s %f Hz', (standard, width, spacing, occupied) => {
    const carrier = { kind: 'ofdm', standard, channelBandwidthHz: width, subcarrierSpacingHz: spacing } as const;
    const { waveform } = generate({ carriers: [carrier], symbolCount: 24, spectralEdge: { kind: 'channelFilter' } });
    const channels = { sampleRateHz: waveform.sampleRateHz, bandwidthHz: occupied, spacingHz: width };
    for (const aclrDb of leakage(waveform.signal, channels)) expect(aclrDb).toBeGreaterThan(80);
  });

  // Source: product F2 and pitfalls P11: −38.8 ± 1 dBc in one record.
  test('is 38.8 dB down without an edge', () => {
    const { waveform } = generate({ ...bench, spectralEdge: { kind: 'none' } });
    for (const aclrDb of leakage(waveform.signal, LTE)) expect(Math.abs(aclrDb - 38.8)).toBeLessThan(1);
  });
});

describe('OF-01: closed forms of the pulse', () => {
  const mean = (readings: number[]) =>
    -powerRatioToDb(readings.reduce((sum, db) => sum + 10 ** (-db / 10), 0) / readings.length);

  // Source: reference check OF-01, sampled rectangular symbols; 0.35 dB over at least 500 symbols and both sides. One
  // record of 520 symbols scatters by 0.22 dB (sd over 12 seeds), four of them by 0.11 dB.
  test.each([
    [30.72e6, 37.919],
    [61.44e6, 38.61],
    [122.88e6, 38.755],
  ])('unfiltered at %f Hz leaks %f dB', (sampleRateHz, expectedDb) => {
    const input = { ...bench, sampleRateHz, symbolCount: 520, spectralEdge: { kind: 'none' } } as const;
    const readings = [1, 2, 3, 4].flatMap((seed) =>
      leakage(generate(input, seed).waveform.signal, { ...LTE, sampleRateHz }),
    );
    expect(Math.abs(mean(readings) - expectedDb)).toBeLessThan(0.35);
  });

  // Source: reference check OF-01, raised-cosine edges of Tw·Tu, continuous time; 1 dB.
  test.each([
    [0.005, 48.344],
    [0.01, 57.557],
    [0.02, 73.92],
    [0.04, 85.553],
    [0.07, 95.533],
  ])('raised-cosine overlap of %f symbols leaks %f dB', (ratio, expectedDb) => {
    const overlapS = ratio / 15e3;
    const { waveform } = generate({ ...bench, symbolCount: 200, spectralEdge: { kind: 'symbolOverlap', overlapS } });
    expect(Math.abs(mean(leakage(waveform.signal, LTE)) - expectedDb)).toBeLessThan(1);
  });
});

describe('P12: the record joins its own start', () => {
  const step = (x: ComplexSignal, n: number, m: number) => Math.hypot(x.re[n] - x.re[m], x.im[n] - x.im[m]);
  const thrice = (x: ComplexSignal): ComplexSignal => {
    const length = x.re.length;
    const y = zeros(3 * length);
    for (let i = 0; i < 3; i++) {
      y.re.set(x.re, i * length);
      y.im.set(x.im, i * length);
    }
    return y;
  };
  /** The mistake: the channel filter started from silence, so that the end does not reach round to the start. */
  const filteredFromSilence = (x: ComplexSignal): ComplexSignal => {
    const taps = kaiserLowpass({ tapCount: 513, cutoffRatio: 4.8 / 122.88, beta: 9 });
    const y = zeros(x.re.length);
    for (let n = 0; n < x.re.length; n++) {
      for (let k = 0; k <= Math.min(n, 512); k++) {
        y.re[n] += taps[k] * x.re[n - k];
        y.im[n] += taps[k] * x.im[n - k];
      }
    }
    return y;
  };

  // Source: pitfalls P12: −117 dBc cyclic against −65 … −69 looped. Segments of the repeats cross the joins.
  test('three repeats leak no more than one record', () => {
    const { waveform } = generate(bench);
    for (const aclrDb of leakage(thrice(waveform.signal), LTE)) expect(aclrDb).toBeGreaterThan(110);
  });

  test('and the same test sees a record that does not join', () => {
    const { waveform } = generate({ ...bench, spectralEdge: { kind: 'none' } });
    const looped = leakage(thrice(filteredFromSilence(waveform.signal)), LTE);
    expect(Math.min(...looped)).toBeLessThan(80);
  });

  test('the step across the join is like any other step', () => {
    const { signal } = generate(bench).waveform;
    const length = signal.re.length;
    const steps = Array.from({ length: 4001 }, (_, i) => step(signal, 50 * i + 1, 50 * i)).sort((a, b) => a - b);
    // Steps of a Gaussian envelope are Rayleigh: one in 10^5 exceeds 4.1 times the median.
    expect(step(signal, 0, length - 1)).toBeLessThan(4.1 * steps[2000]);
  });
});

describe('every numerology row', () => {
  test.each(numerologies.map((row) => ({ ...row })))(
    '$standard $channelBandwidthHz Hz, $subcarrierSpacingHz Hz',
    (row) => {
      const { standard, channelBandwidthHz, subcarrierSpacingHz } = row;
      const carrier = { kind: 'ofdm', standard, channelBandwidthHz, subcarrierSpacingHz } as const;
      const { waveform } = generate({ carriers: [carrier], symbolCount: 2, spectralEdge: { kind: 'none' } });
      const { ofdm } = waveform.carriers[0];
      // Source: TS 38.104 Table 5.3.2-1 and TS 36.104: 12 subcarriers a resource block.
      expect(ofdm?.subcarriers.length).toBe(12 * row.resourceBlockCount);
      expect(ofdm?.fftLength).toBe(waveform.sampleRateHz / subcarrierSpacingHz);
      // Source: TS 38.211 clause 5.3.1: 144 of 2048 samples.
      expect((ofdm?.cyclicPrefixSamples ?? 0) / (ofdm?.fftLength ?? 1)).toBe(144 / 2048);
      const { reading } = measureEvm({
        output: waveform.signal,
        waveform,
        carrierIndex: 0,
        equalizer: 'none',
        reference: 'data',
      });
      // Nothing between modulator and demodulator: rounding only.
      expect(reading.rmsPercent).toBeLessThan(1e-10);
    },
  );

  // Source: TS 38.211 clause 5.3.1 (the carrier’s centre carries data); LTE leaves it unused (TS 36.211, from memory).
  test('LTE leaves the centre out, NR begins half the count below it', () => {
    const positions = (standard: 'lte' | 'nr') =>
      resolve({ carriers: [{ kind: 'ofdm', standard, channelBandwidthHz: 10e6 }], symbolCount: 2 }).carriers[0].geometry
        .ofdm?.subcarriers ?? new Int32Array();
    expect([positions('lte')[0], positions('lte')[299], positions('lte')[300], positions('lte')[599]]).toEqual([
      -300, -1, 1, 300,
    ]);
    expect([positions('nr')[0], positions('nr')[312], positions('nr')[623]]).toEqual([-312, 0, 311]);
  });
});

describe('several carriers', () => {
  const carriers = [
    { kind: 'ofdm', offsetHz: -10e6, standard: 'lte', channelBandwidthHz: 10e6, modulation: 'QPSK' },
    { kind: 'ofdm', offsetHz: 7e6, channelBandwidthHz: 20e6, subcarrierSpacingHz: 30e3, relativePowerDb: -10 },
    { kind: 'noise', offsetHz: 25e6, occupiedBandwidthHz: 5e6, relativePowerDb: -3 },
  ] as const;
  const { waveform } = generate({ carriers: [...carriers], symbolCount: 12 }, 5);

  test('stand at their offsets with their relative powers', () => {
    const spectrum = estimateSpectrum(waveform.signal, {
      sampleRateHz: waveform.sampleRateHz,
      method: 'wholeRecord',
      window: 'rectangular',
      segmentLength: 8192,
      overlapRatio: 0.5,
    });
    const powers = waveform.carriers.map((carrier) =>
      bandPower(spectrum, carrier.offsetHz, carrier.channelBandwidthHz),
    );
    // All of a carrier's power lies in its channel but for the filter's skirt (about 1e-6).
    expect(powerRatioToDb(powers[1] / powers[0])).toBeCloseTo(-10, 3);
    expect(powerRatioToDb(powers[2] / powers[0])).toBeCloseTo(-3, 3);
    expect(powers[0] + powers[1] + powers[2]).toBeCloseTo(1, 4);
    expect(meanPower(waveform.signal)).toBeCloseTo(1, 12);
  });

  test('are each demodulated beside the others, with twice the symbols at twice the spacing', () => {
    expect(waveform.carriers.map((carrier) => carrier.ofdm?.symbolCount ?? null)).toEqual([12, 24, null]);
    for (const carrierIndex of [0, 1]) {
      const request = { output: waveform.signal, waveform, carrierIndex, reference: 'data' } as const;
      // Filters longer than the prefix leave a few thousandths; a neighbour not filtered off gives 5 % on the weaker
      // carrier, a wrong offset or symbol tens of per cent.
      expect(measureEvm({ ...request, equalizer: 'perSubcarrier' }).reading.rmsPercent).toBeLessThan(0.05);
    }
  });

  test('each draw from a seed of their own', () => {
    const alone = generate({ carriers: [carriers[0]], symbolCount: 12 }, 5).waveform;
    expect(alone.data[0]).toEqual(waveform.data[0]);
    const twins = generate(
      { carriers: [carriers[0], { ...carriers[0], offsetHz: 10e6 }], symbolCount: 12 },
      5,
    ).waveform;
    expect(twins.data[0]).not.toEqual(twins.data[1]);
  });
});

describe('noise', () => {
  const input: WaveformInput = {
    carriers: [{ kind: 'noise', offsetHz: 3e6, occupiedBandwidthHz: 10e6 }],
    sampleCount: 2 ** 16,
    sampleRateHz: 100e6,
  };

  test('fills exactly its bins, evenly', () => {
    const { waveform } = generate(input, 3);
    const bins = fft(waveform.signal);
    const binHz = 100e6 / 2 ** 16;
    const centre = Math.round(3e6 / binHz);
    const half = Math.round((10e6 / binHz - 1) / 2);
    let inside = 0;
    let lowerHalf = 0;
    let outside = 0;
    for (let b = 0; b < 2 ** 16; b++) {
      const signed = (b < 2 ** 15 ? b : b - 2 ** 16) - centre;
      const power = bins.re[b] ** 2 + bins.im[b] ** 2;
      if (Math.abs(signed) <= half) inside += power;
      else outside += power;
      if (signed >= -half && signed < 0) lowerHalf += power;
    }
    expect(powerRatioToDb(outside / inside)).toBeLessThan(-270);
    // 3276 independent bins a half: relative deviation 1/√3276/√2 = 1.2 %, three of them.
    expect(Math.abs(lowerHalf / inside - 0.5)).toBeLessThan(0.5 * 0.037);
    expect(waveform.carriers[0].occupiedBandwidthHz).toBe((2 * half + 1) * binHz);
    expect(waveform.carriers[0].channelBandwidthHz).toBe((2 * half + 1) * binHz);
  });

  // Source: E|x|⁴ = 2 (E|x|²)² of a complex Gaussian (GA-01); 6554 independent samples give ±3 %, three of them.
  test('is complex Gaussian', () => {
    const { re, im } = generate(input, 4).waveform.signal;
    let fourth = 0;
    for (let n = 0; n < re.length; n++) fourth += (re[n] ** 2 + im[n] ** 2) ** 2;
    expect(Math.abs(fourth / re.length - 2)).toBeLessThan(0.18);
    expect(peakPower({ re, im })).toBeGreaterThan(6);
  });
});
