// The path study: its values, its knee by the stated rule, its answer, and runs of a small bench.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { PathPoint } from '../../../shared/schema/studyReport.ts';
import { checkScenario, evaluateStudy } from '../../../src/engine/index.ts';
import { kneeOf, signalSpanHzOf, withValue } from '../../../src/engine/study/pathQuality.ts';
import { SMALL_BENCH } from '../../cli/smallStudies.ts';
import { completeStudy, engineRunner, evaluated, resultOf } from './drive.ts';

const run = engineRunner();
const study = (question: object, scenario: object = SMALL_BENCH) => ({
  scenario,
  question: { kind: 'path', ...question },
});

function issuesOf(input: unknown) {
  const evaluation = evaluateStudy(input, new Map());
  return evaluation.kind === 'invalid' ? evaluation.issues : [];
}

const pointsAt = (levels: readonly (number | null)[]): PathPoint[] =>
  levels.map((worstAclrDb, value) => ({
    value,
    worstAclrDb,
    alternateAclrDb: null,
    evmPercent: null,
    nmseDb: -(worstAclrDb ?? 0),
    correctionUsed: true,
  }));

describe('the knee: neighbours of the best that stay within the distance', () => {
  // Source: the rule as stated, by hand.
  test.each([
    [[30, 40, 49.5, 50, 49.8], 1, { from: 2, to: 4 }],
    [[30, 40, 48.9, 50, 49.8], 1, { from: 3, to: 4 }],
    [[49.9, 40, 50, 48, 49.9], 1, { from: 2, to: 2 }],
    [[30, null, 50], 1, { from: 2, to: 2 }],
    [[30, 40, 49.5, 50, 49.8], 12, { from: 1, to: 4 }],
  ])('%j within %d dB: %j', (levels, withinDb, knee) => {
    expect(kneeOf(pointsAt(levels), 'aclr', withinDb)).toEqual({ bestDb: 50, knee });
  });

  test('nothing read: none', () => {
    expect(kneeOf([], 'aclr', 1)).toEqual({ bestDb: null, knee: null });
    expect(kneeOf(pointsAt([null, null]), 'aclr', 1)).toEqual({ bestDb: null, knee: null });
  });

  test('by the error where no channel is read', () => {
    expect(kneeOf(pointsAt([30, 40, 40.5]), 'nmse', 1)).toEqual({ bestDb: 40.5, knee: { from: 1, to: 2 } });
  });
});

describe('what a value changes', () => {
  const checked = checkScenario(SMALL_BENCH);
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const base = checked.scenario;

  test.each([
    ['observationBandwidthHz', 1e7, { predistorter: { observation: { bandwidthHz: 1e7, snrDb: null } } }],
    ['observationSnrDb', 30, { predistorter: { observation: { snrDb: 30 } } }],
    ['observationBits', 9, { predistorter: { observation: { converterBitCount: 9 } } }],
    ['observationDelayS', -1e-9, { predistorter: { observation: { delayErrorS: -1e-9 } } }],
    ['transmitBandwidthHz', 2e7, { transmitter: { bandwidthHz: 2e7, imageDb: null } }],
    ['transmitBits', 9, { transmitter: { converterBitCount: 9 } }],
    ['sampleRateHz', 61.44e6, { waveform: { sampleRateHz: 61.44e6 } }],
  ] as const)('%s', (parameter, value, expected) => {
    expect(withValue(base, parameter, value)).toMatchObject(expected);
  });

  test('another rate keeps the spectral edge and the resolution in time', () => {
    const edge = { kind: 'channelFilter', tapCount: 513, cutoffHz: 2.4e6, kaiserBeta: 9 } as const;
    const faster = withValue({ ...base, waveform: { ...base.waveform, spectralEdge: edge } }, 'sampleRateHz', 61.44e6);
    expect(faster.waveform.spectralEdge).toMatchObject({ tapCount: 1025, cutoffHz: 2.4e6 });
    expect(faster.measurement.spectrum.segmentLength).toBe(2048);
  });

  test('the span of two carriers is from edge to edge', () => {
    const carrier = (offsetHz: number) => ({ geometry: { offsetHz, occupiedBandwidthHz: 4e6 } });
    expect(signalSpanHzOf([carrier(-5e6), carrier(10e6)])).toBe(19e6);
  });
});

describe('a small bench', () => {
  const report = completeStudy(study({ values: [15e6, 5e6, 9e6, 25e6] }), run);
  const result = resultOf(report, 'path');

  test('values rise, one run each and one without the effect', () => {
    expect(result.points.map(({ value }) => value)).toEqual([5e6, 9e6, 15e6, 25e6]);
    expect(report.doneCount).toBe(5);
    expect(result.without?.value).toBeNull();
  });

  // Source: pitfall P21 in kind: an observation about as wide as the signal is worse than one of several times it.
  test('a wider observation is better until it sees all the regrowth; the answer has knee and figures', () => {
    const [narrow, , , wide] = result.points.map(({ worstAclrDb }) => worstAclrDb ?? 0);
    expect(wide).toBeGreaterThan(narrow + 3);
    expect(Math.abs(wide - (result.without?.worstAclrDb ?? 0))).toBeLessThan(1);
    expect(result.knee?.from).toBeGreaterThan(5e6);
    expect(report.answer).toMatch(
      /^Observation bandwidth of (9|15|25)\sMHz keeps within 1\.0 dB of the best, an ACLR of /,
    );
    expect(report.answer).toContain('Without this effect: ');
    expect(report.conditions).toMatch(/^Observation bandwidth varied, all else equal; knee: within 1 dB/);
  });

  test('a rate too low for the carrier is refused with its reason; the others are read', () => {
    const rates = resultOf(
      completeStudy(study({ parameter: 'sampleRateHz', values: [3.84e6, 15.36e6, 30.72e6] }), run),
      'path',
    );
    expect(rates.refused.map(({ value }) => value)).toEqual([3.84e6]);
    expect(rates.refused[0].reason).toContain('waveform');
    expect(rates.points.length).toBe(2);
    expect(rates.without).toBeNull();
  });

  test('of a delay the range around the best is told, with both signs', () => {
    const delays = completeStudy(study({ parameter: 'observationDelayS', values: [-1e-7, 0, 1e-9, 1e-7] }), run);
    expect(delays.answer).toMatch(/^Delay error from 0\ss to 1\sns keeps within/);
  });

  test('usual values: multiples of the signal below the rate, with the scenario’s other settings untouched', () => {
    const { pending } = evaluated(study({}), new Map());
    const widths = pending.flatMap(({ scenario }) => {
      const width = scenario.predistorter?.observation?.bandwidthHz;
      return typeof width === 'number' ? [width] : [];
    });
    expect(widths.length).toBeGreaterThan(4);
    // LTE 5 MHz occupies 4.5 MHz (TS 36.101 table 5.6-1: 25 resource blocks of 180 kHz).
    expect(widths[0]).toBeCloseTo(1.1 * 4.5e6, -4);
    expect(Math.max(...widths)).toBeLessThan(30.72e6);
  });
});

describe('nonsense', () => {
  test('no predistorter, values of another kind, one value: each with its remedy', () => {
    const bare = { ...SMALL_BENCH, predistorter: null };
    expect(issuesOf(study({}, bare))).toMatchObject([{ path: 'scenario.predistorter', value: 'null' }]);
    expect(issuesOf(study({ parameter: 'observationBits', values: [8.5, 40] }))).toMatchObject([
      { path: 'question.values', value: '8.5, 40' },
    ]);
    expect(issuesOf(study({ values: [10, 20] }))).toMatchObject([{ path: 'question.values', value: '10, 20' }]);
    expect(issuesOf(study({ values: [1e7] }))).toMatchObject([{ path: 'question.values' }]);
  });
});

// Source: F22 of the hand-outs, computed independently with numpy: 9th order × 3 taps at OBO 9 dB, rates changed by the
// whole record's transform, amplifier at 122.88 Msps: ×2 −53.7, ×4 −55.5 and −68, ×8 −53.0 and −66 dBc; ±1.5 dB, the
// second channel ±2 dB. At ×2 the second channel lies outside the record here, and at ×1 the first.
test('Quarry Link against the sample rate: three taps span least time at the highest', () => {
  const predistorter = { nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 3, learning: { passCount: 3 } };
  const waveform = { ...quarryLink.waveform, symbolCount: 4 };
  const rates = [30.72e6, 61.44e6, 122.88e6];
  const question = { parameter: 'sampleRateHz', values: rates };
  const { points, knee } = resultOf(
    completeStudy(study(question, { ...quarryLink, waveform, predistorter }), run),
    'path',
  );
  const expected = [
    [53.7, null],
    [55.5, 68],
    [53, 66],
  ] as const;
  points.forEach(({ worstAclrDb, alternateAclrDb }, i) => {
    const [adjacent, alternate] = expected[i];
    expect(Math.abs((worstAclrDb ?? 0) - adjacent)).toBeLessThan(1.5);
    if (alternate === null) expect(alternateAclrDb).toBeNull();
    else expect(Math.abs((alternateAclrDb ?? 0) - alternate)).toBeLessThan(2);
  });
  expect(knee?.from).toBe(61.44e6);
});
