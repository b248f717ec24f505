// Masks through the whole pipeline: levels at the antenna port, floors that speak, faults and doubts before a run.
import { describe, expect, test } from 'vitest';
import type { MaskPiece } from '../../../shared/schema/measurement.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import { checkScenario, runScenario } from '../../../src/engine/index.ts';

const MHZ = 1e6;
const piece = (rest: Partial<MaskPiece> = {}) => ({
  fromHz: 0.5 * MHZ,
  toHz: (20 * MHZ) as MaskPiece['toHz'],
  startLevel: -20,
  endLevel: -20,
  measuringBandwidthHz: 100e3,
  ...rest,
});
const mask = (pieces: ReturnType<typeof piece>[], rest: object = {}) => ({
  reading: 'mask' as const,
  name: 'own mask',
  pieces,
  ...rest,
});

/** 9 MHz of noise in a 10 MHz channel through a soft amplifier of 40 dBm, 1 dB of loss behind it: 29 dBm out. */
const BENCH: ScenarioInput = {
  waveform: {
    carriers: [{ kind: 'noise', occupiedBandwidthHz: 9 * MHZ, channelBandwidthHz: 10 * MHZ }],
    sampleCount: 2 ** 16,
    sampleRateHz: 122.88 * MHZ,
  },
  amplifier: {
    model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.5, amPmDeg: 5 },
    saturatedPowerDbm: 40,
    outputLossDb: 1,
  },
  operatingPoint: { outputBackoffDb: 10 },
  predistorter: null,
  limits: [mask([piece()])],
};

function reportOf(change: Partial<ScenarioInput> = {}): Report {
  const outcome = runScenario({ ...BENCH, ...change });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

/** Mean level of a trace over a band, in power, dBm in the resolution bandwidth. */
function meanLevel(report: Report, centreHz: number, bandwidthHz: number): number {
  const { frequencyHz, level } = report.traces.spectra.uncorrected;
  let [sum, count] = [0, 0];
  for (let i = 0; i < frequencyHz.length; i++) {
    if (Math.abs((frequencyHz[i] as number) - centreHz) > bandwidthHz / 2) continue;
    sum += 10 ** ((level[i] as number) / 10);
    count++;
  }
  return 10 * Math.log10(sum / count);
}

describe('levels', () => {
  // Closed form: white noise of −75 dBm/Hz at the antenna port is −25 dBm in 100 kHz and −15 dBm in 1 MHz.
  test('transmitter noise far out, in either bandwidth, and the floor is named', () => {
    const far = { fromHz: 45 * MHZ, toHz: 55 * MHZ };
    const noise = { transmitterNoiseDbmPerHz: -75, analyserFloorDb: null };
    const limits = [
      mask([piece(far)], { name: 'narrow' }),
      mask([piece({ ...far, measuringBandwidthHz: 1e6 })], { name: 'wide' }),
    ];
    const [narrow, wide] = reportOf({ limits, measurement: { noise } }).uncorrected.masks;
    expect(narrow?.levelDbm).toBeCloseTo(-25, 1);
    expect(wide?.levelDbm).toBeCloseTo(-15, 1);
    expect(narrow?.worstMarginDb).toBeCloseTo(5, 1);
    expect([narrow?.limitedBy, wide?.limitedBy]).toEqual(['transmitterNoise', 'transmitterNoise']);
  });

  test('leakage of a rectangular window is named as what limits the reading, and a good window is not', () => {
    const change = {
      operatingPoint: { outputBackoffDb: 25 },
      limits: [mask([piece({ fromHz: 20 * MHZ, toHz: 22 * MHZ })])],
    };
    const at = (window: 'rectangular' | 'blackmanHarris') =>
      reportOf({ ...change, measurement: { spectrum: { window } } }).uncorrected.masks[0];
    const [leaking, clean] = [at('rectangular'), at('blackmanHarris')];
    expect(leaking?.limitedBy).toBe('estimator');
    expect(clean?.limitedBy).not.toBe('estimator');
    expect(leaking?.levelDbm as number).toBeGreaterThan((clean?.levelDbm as number) + 10);
  });

  test('the reading agrees with the trace: level in the resolution bandwidth and bandwidth ratio', () => {
    const limits = [mask([piece({ fromHz: 2 * MHZ, toHz: 2 * MHZ, measuringBandwidthHz: 3 * MHZ })])];
    const report = reportOf({ limits });
    const reading = report.uncorrected.masks[0]!;
    const { resolutionBandwidthHz } = report.traces.conditions;
    const shown = meanLevel(report, reading.atHz, 3 * MHZ) + 10 * Math.log10((3 * MHZ) / resolutionBandwidthHz);
    expect(reading.levelDbm).toBeCloseTo(shown, 1);
    expect(Math.abs(reading.atHz)).toBe(7 * MHZ);
  });

  test('F42: the measuring bandwidth moves the line and the reading, never the ACLR', () => {
    const run = (measuringBandwidthHz: number) =>
      reportOf({ limits: [mask([piece({ fromHz: 5 * MHZ, toHz: 5 * MHZ, measuringBandwidthHz })])] });
    const [nine, hundred] = [run(9e6), run(100e3)];
    const line = (report: Report) =>
      report.traces.limitLines.filter(({ kind }) => kind === 'mask').map(({ level }) => level);
    expect(line(hundred)).toHaveLength(2);
    line(hundred).forEach((level, i) => {
      expect(level - (line(nine)[i] as number)).toBeCloseTo(10 * Math.log10(90), 6);
    });
    expect(hundred.uncorrected.masks[0]?.levelDbm).toBeLessThan((nine.uncorrected.masks[0]?.levelDbm as number) - 10);
    expect(hundred.uncorrected.aclr).toEqual(nine.uncorrected.aclr);
  });

  test('dBr is against the mean power at the antenna port, whatever the power', () => {
    const limits = [mask([piece({ startLevel: -50, endLevel: -50 })], { unit: 'dBr' })];
    for (const outputBackoffDb of [10, 14]) {
      const { masks, antennaMeanDbm } = reportOf({ limits, operatingPoint: { outputBackoffDb } }).uncorrected;
      expect(masks[0]?.limitDbm).toBeCloseTo((antennaMeanDbm as number) - 50, 6);
    }
  });

  test('bursts are held against the mask with their mean power while on', () => {
    const measurement = { spectrum: { segmentLength: 1024 } };
    const limits = [mask([piece({ fromHz: 3 * MHZ, toHz: 3 * MHZ, measuringBandwidthHz: 4 * MHZ })])];
    const always = reportOf({ measurement, limits });
    const burst = { periodS: 2 ** 16 / 122.88e6 / 4, dutyRatio: 0.5, rampS: 4e-6 };
    const half = reportOf({ measurement, limits, waveform: { ...BENCH.waveform, burst } });
    expect(half.uncorrected.antennaMeanDbm).toBeCloseTo(always.uncorrected.antennaMeanDbm as number, 1);
    // The records differ; the mean over the record would be 3 dB lower.
    expect(
      Math.abs((half.uncorrected.masks[0]?.levelDbm as number) - (always.uncorrected.masks[0]?.levelDbm as number)),
    ).toBeLessThan(1);
  });

  test('gaps are judged and drawn, with the sum of both sides', () => {
    const at = (offsetHz: number) => ({
      kind: 'noise' as const,
      offsetHz,
      occupiedBandwidthHz: 9 * MHZ,
      channelBandwidthHz: 10 * MHZ,
    });
    const waveform = { ...BENCH.waveform, carriers: [at(-15 * MHZ), at(15 * MHZ)] };
    const report = reportOf({ waveform, limits: [mask([piece({ toHz: 'end' })])] });
    const lines = report.traces.limitLines.filter(
      ({ kind, fromHz, toHz }) => kind === 'mask' && fromHz > -10e6 && toHz < 10e6,
    );
    expect(lines.length).toBeGreaterThan(0);
    const outside = report.traces.limitLines.find(({ kind, fromHz }) => kind === 'mask' && fromHz > 20e6);
    for (const { level, toLevel } of lines) {
      expect(level - (outside?.level as number)).toBeCloseTo(3.0103, 3);
      expect(toLevel).toBeCloseTo(level, 3);
    }
  });
});

describe('before a run', () => {
  const issuesOf = (change: Partial<ScenarioInput>) => {
    const outcome = checkScenario({ ...BENCH, ...change });
    return outcome.kind === 'invalid' ? outcome.issues : [];
  };
  const warningsOf = (change: Partial<ScenarioInput>) => {
    const outcome = checkScenario({ ...BENCH, ...change });
    return outcome.kind === 'invalid' ? [] : outcome.warnings.filter(({ code }) => code.startsWith('mask-'));
  };

  test('pieces at fault, bins too wide and masks beyond the record are issues with a remedy', () => {
    const pieces = [piece({ toHz: 0.1 * MHZ }), piece({ toHz: 'end', endLevel: -30 })];
    expect(issuesOf({ limits: [mask(pieces)] }).map(({ path }) => path)).toEqual([
      'limits.0.pieces.0.toHz',
      'limits.0.pieces.1.endLevel',
    ]);
    const [bins] = issuesOf({ limits: [mask([piece({ measuringBandwidthHz: 4e3 })])] });
    // 122.88 Msps in 8192 samples: 15 kHz a bin; 30720 samples for 4 kHz, 32768 as a power of two.
    expect(bins).toMatchObject({
      value: '15 kHz a bin',
      remedy: 'set measurement.spectrum.segmentLength to 32768 or more',
    });
    const short = { ...BENCH.waveform, sampleCount: 2 ** 14 };
    const [tooShort] = issuesOf({ limits: [mask([piece({ measuringBandwidthHz: 4e3 })])], waveform: short });
    expect(tooShort?.remedy).toContain('lengthen the record to 32768');
    const [beyond] = issuesOf({ limits: [mask([piece({ fromHz: 60 * MHZ, toHz: 'end' })])] });
    // 60 MHz from the edge at 5 MHz, and half a filter: 130.1 Msps.
    expect(beyond?.remedy).toBe('raise waveform.sampleRateHz to 130.1 MHz or more');
    expect(issuesOf({ amplifier: { ...BENCH.amplifier, saturatedPowerDbm: null } })[0]?.path).toBe('limits.0');
  });

  test('a mask that goes on beyond the record is judged in part, and it is said', () => {
    const limits = [mask([piece({ toHz: 80 * MHZ })])];
    const [warning] = warningsOf({ limits });
    expect(warning?.code).toBe('mask-incomplete');
    expect(warning?.message).toContain('56.39 MHz');
    expect(warning?.message).toContain('170.1 MHz or more');
    expect(reportOf({ limits }).uncorrected.masks[0]).toMatchObject({ isComplete: false, judgedToHz: 56.39 * MHZ });
    expect(warningsOf({ limits: [mask([piece({ toHz: 'end' })])] })).toEqual([]);
  });

  test('a resolution bandwidth wider than the measuring bandwidth is a doubt for single lines', () => {
    const limits = [mask([piece({ measuringBandwidthHz: 30e3 })])];
    // Blackman-Harris: 2.0044 bins of 15 kHz are 30.07 kHz.
    expect(warningsOf({ limits })).toEqual([]);
    const [warning] = warningsOf({ limits, measurement: { spectrum: { segmentLength: 4096 } } });
    expect(warning?.code).toBe('mask-resolution');
    expect(warning?.message).toContain('3.0 dB');
    const whole = { spectrum: { method: 'wholeRecord' as const } };
    expect(warningsOf({ limits, measurement: whole })).toEqual([]);
  });
});
