// Exceedance before and after crest-factor reduction, at the amplifier's input and output, by both methods (F3, P27, P35).
import { describe, expect, test } from 'vitest';
import type { CcdfTrace, Report } from '../../../shared/schema/report.ts';
import { makeWaveform } from '../../../src/engine/simulation/makeWaveform.ts';
import { benchScenario, runBench } from './referenceBench.ts';

const reduction = (method: string) => ({ method, targetPaprDb: 8, probability: 1e-4, roundCount: 12 });

const at = ({ levelDb, probability }: CcdfTrace, db: number) =>
  probability[levelDb.findIndex((level) => Math.abs(level - db) < 1e-6)];

/** Share of samples above a level over their mean, counted one by one. */
function counted({ re, im }: { re: Float64Array; im: Float64Array }, db: number): number {
  const powers = Array.from(re, (value, n) => value * value + im[n] * im[n]);
  const limit = (10 ** (db / 10) * powers.reduce((sum, power) => sum + power, 0)) / powers.length;
  return powers.filter((power) => power > limit).length / powers.length;
}

describe.each(['clipAndFilter', 'peakCancellation'])('%s', (method) => {
  const change = { waveform: { crestFactorReduction: reduction(method) } };
  const report: Report = runBench(change);
  const { ccdf } = report.traces;

  test('one chart: data, shaped, drive and outputs beside the Gaussian curve', () => {
    const made = makeWaveform(benchScenario(change));
    if (made.kind === 'invalid') throw new Error(JSON.stringify(made.issues));
    for (const db of [0, 3, 6, 7.5, 8.5]) {
      expect(at(ccdf.data, db)).toBeCloseTo(counted(made.waveform.beforeReduction, db), 12);
      expect(at(ccdf.shaped, db)).toBeCloseTo(counted(made.waveform.signal, db), 12);
      expect(at(ccdf.gaussian, db)).toBeCloseTo(Math.exp(-(10 ** (db / 10))), 12);
    }
    // OFDM is Gaussian to 24 symbols' scatter: exp(−10^0.6) of 600 · 24 values is 270 ± 16.
    expect(at(ccdf.data, 6) / at(ccdf.gaussian, 6)).toBeGreaterThan(0.7);
    expect(at(ccdf.data, 6) / at(ccdf.gaussian, 6)).toBeLessThan(1.3);
  });

  test('shaped to the target; the amplifier’s output is compressed, the corrected drive expanded', () => {
    expect(at(ccdf.data, 8.5)).toBeGreaterThan(3e-4);
    expect(at(ccdf.shaped, 8.3)).toBe(0);
    expect(at(ccdf.output, 7)).toBeLessThan(at(ccdf.shaped, 7));
    expect(at(ccdf.drive ?? ccdf.output, 8.5)).toBeGreaterThan(1e-5);
    expect(report.peaks.correctedOutput).toBeGreaterThan(report.peaks.output);
  });

  test('crest factor and the EVM it cost stand beside each other, per carrier too', () => {
    const spent = report.waveform.crestReductionEvmPercent ?? 0;
    expect(spent).toBeGreaterThan(1.3);
    expect(spent).toBeLessThan(2.2); // 24 symbols scatter; 1.3 to 1.9 holds over 100
    expect(report.waveform.crestReductionEvmPerCarrier).toEqual([spent]);
    expect(report.waveform.papr.find(({ probability }) => probability === 1e-4)?.db).toBeCloseTo(8, 0);
  });
});

test('per carrier: single carriers and OFDM against their data, noise against the record before', () => {
  const carriers = [
    { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 5e6, modulation: '64QAM', offsetHz: -10e6 },
    { kind: 'singleCarrier', symbolRateHz: 3.84e6, rollOffRatio: 0.22 },
    { kind: 'noise', occupiedBandwidthHz: 4.5e6, offsetHz: 10e6 },
    { kind: 'twoTone', toneSpacingHz: 0.5e6, offsetHz: 18e6, relativePowerDb: -20 },
  ];
  const crestFactorReduction = { targetPaprDb: 8, probability: 1e-4 };
  const waveform = { carriers, spectralEdge: { kind: 'channelFilter' }, crestFactorReduction };
  const report = runBench({ withoutCorrection: true, waveform, limits: [] });
  const spent = report.waveform.crestReductionEvmPerCarrier;
  expect(spent).toHaveLength(4);
  for (const percent of spent.slice(0, 3)) {
    expect(percent).toBeGreaterThan(0.5);
    expect(percent).toBeLessThan(6);
  }
  expect(spent[3]).toBeLessThan(0.2);
  expect(report.waveform.crestReductionEvmPercent).toBe(Math.max(...spent.map((percent) => percent ?? 0)));
});
