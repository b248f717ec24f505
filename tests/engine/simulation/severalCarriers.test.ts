// Several carriers of unequal width and power: channels, floors, density and EVM, each against the spectrum that is drawn
// or a count of its own.
import { describe, expect, test } from 'vitest';
import type { Report, Side } from '../../../shared/schema/report.ts';
import { runScenario } from '../../../src/engine/index.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { runBench } from './referenceBench.ts';

const MHZ = 1e6;
const lte = (offsetMHz: number, channelMHz: number, relativePowerDb = 0) => ({
  kind: 'ofdm',
  standard: 'lte',
  offsetHz: offsetMHz * MHZ,
  channelBandwidthHz: channelMHz * MHZ,
  modulation: '16QAM',
  relativePowerDb,
});

function run(carriers: readonly unknown[], change: Record<string, unknown> = {}, symbolCount = 4): Report {
  return runBench({
    withoutCorrection: true,
    outputBackoffDb: 10,
    waveform: { carriers, symbolCount, crestFactorReduction: null, spectralEdge: { kind: 'channelFilter' } },
    amplifier: { model: { ...linearModel, modelRateHz: 'any' } },
    ...change,
  });
}

/** A mild knee without memory: products beside every carrier, symmetric ones. */
const linearModel = {
  kind: 'filterNonlinearityFilter',
  inputTaps: [{ re: 1 }],
  biasDepthRatio: 0,
  kneeSharpness: 1.1,
  amPmDeg: 0,
  outputTaps: [{ re: 1 }],
};

/** Power in a band of the drawn spectrum, in dBm: every bin stands for its width. */
function bandDbm({ traces: { spectra, conditions } }: Report, centreHz: number, bandwidthHz: number): number {
  const { frequencyHz, level } = spectra.uncorrected;
  let sum = 0;
  for (let i = 0; i < level.length; i++)
    if (Math.abs(frequencyHz[i] - centreHz) <= bandwidthHz / 2) sum += 10 ** (level[i] / 10);
  return 10 * Math.log10((sum * conditions.binWidthHz) / conditions.resolutionBandwidthHz);
}

const readingOf = (report: Report, channel: string, side: Side) =>
  report.uncorrected.aclr.find((reading) => reading.channel === channel && reading.side === side);

const floorOf = (report: Report, name: string, side: Side) =>
  report.floors
    .find((floor) => floor.name === name)
    ?.readings.find((reading) => reading.channel === 'adjacent' && reading.side === side)?.aclrDb ?? Number.NaN;

describe('two carriers, the upper one 10 dB weaker', () => {
  const report = run([lte(-10, 10), lte(10, 10, -10)]);

  // Source: the drawn spectrum. 0.1 dB: a bin at the channel's edge is counted whole or not at all.
  test('the density is the channel’s own power per MHz, on the side where it is higher', () => {
    const densities = [-20 * MHZ, 20 * MHZ].map((centre) => bandDbm(report, centre, 9 * MHZ) - 10 * Math.log10(9));
    expect(Math.abs((report.uncorrected.worstAdjacentDensityDbmPerMHz ?? 0) - Math.max(...densities))).toBeLessThan(
      0.1,
    );
  });

  test('each side’s ACLR refers to its own outer carrier', () => {
    for (const [side, sign] of [
      ['lower', -1],
      ['upper', 1],
    ] as const) {
      const expected = bandDbm(report, sign * 10 * MHZ, 9 * MHZ) - bandDbm(report, sign * 20 * MHZ, 9 * MHZ);
      expect(Math.abs((readingOf(report, 'adjacent', side)?.aclrDb ?? 0) - expected)).toBeLessThan(0.1);
    }
  });
});

// Source: as the mistake was found: equal carriers, ACLR taken from the total power, reads 3 dB high.
test('two equal carriers: the density is not 3 dB high', () => {
  const report = run([lte(-10, 10), lte(10, 10)]);
  const densities = [-20 * MHZ, 20 * MHZ].map((centre) => bandDbm(report, centre, 9 * MHZ) - 10 * Math.log10(9));
  expect(Math.abs((report.uncorrected.worstAdjacentDensityDbmPerMHz ?? 0) - Math.max(...densities))).toBeLessThan(0.1);
});

describe('carriers of 5, 20 and 5 MHz', () => {
  const carriers = [lte(-12.5, 5), lte(0, 20), lte(12.5, 5)];

  test('the estimator’s floor is that of the outer carriers: far above what the widest would give, near no reading', () => {
    const report = run(carriers);
    for (const side of ['lower', 'upper'] as const) {
      expect(floorOf(report, 'estimator', side)).toBeGreaterThan(100);
      // What the source reads cannot be better than the estimator shows; 3 dB: a flat band stands for a shaped one.
      expect(floorOf(report, 'source', side)).toBeLessThan(floorOf(report, 'estimator', side) + 3);
    }
    expect(report.warnings.map(({ code }) => code)).not.toContain('estimator-limited');
  });

  // Rectangular segments leak far more than the source holds: what the source reads is the estimator. The formula sums
  // the leakage of all three carriers, of which the middle one is four times the bandwidth.
  test('through rectangular segments the floor of all carriers is what the source reads, and the source is not blamed', () => {
    const strong = [lte(-12.5, 5, -10), lte(0, 20), lte(12.5, 5)];
    const report = run(strong, { measurement: { spectrum: { window: 'rectangular' } } });
    for (const side of ['lower', 'upper'] as const) {
      expect(Math.abs(floorOf(report, 'estimator', side) - floorOf(report, 'source', side))).toBeLessThan(2);
    }
    // The weak lower carrier stands over the same leakage of the middle one.
    expect(floorOf(report, 'estimator', 'lower')).toBeLessThan(floorOf(report, 'estimator', 'upper') - 1);
    const codes = report.warnings.map(({ code }) => code);
    expect(codes).toContain('estimator-limited');
    expect(codes).not.toContain('source-limited');
  });
});

describe('outer carriers of different width', () => {
  const carriers = [lte(-10, 5), lte(5, 20)];

  // Source: TS 38.104 Table 6.6.3.2-1.
  test('each side has the channel plan of its outer carrier, and the resolved scenario gives it again', () => {
    const report = run(carriers);
    const plan = report.uncorrected.aclr.map(({ channel, side, offsetHz, bandwidthHz }) => [
      channel,
      side,
      offsetHz / MHZ,
      bandwidthHz / MHZ,
    ]);
    expect(plan).toEqual([
      ['adjacent', 'lower', 5, 4.5],
      ['adjacent', 'upper', 20, 18],
      ['alternate', 'lower', 10, 4.5],
      ['alternate', 'upper', 40, 18],
    ]);
    expect(report.scenario.measurement.channels).toBe('auto');
    const again = runScenario(report.scenario);
    if (again.kind === 'invalid') throw new Error(JSON.stringify(again.issues));
    expect(again.report.uncorrected.aclr).toEqual(report.uncorrected.aclr);
  });
});

describe('EVM', () => {
  // Source: an ideal amplifier: what is left is the waveform. 4 symbols.
  test('each carrier’s EVM at a deep output back-off is the waveform’s own, and the run says so', () => {
    const report = run([lte(-12.5, 5), lte(0, 20), lte(12.5, 5)], { outputBackoffDb: 60 });
    expect(report.uncorrected.evmPerCarrier.map(({ carrierIndex }) => carrierIndex)).toEqual([0, 1, 2]);
    const source = report.waveform.sourceEvmPercent ?? 0;
    expect(source).toBeGreaterThan(0);
    expect((report.uncorrected.evm?.rmsPercent ?? 0) / source).toBeCloseTo(1, 1);
    expect(report.warnings.map(({ code }) => code)).toContain('evm-source-limited');
  });

  test('an amplifier’s EVM well above the waveform’s own is not doubted', () => {
    const report = run([lte(-12.5, 5), lte(0, 20), lte(12.5, 5)], { outputBackoffDb: 6 });
    expect(report.uncorrected.evm?.rmsPercent ?? 0).toBeGreaterThan(2 * (report.waveform.sourceEvmPercent ?? Infinity));
    expect(report.warnings.map(({ code }) => code)).not.toContain('evm-source-limited');
  });
});

describe('one record through the report', () => {
  test('the ideal limiter’s held share is the share of samples at its stop', () => {
    const report = run([lte(0, 10)], { outputBackoffDb: 6 });
    // Clipped samples lie at |y| = 1, and none above: the exceedance of the ideal output just under saturation.
    const { levelDb, probability } = report.traces.ccdf.data;
    expect(report.ideal.heldSampleRatio).toBeGreaterThan(0);
    // The limiter’s drive is the waveform, raised by what clipping takes: a little more than at 6 dB over the mean.
    const at = (db: number) => probability[levelDb.findIndex((level) => level >= db)];
    expect(report.ideal.heldSampleRatio).toBeGreaterThan(at(6));
    expect(report.ideal.heldSampleRatio).toBeLessThan(at(5.5));
  });

  test('shaped noise has no symbols: its reduction’s error is the one against the record before', () => {
    const report = run([{ kind: 'noise', occupiedBandwidthHz: 9 * MHZ, channelBandwidthHz: 10 * MHZ }], {
      waveform: {
        carriers: [{ kind: 'noise', occupiedBandwidthHz: 9 * MHZ, channelBandwidthHz: 10 * MHZ }],
        sampleCount: 2 ** 16,
        sampleRateHz: 122.88e6,
        crestFactorReduction: { targetPaprDb: 8, probability: 1e-3, roundCount: 8, evmBudgetPercent: null },
      },
      limits: [],
    });
    expect(report.waveform.crestReductionEvmPercent ?? 0).toBeGreaterThan(0.3);
    expect(report.waveform.crestReductionEvmPercent ?? 0).toBeLessThan(4);
    expect(report.waveform.sourceEvmPercent).toBeNull();
  });

  test('the whole record is one rectangular window without overlap', () => {
    const report = run([lte(0, 10)], { measurement: { spectrum: { method: 'wholeRecord' } } });
    const { window, overlapRatio, segmentCount } = report.traces.conditions;
    expect([window, overlapRatio, segmentCount]).toEqual(['rectangular', 0, 1]);
  });
});

test('a carrier far off the centre needs a model that reaches it', () => {
  const scenario = (modelRateHz: number) => ({
    ...runBench({ withoutCorrection: true, waveform: { symbolCount: 4 } }).scenario,
    waveform: {
      carriers: [lte(40, 10)],
      symbolCount: 4,
      sampleRateHz: 245.76e6,
      spectralEdge: { kind: 'channelFilter' },
      crestFactorReduction: null,
    },
    measurement: {},
    limits: [],
    amplifier: { model: { ...linearModel, modelRateHz }, saturatedPowerDbm: 45 },
  });
  const narrow = checkScenario(scenario(61.44e6));
  if (narrow.kind !== 'invalid') throw new Error('a model that ends at 30.72 MHz was taken for a carrier at 40 MHz');
  expect(narrow.issues.map(({ path }) => path)).toEqual(['amplifier.model.modelRateHz']);
  const wide = checkScenario(scenario(491.52e6));
  expect(wide.kind === 'invalid' ? wide.issues : []).toEqual([]);
});
