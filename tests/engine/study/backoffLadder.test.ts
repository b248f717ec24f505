// The ladder of Quarry Link with 9th order × 3 taps, run by the engine. Records of 12 symbols, half the hand-outs' length:
// one record's ACLR then differs by about 0.2 dB, well within the tolerances used.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { Subject } from '../../../shared/schema/report.ts';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { findCleanPoint } from '../../../src/engine/study/cleanPoint.ts';
import { createLookup } from '../../../src/engine/study/lookup.ts';
import { marginDb } from '../../../src/engine/study/margins.ts';
import { atBackoff } from '../../../src/engine/study/variation.ts';
import { completeStudy, engineRunner, evaluated, resultOf } from './drive.ts';

const run = engineRunner();
const known = new Map<string, TaskOutcome>();

function ladderOf(change: Record<string, unknown>, question: Record<string, unknown> = {}): StudyInput {
  return {
    scenario: { ...quarryLink, waveform: { ...quarryLink.waveform, symbolCount: 12 }, ...change },
    question: { kind: 'ladder', ...question },
  } as StudyInput;
}

const ninth = { predistorter: { nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 3 } };
const report = completeStudy(ladderOf(ninth), run, known);
const ladder = resultOf(report, 'ladder');
const deep = completeStudy(ladderOf(ninth, { outputBackoff: { fromDb: 3, toDb: 6, stepDb: 1.5 } }), run, known);

function crossing(of: Subject, limit: string): number {
  const found = ladder.crossings.find((one) => one.of === of && one.limit === limit);
  if (found === undefined) throw new Error(`${of} does not meet ${limit}`);
  return found.outputBackoffDb;
}

function aclrAt(outputBackoffDb: number, of: Subject): number {
  const point = ladder.points.find((one) => Math.abs(one.outputBackoffDb - outputBackoffDb) < 0.02);
  return point?.subjects.find((one) => one.of === of)?.worstAclrDb ?? Number.NaN;
}

const ACLR = 'ACLR adjacent ≥ 45 dB';

describe('without correction (product.md F7, computed independently with numpy)', () => {
  test('45 dB takes 17.2 ± 0.3 dB of output back-off', () => {
    expect(Math.abs(crossing('uncorrected', ACLR) - 17.2)).toBeLessThan(0.3);
  });

  test.each([
    [8, 29.9],
    [9, 31.6],
    [10, 33.2],
    [13, 38.0],
    [17, 44.7],
  ])('at %d dB the worse side reads %d ± 0.5 dB', (outputBackoffDb, expectedDb) => {
    expect(Math.abs(aclrAt(outputBackoffDb, 'uncorrected') - expectedDb)).toBeLessThan(0.5);
  });
});

describe('with correction (scenarios.md S1, ± 1.5 dB)', () => {
  test.each([
    [8, 'corrected', 45.5, 1.5],
    [7, 'corrected', 37, 1.5],
    // F15: the hard stop at |y| = 1.
    [7, 'ideal', 44.4, 0.7],
  ] as const)('at %d dB %s reads %d ± %d dB', (outputBackoffDb, of, expectedDb, tolerance) => {
    expect(Math.abs(aclrAt(outputBackoffDb, of) - expectedDb)).toBeLessThan(tolerance);
  });

  test('45 dB takes 7.9 ± 0.3 dB (F30), so correction buys 9.3 ± 0.5 dB: "worth 9 dB"', () => {
    expect(Math.abs(crossing('corrected', ACLR) - 7.9)).toBeLessThan(0.3);
    expect(Math.abs((ladder.gain?.backoffDb ?? 0) - 9.3)).toBeLessThan(0.5);
  });

  test('no inverse beats the hard stop: the ideal limiter needs least', () => {
    expect(crossing('ideal', ACLR)).toBeLessThan(crossing('corrected', ACLR));
  });

  // P4: below the wall the fit is worse than none; the ladder says from where, and what is used is never worse.
  test('below the wall the correction loses its worth, and what a user gets is never much worse than nothing', () => {
    const { points, correctionFailsBelowDb } = resultOf(deep, 'ladder');
    expect(points.some((point) => !point.correctionUsed) || correctionFailsBelowDb === null).toBe(true);
    for (const point of points) {
      if (!point.correctionUsed) continue;
      const margin = (of: Subject) => point.subjects.find((one) => one.of === of)?.worstMarginDb ?? Number.NaN;
      // Chosen on another record than it is judged on: half a dB of difference between records.
      expect(margin('corrected')).toBeGreaterThan(margin('uncorrected') - 0.5);
    }
  });

  test('the sentence, with the power at saturated power − back-off', () => {
    expect(report.answer).toMatch(
      /^You need [78]\.\d dB of output back-off: 37\.\d dBm, 5\.\d W\. Correction buys 9\.\d dB\. The 36\.5 dBm asked for leaves 1\.\d dB in hand\.$/,
    );
    for (const one of ladder.crossings) expect(one.meanPowerDbm).toBeCloseTo(45.5 - one.outputBackoffDb, 1);
  });

  test('what it saves: DC power of this amplifier against a larger one that runs alone', () => {
    const { gain } = ladder;
    if (gain === null) throw new Error('no gain');
    // Product.md: class B at 8 dB takes 12.7 W for 4.47 W, at 17.2 dB 36.6 W: a ratio of 2.9. A Gaussian envelope makes
    // the efficiency go as the square root of the power: 10^(gap/20).
    const ratio = (gain.dcPowerUncorrectedW ?? 0) / (gain.dcPowerCorrectedW ?? 1);
    expect(ratio).toBeCloseTo(10 ** (gain.backoffDb / 20), 1);
    expect(gain.largerSaturatedPowerDbm).toBeCloseTo(45.5 + gain.backoffDb, 9);
  });

  // F37. Source of the efficiencies: PW-05, class B on a Rayleigh envelope behind an ideal limiter; a crest factor held at
  // 8 dB takes off its peaks, which leaves the mean amplitude within a per cent.
  test.each([
    [8, 35.23],
    [9, 31.44],
    [12, 22.26],
  ])(
    'every point carries heat and peaks: class B at %d dB is %d %% efficient, the rest of the DC power is heat',
    (outputBackoffDb, percent) => {
      const point = ladder.points.find((one) => Math.abs(one.outputBackoffDb - outputBackoffDb) < 0.02);
      const ideal = point?.subjects.find((one) => one.of === 'ideal');
      expect(Math.abs((ideal?.efficiencyPercent ?? 0) / percent - 1)).toBeLessThan(0.01);
      for (const one of point?.subjects ?? []) {
        const meanW = ((one.dcPowerW ?? 0) * (one.efficiencyPercent ?? 0)) / 100;
        expect(meanW).toBeCloseTo(10 ** ((point?.meanPowerDbm ?? 0) / 10 - 3), 1);
        expect(one.heatW).toBeCloseTo((one.dcPowerW ?? 0) - meanW, 9);
        expect(one.peakPowerW).toBeCloseTo(10 ** ((one.peakPowerDbm ?? 0) / 10 - 3), 9);
        expect(one.drivePeakW).toBeCloseTo(10 ** ((one.drivePeakDbm ?? 0) / 10 - 3), 12);
      }
      expect(ladder.power?.label).toBe('ideal class B');
    },
  );

  test('every crossing carries DC power and its heat', () => {
    expect(ladder.crossings.length).toBeGreaterThan(6);
    for (const { dcPowerW, heatW, meanPowerW } of ladder.crossings)
      expect(heatW).toBeCloseTo((dcPowerW ?? 0) - (meanPowerW ?? 0), 9);
  });
});

describe('root search', () => {
  const alone = ladderOf({ predistorter: null, waveform: { ...quarryLink.waveform, symbolCount: 4 } });
  const { report: first } = evaluated(alone, known);
  const { limits } = first.scenario;

  test('agrees with a dense grid of 0.05 dB within 0.05 dB (4 symbols: the same record both ways)', () => {
    const range = { fromDb: 14, toDb: 20, stepDb: 1 };
    const outcomes = new Map<string, TaskOutcome>();
    const settle = <Value>(ask: (lookup: ReturnType<typeof createLookup>) => Value): Value => {
      for (;;) {
        const lookup = createLookup(outcomes);
        const value = ask(lookup);
        if (lookup.pending.length === 0) return value;
        for (const task of lookup.pending) outcomes.set(task.key, run(task));
      }
    };
    const point = settle((lookup) => findCleanPoint(first.scenario, 'uncorrected', range, lookup));
    if (point.kind !== 'found') throw new Error(point.kind);
    const start = Math.round((point.outputBackoffDb - 0.35) * 20) / 20;
    const dense = Array.from({ length: 15 }, (_, i) => start + 0.05 * i);
    const passing = settle((lookup) =>
      dense.filter((x) => {
        const readings = lookup.readings(atBackoff(first.scenario, x));
        return readings !== null && (marginDb(readings, 'uncorrected', limits) ?? -1) >= 0;
      }),
    );
    expect(passing.length).toBeGreaterThan(3);
    expect(passing.length).toBeLessThan(12);
    expect(Math.abs((passing[0] ?? 0) - point.outputBackoffDb)).toBeLessThanOrEqual(0.05);
  });
});
