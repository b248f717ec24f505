// What clean CP-OFDM leaks by itself, with and without raised-cosine symbol edges, and the peaks of its symbols.
//
// Closed forms (reference check OF-01), each subcarrier a pulse of its own:
//   rectangular, sampled     S(f) = Σ_k |sin(πνL)/sin(πν)|²/L,  ν = (f − f_k)/fs, L samples a symbol
//   raised-cosine edges T_w  S(f) = Σ_k sinc²((f − f_k)T)·[cos(π d T_w)/(1 − (2 d T_w)²)]²·T,  d = f − f_k
import { describe, expect, test } from 'vitest';
import type { OfdmGeometry } from '../../../shared/schema/geometry.ts';
import { meanPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { subcarrierPositions } from '../../../src/engine/waveform/carrierGeometry.ts';
import { drawSymbols, modulate } from '../../../src/engine/waveform/ofdm.ts';
import checks from '../../reference/waveformChecks.json' with { type: 'json' };
import { generate, leakage } from './build.ts';

const RATE_HZ = 122.88e6;

interface Carrier {
  readonly standard: 'lte' | 'nr';
  readonly subcarrierSpacingHz: number;
  readonly blocks: number;
  /** Width of the own and of the adjacent channel. */
  readonly bandwidthHz: number;
}

const lte: Carrier = { standard: 'lte', subcarrierSpacingHz: 15e3, blocks: 50, bandwidthHz: 9e6 };
const nr: Carrier = { standard: 'nr', subcarrierSpacingHz: 15e3, blocks: 52, bandwidthHz: 9.36e6 };
// TS 38.104 Table 6.6.3.2-1: the neighbour's width is the widest of the channel, 9.36 MHz, whatever the spacing.
const nr30: Carrier = { standard: 'nr', subcarrierSpacingHz: 30e3, blocks: 24, bandwidthHz: 9.36e6 };

/** Own over adjacent power of the closed form, [lower, upper] in dB; `edgeS` null is the sampled rectangular symbol. */
function closedForm({ standard, subcarrierSpacingHz, blocks, bandwidthHz }: Carrier, edgeS: number | null): number[] {
  const positions = subcarrierPositions(standard, 12 * blocks);
  const symbolS = (1 + 9 / 128) / subcarrierSpacingHz;
  const length = symbolS * RATE_HZ;
  const shape = (d: number) => {
    if (edgeS === null) return (Math.sin((Math.PI * d * length) / RATE_HZ) / Math.sin((Math.PI * d) / RATE_HZ)) ** 2;
    const x = Math.PI * d * symbolS;
    const edge = Math.cos(Math.PI * d * edgeS) / (1 - (2 * d * edgeS) ** 2);
    return ((Math.sin(x) / x) * edge) ** 2;
  };
  const bandPower = (centreHz: number) => {
    let sum = 0;
    const stepHz = 3e3;
    for (let f = centreHz - bandwidthHz / 2 + stepHz / 2; f < centreHz + bandwidthHz / 2; f += stepHz) {
      // An irrational nudge keeps clear of 0/0 at the subcarriers.
      for (const k of positions) sum += shape(f + Math.SQRT2 - k * subcarrierSpacingHz);
    }
    return sum;
  };
  const own = bandPower(0);
  return [-10e6, 10e6].map((offset) => powerRatioToDb(own / bandPower(offset)));
}

/** The same read from records: mean leakage of several, [lower, upper]. */
function readings(carrier: Carrier, overlapS: number | null, symbolCount: number, seeds: number[]): number[] {
  const { standard, subcarrierSpacingHz, bandwidthHz } = carrier;
  const edge = overlapS === null ? ({ kind: 'none' } as const) : ({ kind: 'symbolOverlap', overlapS } as const);
  const leaks = seeds.map((seed) => {
    const { waveform } = generate(
      {
        carriers: [{ kind: 'ofdm', standard, channelBandwidthHz: 10e6, subcarrierSpacingHz }],
        symbolCount,
        sampleRateHz: RATE_HZ,
        spectralEdge: edge,
      },
      seed,
    );
    return leakage(waveform.signal, { sampleRateHz: RATE_HZ, bandwidthHz, spacingHz: 10e6 });
  });
  return [0, 1].map(
    (side) => -powerRatioToDb(leaks.reduce((sum, db) => sum + 10 ** (-db[side] / 10), 0) / leaks.length),
  );
}

describe('clean CP-OFDM of 10 MHz, worse side', () => {
  // Source: simulated with numpy before the engine existed, at least 500 symbols, worse side: 38.8, 37.9 and 35.3 dB;
  // OF-01 gives 0.35 dB for that. The closed form of the last is 35.56 dB.
  test.each([
    ['LTE 50 blocks', lte, 38.8],
    ['NR 52 blocks', nr, 37.9],
    ['NR 24 blocks of 30 kHz', nr30, 35.3],
  ] as const)('%s', (_, carrier, simulatedDb) => {
    const formula = Math.min(...closedForm(carrier, null));
    expect(Math.abs(formula - simulatedDb)).toBeLessThan(0.35);
    // Four records of 520 symbols scatter by 0.11 dB (standard deviation): three of them.
    const worse = Math.min(...readings(carrier, null, 520, [1, 2, 3, 4]));
    expect(Math.abs(worse - formula)).toBeLessThan(0.35);
  });
});

describe('raised-cosine overlap of w samples at 15.36 Msps, worse side', () => {
  // Source: the closed form. A table simulated with numpy before the engine existed reads 49.9, 70 and 83 dB (LTE) and
  // 45.7, 59 and 75.5 dB (NR); its readings at w = 18 lie 2.0 and 1.1 dB below the closed form, ours do not.
  test.each([
    ['LTE', lte, 6, 49.9],
    ['LTE', lte, 18, 70],
    ['LTE', lte, 36, 83],
    ['NR', nr, 6, 45.7],
    ['NR', nr, 18, 59],
    ['NR', nr, 36, 75.5],
  ] as const)('%s case %#', (_, carrier, overlap, simulatedDb) => {
    const overlapS = overlap / 15.36e6;
    const formula = Math.min(...closedForm(carrier, overlapS));
    expect(Math.abs(formula - simulatedDb)).toBeLessThan(overlap === 18 ? 2.1 : 0.7);
    // One record of 300 symbols scatters by about 0.3 dB a side.
    const worse = Math.min(...readings(carrier, overlapS, 300, [3]));
    expect(Math.abs(worse - formula)).toBeLessThan(0.8);
  });
});

describe('PR-04: peak of a symbol not exceeded with probability 1 − p', () => {
  const { expected, verified } = checks['PR-04'];

  /** Peak of each symbol over the ensemble's mean power, falling; QPSK, no prefix. */
  function symbolPeaks(subcarrierCount: number, fftLength: number, symbolCount: number): number[] {
    const geometry: OfdmGeometry = {
      subcarrierSpacingHz: 15e3,
      fftLength,
      cyclicPrefixSamples: 0,
      symbolSamples: fftLength,
      symbolCount: 1000,
      subcarriers: subcarrierPositions('nr', subcarrierCount),
      modulation: 'QPSK',
      evmWindowSamples: 0,
    };
    const peaks: number[] = [];
    for (let block = 0; block < symbolCount / 1000; block++) {
      const { re, im } = modulate(geometry, drawSymbols(geometry, 'random', createRandom(block, 'PR-04')), 0);
      // QPSK: every symbol has the ensemble's mean power.
      const mean = meanPower({ re, im });
      for (let s = 0; s < 1000; s++) {
        let peak = 0;
        for (let n = s * fftLength; n < (s + 1) * fftLength; n++) peak = Math.max(peak, re[n] * re[n] + im[n] * im[n]);
        peaks.push(peak / mean);
      }
    }
    return peaks.sort((a, b) => b - a);
  }

  const levelDb = (peaks: readonly number[], probability: number) =>
    powerRatioToDb(peaks[Math.round(probability * peaks.length)]);

  // Source: reference check PR-04: Ochiai and Imai 2001 within 0.15 dB, the rule of 2.8·N samples within 0.3 dB; and the
  // check's own numpy simulation, some hundredths of scatter in either. The formulas are for many subcarriers: at 64 and
  // 1e-2 both simulations lie 0.15 dB below the first.
  test.each([
    ['64', 64, 16000],
    ['256', 256, 8000],
    ['600', 600, 4000],
  ] as const)('%s subcarriers, eight samples a Nyquist interval', (name, count, symbolCount) => {
    const peaks = symbolPeaks(count, name === '600' ? 8192 : 8 * count, symbolCount);
    for (const probability of ['0.5', '0.1', '0.01'] as const) {
      const db = levelDb(peaks, Number(probability));
      const { ochiai_imai: ochiaiImai, vanNee_2p8: vanNee } = expected[name][probability];
      expect(Math.abs(db - verified[name][probability].os8), probability).toBeLessThan(0.1);
      if (count > 64) expect(Math.abs(db - ochiaiImai), probability).toBeLessThan(0.15);
      expect(Math.abs(db - vanNee), probability).toBeLessThan(0.3);
    }
  });

  // Source: independent complex normal samples: 1 − (1 − e^−γ)^N, for many subcarriers; and the check's simulation.
  test.each(['64', '256'] as const)('%s subcarriers at the Nyquist rate', (name) => {
    const peaks = symbolPeaks(Number(name), Number(name), 16000);
    for (const probability of ['0.5', '0.1', '0.01'] as const) {
      const db = levelDb(peaks, Number(probability));
      expect(Math.abs(db - verified[name][probability].nyquist), probability).toBeLessThan(0.1);
      if (name === '256') expect(Math.abs(db - expected[name][probability].nyquist), probability).toBeLessThan(0.15);
    }
  });
});
