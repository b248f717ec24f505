// The notch power ratio through the pipeline: reading, its own floor, the warning.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { runBench } from './referenceBench.ts';

const notched = {
  ...quarryLink.waveform,
  crestFactorReduction: null,
  carriers: [{ ...quarryLink.waveform.carriers[0], notch: { bandwidthHz: 0.5e6 } }],
};

describe('pitfall P18 on the reference bench', () => {
  // Source: pitfalls P18 (computed independently with numpy): symbol-synchronous NPR 23.9 dB, that is 6.38 %, where EVM
  // reads 6.17 %: unshaped, 9 dB output back-off. One record of 24 symbols: 0.3 dB of NPR, 0.2 points of EVM.
  test('NPR and EVM of the same output', () => {
    const { uncorrected, warnings } = runBench({ outputBackoffDb: 9, withoutCorrection: true, waveform: notched });
    const { notch, evm } = uncorrected;
    expect(notch?.method).toBe('symbolSynchronous');
    expect(Math.abs((notch?.ratioDb ?? 0) - 23.9)).toBeLessThan(0.3);
    expect(Math.abs((evm?.rmsPercent ?? 0) - 6.17)).toBeLessThan(0.2);
    const asEvmPercent = 100 * 10 ** (-(notch?.ratioDb ?? 0) / 20);
    expect(Math.abs(asEvmPercent - 6.38)).toBeLessThan(0.25);
    // Source at least 15 dB better: no doubt.
    expect(notch?.sourceRatioDb).toBeGreaterThan((notch?.ratioDb ?? 0) + 15);
    expect(warnings.map(({ code }) => code)).not.toContain('notch-source-limited');
  });
});

// A burst's edges spread noise into its own notch, which the whole record's bins show: 40 kHz beside a ramp of 1 µs. The
// reading then tells of the waveform.
test('a notch that the waveform itself fills is called source-limited, with both figures', () => {
  const gated = {
    carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6, notch: { bandwidthHz: 40e3 } }],
    sampleCount: 2 ** 17,
    sampleRateHz: 122.88e6,
    burst: { periodS: 0.1e-3, dutyRatio: 0.5, rampS: 1e-6 },
  };
  const { uncorrected, warnings } = runBench({
    outputBackoffDb: 14,
    withoutCorrection: true,
    waveform: gated,
    limits: [],
  });
  const { ratioDb = 0, sourceRatioDb = 0, method } = uncorrected.notch ?? {};
  expect(method).toBe('wholeRecord');
  expect(sourceRatioDb).toBeGreaterThan(5);
  expect(sourceRatioDb).toBeLessThan(ratioDb + 15);
  const warning = warnings.find(({ code }) => code === 'notch-source-limited');
  expect(warning?.message).toContain(`is ${sourceRatioDb.toFixed(1)} dB`);
  expect(warning?.message).toContain(`reads ${ratioDb.toFixed(1)} dB`);
});
