// Quarry Link against figures computed independently with numpy/scipy on the same amplifier formula and recipe
// (hand-outs, product.md table F1–F16 and scenarios.md S1; tolerances are the ones stated there).
import { describe, expect, test } from 'vitest';
import packageJson from '../../../package.json' with { type: 'json' };
import { presets } from '../../../shared/presets/index.ts';
import { ENGINE_VERSION, runScenario } from '../../../src/engine/index.ts';
import { runBench, worstAdjacentDb } from './referenceBench.ts';

function runPreset(name: string) {
  const outcome = runScenario(presets[name]);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const link = runPreset('quarry-link');

describe('scenario S1', () => {
  test('uncorrected −31.8/−31.6 dBc and 6.8 % EVM at 36.5 dBm (± 0.5 dB, ± 0.5 %)', () => {
    const [lower, upper] = link.uncorrected.aclr;
    expect(lower?.aclrDb).toBeCloseTo(31.8, 0);
    expect(Math.abs((upper?.aclrDb ?? 0) - 31.6)).toBeLessThan(0.5);
    expect(Math.abs((link.uncorrected.evm?.rmsPercent ?? 0) - 6.8)).toBeLessThan(0.5);
  });

  test('7th × 3 taps: at least 50 dB on both sides, 18 dB better, EVM at most 2.2 % (F8)', () => {
    expect(worstAdjacentDb(link.corrected)).toBeGreaterThan(50);
    expect(worstAdjacentDb(link.corrected) - worstAdjacentDb(link.uncorrected)).toBeGreaterThan(18);
    const evm = link.corrected?.evm?.rmsPercent ?? Infinity;
    const spent = link.waveform.crestReductionEvmPercent ?? 0;
    expect(evm).toBeLessThan(2.2);
    expect(Math.sqrt(evm * evm - spent * spent)).toBeLessThan(1.0);
  });

  test('both outputs at 36.50 ± 0.02 dBm, 4.467 W (F9, F41: 36.5 dBm is 10^0.65 W)', () => {
    for (const output of [link.uncorrected, link.corrected]) {
      expect(Math.abs((output?.meanPowerDbm ?? 0) - 36.5)).toBeLessThan(0.02);
      expect(Math.abs((output?.meanPowerW ?? 0) - 10 ** 0.65)).toBeLessThan(0.02);
    }
    expect(link.equalPower).toBe(true);
  });

  test('limits: the amplifier alone misses both, the corrected output is within both', () => {
    const states = link.verdicts.map((verdict) => `${verdict.of} ${verdict.limit} ${verdict.state}`);
    expect(states.sort()).toEqual([
      'corrected aclr pass',
      'corrected evm pass',
      'uncorrected aclr fail',
      'uncorrected evm fail',
    ]);
    expect(link.answer).toMatch(
      /^At 36\.5 dBm \(4\.47 W, 9\.0 dB output back-off\) correction takes ACLR from 31\.\d to 5\d\.\d dB/,
    );
  });

  test('at 8 dB output back-off the order decides: 9th × 3 passes 45 dB by little, 7th × 3 fails (± 1.5 dB)', () => {
    const ninth = worstAdjacentDb(runBench({ outputBackoffDb: 8 }).corrected);
    const seventh = worstAdjacentDb(runBench({ outputBackoffDb: 8, nonlinearOrders: [1, 3, 5, 7] }).corrected);
    expect(Math.abs(ninth - 45.5)).toBeLessThan(1.5);
    expect(Math.abs(seventh - 43.9)).toBeLessThan(1.5);
    expect(ninth).toBeGreaterThan(45);
    expect(seventh).toBeLessThan(45);
  });

  test('at 7 dB it fails near 37 dB, and the ideal limiter’s 44.4 ± 0.7 dB says why (F15)', () => {
    const report = runBench({ outputBackoffDb: 7 });
    expect(Math.abs(worstAdjacentDb(report.corrected) - 37)).toBeLessThan(1.5);
    expect(Math.abs(worstAdjacentDb(report.ideal) - 44.4)).toBeLessThan(0.7);
  });
});

describe('the amplifier as a ladder', () => {
  test.each([
    [8, 29.9],
    [9, 31.6],
    [10, 33.2],
    [13, 38.0],
    [17, 44.7],
  ])('uncorrected worst side at %d dB output back-off is %d ± 0.5 dB (F7)', (outputBackoffDb, expectedDb) => {
    const report = runBench({ outputBackoffDb, withoutCorrection: true });
    expect(Math.abs(worstAdjacentDb(report.uncorrected) - expectedDb)).toBeLessThan(0.5);
    expect(Math.abs(report.uncorrected.outputBackoffDb - outputBackoffDb)).toBeLessThan(0.01);
  });

  test('compression 16.7 dB at |y| = 1, CW asymptote +0.18 dB, P1dB 6.65 dB below (product.md, reference bench)', () => {
    expect(link.amplifier.compressionAtSaturationDb).toBeCloseTo(16.7, 1);
    expect(link.amplifier.cwSaturationDb).toBeCloseTo(0.18, 2);
    expect(link.amplifier.outputAtOneDbCompressionDb).toBeCloseTo(-6.65, 2);
  });

  test('unshaped, 60 symbols, 10 dB: EVM 5.65/5.58/5.39 % for none/one gain/per subcarrier ± 0.15 (F12)', () => {
    const read = (equalizer: string) =>
      runBench({
        outputBackoffDb: 10,
        withoutCorrection: true,
        waveform: { crestFactorReduction: null, symbolCount: 60 },
        measurement: { evm: { equalizer } },
      }).uncorrected.evm;
    expect(Math.abs((read('none')?.rmsPercent ?? 0) - 5.65)).toBeLessThan(0.15);
    expect(Math.abs((read('oneGain')?.rmsPercent ?? 0) - 5.58)).toBeLessThan(0.15);
    const perSubcarrier = read('perSubcarrier');
    expect(Math.abs((perSubcarrier?.rmsPercent ?? 0) - 5.39)).toBeLessThan(0.15);
    expect(perSubcarrier?.symbolCount).toBe(60);
  });
});

describe('waveform', () => {
  test('occupied bandwidth 8.9–9.1 MHz (F1) and an own ACLR of 80 dB or more (F2)', () => {
    expect(link.waveform.occupiedBandwidthHz).toBeGreaterThan(8.9e6);
    expect(link.waveform.occupiedBandwidthHz).toBeLessThan(9.1e6);
    for (const reading of link.waveform.aclr) expect(reading.aclrDb).toBeGreaterThan(80);
  });

  test('8.0 dB target: PAPR at 1e-4 8.0 ± 0.1 dB, peak at most 0.3 dB above, EVM 1.64 ± 0.4 % on 24 symbols (F3: sd 0.20)', () => {
    const at = link.waveform.papr.find((point) => point.probability === 1e-4);
    expect(Math.abs((at?.db ?? 0) - 8)).toBeLessThan(0.1);
    expect(link.waveform.peakToAverageDb).toBeLessThan(8.3);
    expect(Math.abs((link.waveform.crestReductionEvmPercent ?? 0) - 1.64)).toBeLessThan(0.4);
  });

  test('unfiltered OFDM reads 38.8 ± 1 dB and is called source-limited (F2, P11)', () => {
    const report = runBench({
      withoutCorrection: true,
      waveform: { spectralEdge: { kind: 'none' }, crestFactorReduction: null },
    });
    const source = Math.min(...report.waveform.aclr.slice(0, 2).map((reading) => reading.aclrDb));
    expect(Math.abs(source - 38.8)).toBeLessThan(1);
    expect(report.warnings.map((warning) => warning.code)).toContain('source-limited');
    expect(report.uncorrected.aclr[0]?.limitedBy).toBe('source');
  });
});

describe('peak ledger', () => {
  test('8 dB: drive peak grows 5.9 ± 0.4 dB, 2500–5000 ppm held at the ceiling (F16)', () => {
    const { peaks, warnings } = runBench({ outputBackoffDb: 8 });
    expect(Math.abs((peaks.drivePeakGrowthDb ?? 0) - 5.9)).toBeLessThan(0.4);
    expect((peaks.driveHeld ?? 0) * 1e6).toBeGreaterThan(2500);
    expect((peaks.driveHeld ?? 0) * 1e6).toBeLessThan(5000);
    expect(warnings.map((warning) => warning.code)).toContain('drive-held');
  });

  test('10 dB: drive peak grows 3.25 ± 0.3 dB, nothing held (F16)', () => {
    const { peaks } = runBench({ outputBackoffDb: 10 });
    expect(Math.abs((peaks.drivePeakGrowthDb ?? 0) - 3.25)).toBeLessThan(0.3);
    expect(peaks.driveHeld).toBe(0);
  });
});

describe('what the report shows', () => {
  test('the spectrum’s mean levels agree with the ACLR table within 0.2 dB, over at least 5 channels (F10)', () => {
    const { frequencyHz, level } = link.traces.spectra.uncorrected;
    const powerIn = (centreHz: number) => {
      let sum = 0;
      for (let i = 0; i < level.length; i++)
        if (Math.abs(frequencyHz[i] - centreHz) <= 4.5e6) sum += 10 ** (level[i] / 10);
      return 10 * Math.log10(sum);
    };
    for (const reading of link.uncorrected.aclr) {
      const sign = reading.side === 'lower' ? -1 : 1;
      expect(Math.abs(powerIn(0) - powerIn(sign * reading.offsetHz) - reading.aclrDb)).toBeLessThan(0.2);
    }
    expect(frequencyHz[frequencyHz.length - 1] - frequencyHz[0]).toBeGreaterThan(5 * 10e6);
    expect(link.traces.conditions.resolutionBandwidthHz).toBeGreaterThan(link.traces.conditions.binWidthHz);
  });

  test('density beside the carrier: the drawn spectrum, summed over the worse channel, per MHz (F41)', () => {
    // Levels are powers in the resolution bandwidth, each bin standing for its own width.
    const { conditions, spectra } = link.traces;
    const { frequencyHz, level } = spectra.uncorrected;
    const binOverBandwidthDb = 10 * Math.log10(conditions.binWidthHz / conditions.resolutionBandwidthHz);
    const densityDb = [-10e6, 10e6].map((centreHz) => {
      let sum = 0;
      for (let i = 0; i < level.length; i++)
        if (Math.abs(frequencyHz[i] - centreHz) <= 4.5e6) sum += 10 ** ((level[i] + binOverBandwidthDb) / 10);
      return 10 * Math.log10(sum / 9);
    });
    expect(link.uncorrected.worstAdjacentDensityDbmPerMHz).toBeCloseTo(Math.max(...densityDb), 1);
  });

  test('every crest factor names its probability, and one the record is too short for is null (P27)', () => {
    expect(link.waveform.papr.map((point) => point.probability)).toEqual([1e-1, 1e-2, 1e-3, 1e-4, 1e-5]);
    expect(link.waveform.papr.at(-1)?.db).toBeNull();
    expect(link.waveform.sampleCount).toBe(24 * 8768);
  });

  test('both sides of every channel are read (P28)', () => {
    const sides = link.uncorrected.aclr.map((reading) => `${reading.channel} ${reading.side}`);
    expect(sides).toEqual(['adjacent lower', 'adjacent upper', 'alternate lower', 'alternate upper']);
  });

  test('four floors, each with its meaning', () => {
    expect(link.floors.map((floor) => floor.name)).toEqual(['source', 'estimator', 'numbers', 'idealLimiter']);
    expect(new Set(link.floors.map((floor) => floor.meaning)).size).toBe(4);
  });

  test('the engine’s version is the package’s', () => {
    expect(ENGINE_VERSION).toBe(packageJson.version);
    expect(link.kneepoint.version).toBe(packageJson.version);
  });
});
