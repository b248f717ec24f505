// Stated powers of a burst waveform are those while on: a gated run reads as the continuous one does.
import { describe, expect, test } from 'vitest';
import type { Report } from '../../../shared/schema/report.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { plainKnee } from '../amplifier/settings.ts';
import { runBench, worstAdjacentDb } from './referenceBench.ts';

function run(scenario: unknown): Report {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

// 4 ms: 240000 independent envelope values, half of them while on. A level at probability p then scatters by
// 10/ln 10·√((1/p)/120000)/ln(1/p) dB: 0.017 dB at 10⁻¹, 0.027 dB at 10⁻².
const noise = {
  carriers: [{ kind: 'noise', occupiedBandwidthHz: 60e6, channelBandwidthHz: 80e6 }],
  sampleCount: 2 ** 20,
  sampleRateHz: 262.144e6,
};
const burst = { periodS: 1e-3, dutyRatio: 0.5, rampS: 5e-6 };
const scenario = (pattern: unknown) => ({
  waveform: { ...noise, burst: pattern },
  amplifier: { model: plainKnee, saturatedPowerDbm: 40, gainDb: 20, power: { class: 'B' } },
  operatingPoint: { meanPowerDbm: 32 },
  predistorter: null,
});

describe('noise with duty ½ against the same noise without a pattern', () => {
  const continuous = run(scenario(null));
  const gated = run(scenario(burst));

  test('mean power, drive, back-off and efficiency agree within 0.05 dB', () => {
    const [a, b] = [gated.uncorrected, continuous.uncorrected];
    for (const key of ['meanPowerDbm', 'antennaMeanDbm', 'outputBackoffDb', 'driveMeanDbm'] as const) {
      expect(Math.abs((a[key] as number) - (b[key] as number)), key).toBeLessThan(0.05);
    }
    expect(Math.abs(10 * Math.log10((a.dcPowerW ?? 0) / (b.dcPowerW ?? 0)))).toBeLessThan(0.05);
    expect(Math.abs(10 * Math.log10((a.efficiencyPercent ?? 0) / (b.efficiencyPercent ?? 0)))).toBeLessThan(0.05);
    expect(a.meanPowerDbm).toBeCloseTo(32, 2);
    expect(gated.ideal.meanPowerDbm).toBeCloseTo(32, 2);
  });

  test('exceedance levels agree', () => {
    for (const [i, tolerance] of [
      [0, 0.05],
      [1, 0.1],
    ] as const) {
      for (const of of ['uncorrected', 'waveform'] as const) {
        expect(Math.abs((gated[of].papr[i].db ?? 0) - (continuous[of].papr[i].db ?? 9))).toBeLessThan(tolerance);
      }
    }
    const at = gated.traces.ccdf.output.levelDb.findIndex((db) => Math.abs(db - 5) < 1e-9);
    const ratio = gated.traces.ccdf.output.probability[at] / continuous.traces.ccdf.output.probability[at];
    expect(Math.abs(ratio - 1)).toBeLessThan(0.05);
  });

  test('the neighbouring channel is as far down, its density as high: powers while on', () => {
    const [a, b] = [gated.uncorrected, continuous.uncorrected];
    expect(Math.abs(worstAdjacentDb(a) - worstAdjacentDb(b))).toBeLessThan(0.1);
    const [densityA, densityB] = [a.worstAdjacentDensityDbmPerMHz, b.worstAdjacentDensityDbmPerMHz];
    expect(Math.abs((densityA as number) - (densityB as number))).toBeLessThan(0.1);
    // Averages over the first burst alone say the same to their own scatter: 20 segments of 20 channels' bins.
    const few = run({ ...scenario(burst), measurement: { spectrum: { averageCount: 20 } } }).uncorrected;
    expect(Math.abs((few.worstAdjacentDensityDbmPerMHz as number) - (densityB as number))).toBeLessThan(0.3);
    expect(gated.waveform.activeRatio).toBeCloseTo(0.5 - 5 / 4000, 4);
  });
});

describe('Quarry Link in bursts of six symbols out of twelve', () => {
  // One symbol lasts 8768 samples at 122.88 Msps; the ramp, 2 µs, lies outside the six.
  const symbolS = 8768 / 122.88e6;
  const gate = { periodS: 12 * symbolS, dutyRatio: 0.5 + 2e-6 / (12 * symbolS), rampS: 2e-6 };
  const gated = runBench({ waveform: { burst: gate } });
  const continuous = runBench({});

  test('EVM counts the six symbols of each burst', () => {
    expect(gated.uncorrected.evm?.symbolCount).toBe(12);
    expect(continuous.uncorrected.evm?.symbolCount).toBe(24);
    // Twelve symbols of one record scatter by some 5 %; the equalizer of 12 symbols reads 2 % lower.
    const ratio = (gated.uncorrected.evm?.rmsPercent ?? 0) / (continuous.uncorrected.evm?.rmsPercent ?? 1);
    expect(Math.abs(ratio - 1)).toBeLessThan(0.12);
    expect(gated.warnings.map(({ code }) => code)).not.toContain('evm-source-limited');
  });

  test('the predistorter learns on the gated record as well as on the continuous one', () => {
    const better = worstAdjacentDb(gated.corrected) - worstAdjacentDb(gated.uncorrected);
    expect(gated.correctionUsed).toBe(true);
    expect(better).toBeGreaterThan(15);
    expect(Math.abs(worstAdjacentDb(gated.uncorrected) - worstAdjacentDb(continuous.uncorrected))).toBeLessThan(0.5);
    expect(Math.abs((gated.corrected?.outputBackoffDb ?? 0) - 9)).toBeLessThan(0.01);
    expect(gated.equalPower).toBe(true);
    expect(gated.learning?.passes[0]?.outputBackoffDb).toBeCloseTo(9, 1);
  });

  test('the crest factor met at the target is that while on', () => {
    expect(gated.peaks.shaped).toBeLessThan(8.4);
    expect(gated.peaks.shaped).toBeGreaterThan(7.6);
  });
});

// A model with a drive range takes whole records only; silence is never held.
test.each([1, 0.75])('the share of held samples is that while on, model at %d of the rate', (ratio) => {
  const model = {
    kind: 'memoryPolynomial',
    nonlinearOrders: [1, 3],
    memoryDepth: 1,
    coefficients: [{ re: 1 }, { re: -0.05 }],
    driveRange: 1,
    modelRateHz: noise.sampleRateHz * ratio,
  };
  const held = (pattern: unknown) => {
    const waveform = { ...noise, sampleCount: 2 ** 19, burst: pattern };
    return run({ ...scenario(null), amplifier: { model, saturatedPowerDbm: 40 }, waveform }).uncorrected
      .heldSampleRatio;
  };
  const continuous = held(null);
  // At 8 dB back-off the rms is 0.4 of the range: e^(−1/0.16) = 0.2 % of a Gaussian envelope lie beyond it.
  expect(continuous).toBeGreaterThan(5e-4);
  // 60000 independent values, 120 and more beyond: known to 9 % each.
  expect(Math.abs(held(burst) / continuous - 1)).toBeLessThan(0.3);
});
