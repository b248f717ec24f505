// EVM through the pipeline: several carriers of several kinds, both window positions, curves and constellations, bursts.
import { describe, expect, test } from 'vitest';
import type { Report } from '../../../shared/schema/report.ts';
import { viewErrors } from '../../../src/engine/measurement/errorVector.ts';
import { runBench } from './referenceBench.ts';

const mixture = {
  carriers: [
    { kind: 'ofdm', standard: 'nr', channelBandwidthHz: 5e6, offsetHz: -6e6, modulation: '64QAM' },
    { kind: 'singleCarrier', symbolRateHz: 3.84e6, rollOffRatio: 0.22, offsetHz: 0, modulation: '16QAM' },
    { kind: 'noise', occupiedBandwidthHz: 2e6, offsetHz: 6e6 },
    { kind: 'singleCarrier', symbolRateHz: 1.92e6, rollOffRatio: 0.25, offsetHz: 10e6, relativePowerDb: -10 },
  ],
  symbolCount: 24,
  sampleRateHz: 122.88e6,
};
const rms = (values: Float64Array) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

describe('a mixture of carriers', () => {
  const evm = { equalizer: 'smoothed', windowPosition: 'standard' };
  const report = runBench({ outputBackoffDb: 12, withoutCorrection: true, waveform: mixture, measurement: { evm } });
  const { uncorrected, traces } = report;

  test('each carrier with symbols is read by its own method; the worst stands for all', () => {
    expect(uncorrected.evmPerCarrier.map(({ carrierIndex }) => carrierIndex)).toEqual([0, 1, 3]);
    const [ofdm, single] = uncorrected.evmPerCarrier;
    expect(ofdm).toMatchObject({ equalizer: 'smoothed', symbolCount: 24 });
    expect(['early', 'late']).toContain(ofdm.windowPosition);
    expect(single).toMatchObject({ equalizer: 'oneGain', windowPosition: 'matchedFilter' });
    const worst = Math.max(...uncorrected.evmPerCarrier.map(({ rmsPercent }) => rmsPercent));
    expect(uncorrected.evm?.rmsPercent).toBe(worst);
    // The weak carrier takes the others' third-order products.
    expect(uncorrected.evm?.carrierIndex).toBe(3);
    // The waveform's own: what the filters and neighbours leave.
    expect(report.waveform.sourceEvmPercent).toBeLessThan(1);
  });

  test('curves over subcarriers and symbols are the same error, split', () => {
    expect(traces.evm.uncorrected.map(({ carrierIndex }) => carrierIndex)).toEqual([0, 1, 3]);
    expect(traces.evm.corrected).toBeNull();
    traces.evm.uncorrected.forEach((curve, i) => {
      const { rmsPercent } = uncorrected.evmPerCarrier[i];
      expect(curve.label).toBe(report.waveform.carriers[curve.carrierIndex].label);
      if (curve.symbolsPerPoint === 1) expect(rms(curve.symbolPercent)).toBeCloseTo(rmsPercent, 9);
      if (i === 0) expect(rms(curve.subcarrierPercent)).toBeCloseTo(rmsPercent, 9);
    });
    const [ofdm, single] = traces.evm.uncorrected;
    expect(ofdm.subcarrierHz.length).toBe(300);
    expect(ofdm.subcarrierHz[0]).toBe(-150 * 15e3);
    expect(ofdm.symbolPercent.length).toBe(24);
    expect(single.subcarrierHz.length).toBe(0);
    expect(single.symbolPercent.length).toBeGreaterThan(3000);
  });

  test('a constellation for each, thinned; the first stands by itself as well', () => {
    expect(traces.constellations.uncorrected.map(({ carrierIndex }) => carrierIndex)).toEqual([0, 1, 3]);
    for (const { re, idealIm } of traces.constellations.uncorrected) {
      expect(re.length).toBe(idealIm.length);
      expect(re.length).toBeLessThanOrEqual(4000);
      expect(re.length).toBeGreaterThan(3000);
    }
    expect(traces.constellation.uncorrected).toEqual(traces.constellations.uncorrected[0]);
    expect(traces.constellations.corrected).toBeNull();
  });

  test('peak power at each probability is the mean plus its level', () => {
    for (const { db, powerDbm } of uncorrected.papr) {
      if (db === null) expect(powerDbm).toBeNull();
      else expect(powerDbm).toBeCloseTo((uncorrected.meanPowerDbm ?? 0) + db, 9);
    }
    expect(uncorrected.papr.some(({ powerDbm }) => typeof powerDbm === 'number')).toBe(true);
  });
});

test('many symbols share a point: the curve stays short, its mean square the same', () => {
  const count = 10_001;
  const ideal = { re: new Float64Array(count).fill(1), im: new Float64Array(count) };
  const equalized = { re: ideal.re.map((re, s) => re + 0.1 * Math.sin(s)), im: new Float64Array(count) };
  const place = { carrierIndex: 2, label: 'x', subcarrierHz: new Float64Array(0) };
  const curve = viewErrors({ equalized, ideal, columnCount: 1 }, place);
  expect(curve).toMatchObject({ carrierIndex: 2, label: 'x', symbolsPerPoint: 3 });
  expect(curve.symbolPercent.length).toBe(3334);
  expect(rms(curve.symbolPercent)).toBeCloseTo(10 / Math.SQRT2, 2);
});

describe('with correction', () => {
  const run = (evm: Record<string, unknown>, withoutCorrection: boolean): Report =>
    runBench({
      outputBackoffDb: 9,
      nonlinearOrders: [1, 3, 5, 7],
      learning: { passCount: 1 },
      waveform: { symbolCount: 12, crestFactorReduction: null },
      measurement: { evm },
      withoutCorrection,
    });

  // F12: the equalizer is stated; the standard's procedure costs nothing on a waveform whose edges leave its window
  // alone, and takes out of the amplifier's linear memory almost what one tap per subcarrier does.
  test('smoothed at both window ends, against one tap per subcarrier in the middle', () => {
    const standard = run({ equalizer: 'smoothed', windowPosition: 'standard' }, false);
    const each = run({ equalizer: 'perSubcarrier' }, true);
    const oneGain = run({ equalizer: 'oneGain' }, true);
    const read = (report: Report) => report.uncorrected.evm?.rmsPercent ?? Number.NaN;
    // One tap per subcarrier hides 1 − √(1 − 1/12) = 4 % of the value.
    expect(read(each)).toBeLessThan(read(standard));
    expect(Math.abs(read(standard) / (read(each) / (each.uncorrected.evm?.biasRatio ?? 1)) - 1)).toBeLessThan(0.02);
    expect(read(oneGain)).toBeGreaterThan(read(standard));
    expect(standard.traces.evm.corrected?.[0].symbolPercent.length).toBe(12);
    expect(standard.corrected?.evm?.rmsPercent).toBeLessThan(0.5 * read(standard));
  });
});

describe('bursts', () => {
  const burst = { periodS: 0.5e-3, dutyRatio: 0.6, rampS: 5e-6 };
  const read = (change: Record<string, unknown>) =>
    runBench({ outputBackoffDb: 9, withoutCorrection: true, waveform: { symbolCount: 28, ...change } });

  test('whole symbols only, and the warning where there are none', () => {
    const some = read({ burst });
    expect(some.uncorrected.evm?.symbolCount).toBeGreaterThan(4);
    expect(some.uncorrected.evm?.symbolCount).toBeLessThan(0.6 * 28);
    expect(some.traces.evm.uncorrected[0].symbolPercent.length).toBe(some.uncorrected.evm?.symbolCount);
    const none = read({ burst: { ...burst, dutyRatio: 0.1 } });
    expect(none.uncorrected.evm).toBeNull();
    expect(none.traces.evm.uncorrected).toEqual([]);
    expect(none.traces.constellation.uncorrected).toBeNull();
    const warning = none.warnings.find(({ code }) => code === 'no-whole-symbol');
    expect(warning?.message).toMatch(/carrier 1 lies wholly inside a burst of 0\.0499 ms/);
    expect(some.warnings.map(({ code }) => code)).not.toContain('no-whole-symbol');
  });
});
