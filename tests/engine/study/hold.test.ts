// Frozen corrections: the hand-out's F21 (level walk), F38 (drift), P8 (trained on a narrower signal), P9 (another level) and
// F25 (sets over a band), computed there with an independent numpy program; tolerance 1.5 dB. Records are short.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { frequencyOf, skipChannelRadio } from '../../../shared/presets/skipChannelRadio.ts';
import type { HoldResult } from '../../../shared/schema/holdReport.ts';
import { storedOf } from '../../../shared/schema/storedPredistorter.ts';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { evaluateStudy, runScenario } from '../../../src/engine/index.ts';
import { centresOf, medianOf, setIndexOf } from '../../../src/engine/study/holdSets.ts';
import { completeStudy, engineRunner, evaluated, resultOf } from './drive.ts';

type Hold = Omit<Extract<StudyInput['question'], { kind: 'hold' }>, 'kind'>;

const SYMBOLS = 4;
/** Quarry Link at 9 dB output back-off, 7th order × 3 taps; the second pass is the third within 0.1 dB. */
const scenario = {
  ...quarryLink,
  waveform: { ...quarryLink.waveform, symbolCount: SYMBOLS },
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning: { passCount: 2 } },
};
const run = engineRunner();
const known = new Map<string, TaskOutcome>();
const studyOf = (question: Hold, base: unknown = scenario): StudyInput => ({
  scenario: base,
  question: { kind: 'hold', trainedOn: 'own', ...question },
});
const reportOf = (question: Hold, base: unknown = scenario) => completeStudy(studyOf(question, base), run, known);

/** ACLR of the cell, by the labels of its row and column. */
function aclr(result: HoldResult, trainedOn: string, usedOn: string): number {
  const index = (label: string) => result.conditions.findIndex((one) => one.label.replace('\u2009', ' ') === label);
  const cell = result.cells.find((one) => one.trainedOn === index(trainedOn) && one.usedOn === index(usedOn));
  return cell?.reading?.worstAclrDb ?? Number.NaN;
}
const near = (value: number, expected: number, tolerance = 1.5) =>
  expect(Math.abs(value - expected), `${value} against ${expected}`).toBeLessThan(tolerance);

describe('level walk', () => {
  test('ahead of the predistorter (F21, P9): +1 dB 46.5, +2 dB 38.3; retrained at −6 dB 73', () => {
    const report = reportOf({ axis: 'level', values: [-6, 1, 2] });
    const result = resultOf(report, 'hold');
    near(aclr(result, '0 dB', '+1 dB'), 46.5);
    near(aclr(result, '0 dB', '+2 dB'), 38.3);
    near(result.conditions[0]?.retrained?.worstAclrDb ?? 0, 73);
    // The hand-out's 54.5 at −6 dB (61 with 9th order) does not hold here: 58 (63), and 68 after the first pass, on 24
    // symbols as on 4. What is left far below the level of learning hangs on the details of the fit.
    const kept = aclr(result, '0 dB', '−6 dB');
    expect(kept).toBeGreaterThan(54.5 - 1.5);
    expect(kept).toBeLessThan(66);
    // 0.4 to 1.3 % at the ceiling (P9), here of the 7th order.
    const held = result.cells.map(({ reading }) => 100 * (reading?.heldRatio ?? Number.NaN));
    expect(held[0]).toBe(0);
    expect(held[2]).toBeGreaterThan(0.1);
    expect(held[3]).toBeGreaterThan(0.8);
    expect(held[3]).toBeLessThan(1.8);
    const [own, worst] = [result.conditions[1], result.worst];
    expect(own).toMatchObject({ isOwn: true, value: 0 });
    expect(worst).toMatchObject({ trainedOn: 1, usedOn: 3 });
    expect(worst?.spectrum?.level.length).toBe(worst?.retrainedSpectrum?.level.length);
    expect(report.answer.replace(/\u2009/g, ' ')).toMatch(
      /^Frozen coefficients keep 45\.0 dB from −6 dB to \+1 dB; at \+2 dB ACLR falls to 3\d\.\d dB, /,
    );
  });

  test('behind it: another axis altogether, about 30 at −6 dB', () => {
    near(aclr(resultOf(reportOf({ axis: 'analogueGain', values: [-6] }), 'hold'), '0 dB', '−6 dB'), 30);
  });
});

describe('drift (F38)', () => {
  test('AM/PM +3°: 52.9 falls to 46.5', () => {
    const result = resultOf(reportOf({ axis: 'amPm', values: [3] }), 'hold');
    near(aclr(result, '0°', '0°'), 52.9);
    near(aclr(result, '0°', '+3°'), 46.5);
    near(result.conditions[1]?.retrained?.worstAclrDb ?? 0, 52.9);
  });

  test('saturated power −1 dB: 42.8 with the drive left as it is', () => {
    // The study levels to the same mean power, as a transmitter with power control does: 1.37 dB more gain in units of the
    // knee for 1 dB of drift, and 40.9. The hand-out leaves the drive: 1 dB of gain, which 8.25 dB of back-off gives.
    const learned = runScenario(scenario);
    if (learned.kind === 'invalid') throw new Error('not run');
    const stored = { ...storedOf(learned.report)!, levelBy: 'analogueGain' as const };
    const predistorter = { ...scenario.predistorter, stored };
    const sent = runScenario({ ...scenario, operatingPoint: { outputBackoffDb: 8.25 }, predistorter });
    if (sent.kind === 'invalid') throw new Error('not run');
    near(sent.report.predistorter?.stored?.analogueGainDb ?? 0, 1, 0.1);
    near(Math.min(...sent.report.corrected!.aclr.slice(0, 2).map(({ aclrDb }) => aclrDb)), 42.8);
    const result = resultOf(reportOf({ axis: 'saturatedPower', values: [-1] }), 'hold');
    const drifted = aclr(result, '0 dB', '−1 dB');
    expect(drifted).toBeLessThan(42.8);
    expect(drifted).toBeGreaterThan(39);
    // A load of VSWR 1.2589 is 1 dB of saturated power: the same run.
    const load = resultOf(reportOf({ axis: 'load', values: [10 ** 0.1] }), 'hold');
    expect(load.cells[1]?.reading?.worstAclrDb).toBeCloseTo(drifted, 6);
  });
});

test('trained on 5 MHz, used on 10 MHz (P8): 35.5 against 52, and EVM does not warn', () => {
  const narrow = {
    name: '5 MHz',
    carriers: [{ ...quarryLink.waveform.carriers[0]!, channelBandwidthHz: 5e6 }],
    spectralEdge: { kind: 'channelFilter', tapCount: 513, cutoffHz: 2.4e6, kaiserBeta: 9 },
  } as never;
  const report = reportOf({ axis: 'carriers', carrierSets: [narrow], trainedOn: 'each' });
  const result = resultOf(report, 'hold');
  const lost = aclr(result, '5 MHz', 'own signal');
  expect(result.worst?.trainedOn).toBe(1);
  near(lost, 35.5);
  const cell = result.cells.find(({ trainedOn, usedOn }) => trainedOn === 1 && usedOn === 0);
  expect(cell?.reading?.evmPercent).toBeLessThan(1.7);
  expect(report.answer).toContain('Worst cell: learned at 5 MHz, used at own signal');
});

test('sets over a band (F25): worst of 1, 2, 4 sets 37.9, 42.5, 44.0', () => {
  const base = { ...skipChannelRadio, waveform: { ...skipChannelRadio.waveform, symbolCount: 2 } };
  // The two ends of the band, where all three counts have their worst channel.
  const values = [frequencyOf(0), frequencyOf(1)];
  const result = resultOf(reportOf({ axis: 'channel', values, setCounts: [1, 2, 4] }, base), 'hold');
  const worst = result.sets.map(({ worstAclrDb }) => worstAclrDb ?? 0);
  [37.9, 42.5, 44.0].forEach((expected, i) => {
    near(worst[i]!, expected);
  });
  expect(result.sets.map(({ warm }) => warm)).toEqual([null, null, null]);
  // One pass on each channel, going on from one set: the channel's own learning within 1 dB (no source: what it must give).
  const warmed = reportOf({ axis: 'channel', values, setCounts: [1], warmPassCount: 1 }, base);
  const [one] = resultOf(warmed, 'hold').sets;
  const retrained = Math.min(...result.conditions.map((condition) => condition.retrained?.worstAclrDb ?? Number.NaN));
  expect(one?.worstAclrDb).toBe(worst[0]);
  expect(one?.warm?.passCount).toBe(1);
  near(one?.warm?.worstAclrDb ?? 0, retrained, 1);
  expect(warmed.answer).toMatch(/ Learning on from it, 1 pass on each channel, gives \d\d\.\d dB on the worst\./);
  // 8 coefficients of 4 bytes.
  expect(result.sets.map(({ memoryBytes }) => memoryBytes)).toEqual([32, 64, 128]);
  const plain = result.conditions.map(({ uncorrected }) => uncorrected?.worstAclrDb ?? 0);
  near(Math.min(...plain), 32.7);
});

test('centres of equal sub-bands; a channel on an edge takes the upper set; the median', () => {
  expect(centresOf([225e6, 300e6, 400e6], 1)).toEqual([312.5e6]);
  expect(centresOf([225e6, 400e6], 2)).toEqual([268.75e6, 356.25e6]);
  expect([225e6, 268.75e6, 312.5e6, 400e6].map((hz) => setIndexOf([225e6, 400e6], hz, 2))).toEqual([0, 0, 1, 1]);
  expect(medianOf([3, 1, 2])).toBe(2);
  expect(medianOf([4, 1, 2, 3])).toBe(2.5);
});

describe('what is run and what is refused', () => {
  test('training first: one run a condition, then frozen ones with the coefficients of the row', () => {
    const first = evaluated(studyOf({ values: [-3, 2], trainedOn: 'each' }), new Map());
    expect(first.pending.map(({ scenario: { operatingPoint } }) => operatingPoint.outputBackoffDb)).toEqual([12, 9, 7]);
    expect(first.pending.every(({ scenario: { predistorter } }) => predistorter?.stored === null)).toBe(true);
    expect(first.report.answer).toBe('So far: no frozen run is read yet.');
  });

  test.each([
    [{ axis: 'level', values: [30] }, {}, 'question.values.0'],
    [{ axis: 'load', values: [0.5] }, {}, 'question.values.0'],
    [{ axis: 'channel' }, {}, 'scenario.amplifier.overBand'],
    [{ axis: 'carriers' }, {}, 'question.carrierSets'],
    [{}, { predistorter: null }, 'scenario.predistorter'],
  ] as const)('%j %j: %s', (question, change, path) => {
    const outcome = evaluateStudy(studyOf(question as Hold, { ...scenario, ...change }), new Map());
    expect(outcome.kind === 'invalid' && outcome.issues.map((issue) => issue.path)).toEqual([path]);
  });
});
