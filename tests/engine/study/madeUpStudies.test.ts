// Studies on made-up readings in straight lines, whose answers are known by hand (drive.ts, `straightAmplifier`):
// uncorrected 16 + 1.7·b dB, so 45 dB at 17.059 dB; corrected 45 dB at the target − 0.1 dB (5th order), 9.5 dB unreduced.
import { describe, expect, test } from 'vitest';
import type { AskOption, ShapePoint, SpreadReading } from '../../../shared/schema/studyReport.ts';
import { evaluateStudy } from '../../../src/engine/index.ts';
import {
  backoffOf,
  completeStudy,
  evaluated,
  type MadeUpReadings,
  madeUpRunner,
  resultOf,
  straightAmplifier,
  studyOf,
} from './drive.ts';

const run = madeUpRunner(straightAmplifier);
/** Search tolerance: 0.01 dB of margin or of back-off, above the true value. */
const TOLERANCE_DB = 0.011;

describe('crest-factor trade', () => {
  const report = completeStudy(studyOf({ kind: 'shape', targetPaprDb: [7, 7.5, 8, 9] }), run);
  const { points, best } = resultOf(report, 'shape');
  const at = (targetPaprDb: number | null): ShapePoint => {
    const point = points.find((one) => one.targetPaprDb === targetPaprDb);
    if (point === undefined) throw new Error(`no point ${targetPaprDb}`);
    return point;
  };

  test.each([7, 7.5, 8, 9])('target %d dB needs 0.1 dB less than itself, corrected', (target) => {
    const point = at(target);
    const above = (point.correctedBackoffDb ?? 0) - (target - 0.1);
    expect(above).toBeGreaterThanOrEqual(-1e-9);
    expect(above).toBeLessThan(TOLERANCE_DB);
    expect(point.correctedPowerDbm).toBeCloseTo(45.5 - (point.correctedBackoffDb ?? 0), 6);
    expect(point.correctedAclrDb).toBeGreaterThanOrEqual(45);
    expect(point.crestEvmPercent).toBeCloseTo(1.6 * 2 ** (8 - target), 9);
    expect(point.complete).toBe(true);
  });

  test('uncorrected the crest factor does not matter here: 17.06 dB everywhere', () => {
    for (const { uncorrectedBackoffDb } of points)
      expect(Math.abs((uncorrectedBackoffDb ?? 0) - 29 / 1.7)).toBeLessThan(TOLERANCE_DB);
  });

  test('the waveform without reduction stands beside the targets, unless left out', () => {
    expect(at(null).correctedBackoffDb).toBeCloseTo(9.5, 1);
    const without = completeStudy(studyOf({ kind: 'shape', targetPaprDb: [8], withoutReduction: false }), run);
    expect(resultOf(without, 'shape').points.map((point) => point.targetPaprDb)).toEqual([8]);
  });

  test('the best is the lowest target; an EVM budget of 2.5 % rules out what spends more, and says so', () => {
    expect(best).toEqual(at(7));
    expect(report.answer).toBe(
      'Aim at 7.0 dB: 38.6 dBm clean at 6.9 dB of output back-off, spending 3.2 % EVM; without reduction 36.0 dBm clean at 9.5 dB of output back-off.',
    );
    const budget = studyOf(
      { kind: 'shape', targetPaprDb: [7, 7.5, 8, 9] },
      { waveform: { ...waveform, crestFactorReduction: { targetPaprDb: 8, evmBudgetPercent: 2.5 } } },
    );
    const strict = completeStudy(budget, run);
    expect(resultOf(strict, 'shape').best?.targetPaprDb).toBe(7.5);
    expect(strict.answer).toContain('7.0 dB would give 0.5 dB more but spends 3.2 % EVM, over the budget of 2.5 %.');
  });

  test('targets named twice are run once', () => {
    const twice = completeStudy(studyOf({ kind: 'shape', targetPaprDb: [8, 8, 8] }), run);
    expect(resultOf(twice, 'shape').points).toHaveLength(2);
  });

  test('a limit that none meets: by how much the nearest misses, and what would help', () => {
    const strict = studyOf(
      { kind: 'shape', targetPaprDb: [7, 8] },
      { limits: [{ reading: 'evm', requiredPercent: 0.1 }] },
    );
    const failed = completeStudy(strict, run);
    const { points: missed, best: none } = resultOf(failed, 'shape');
    expect(none).toBeNull();
    // Without reduction the corrected output reads 0.2 %: 20·log10(0.1/0.2) = −6.02 dB.
    expect(missed.at(-1)?.correctedMiss).toEqual({ limit: 'EVM ≤ 0.1 %', marginDb: expect.closeTo(-6.02, 2) });
    expect(failed.answer).toBe(
      'No target meets all limits; the nearest misses EVM ≤ 0.1 % by 6.0 dB. A higher crest-factor target, which spends less EVM, a higher order or more taps or a larger back-off range may help.',
    );
  });
});

const { waveform } = studyOf({ kind: 'ladder' }).scenario as { waveform: Record<string, unknown> };

describe('reverse question', () => {
  const question = {
    kind: 'ask',
    wantedAntennaMeanDbm: 36.5,
    targetPaprDb: [7, 8],
    structures: [
      { highestOrder: 5, memoryDepth: 2 },
      { highestOrder: 9, memoryDepth: 3 },
    ],
  } as const;
  const loss = { amplifier: { ...amplifierOf(), outputLossDb: 0.7 } };
  const asked = studyOf(
    { ...question, targetPaprDb: [...question.targetPaprDb], structures: [...question.structures] },
    loss,
  );
  const report = completeStudy(asked, run);
  const { options, refused } = resultOf(report, 'ask');
  const find = (targetPaprDb: number, highestOrder: number | null): AskOption => {
    const option = options.find((one) => one.targetPaprDb === targetPaprDb && one.highestOrder === highestOrder);
    if (option === undefined) throw new Error(`no option ${targetPaprDb}/${highestOrder}`);
    return option;
  };

  test('needed saturated power = wanted power + output loss + output back-off', () => {
    // 9th order lowers the wall by 0.2 dB: 7.7 dB at a target of 8 dB.
    expect(find(8, 9).neededSaturatedPowerDbm - (36.5 + 0.7 + 7.7)).toBeGreaterThanOrEqual(-1e-9);
    expect(find(8, 9).neededSaturatedPowerDbm - (36.5 + 0.7 + 7.7)).toBeLessThan(TOLERANCE_DB);
    expect(Math.abs(find(8, null).neededSaturatedPowerDbm - (36.5 + 0.7 + 29 / 1.7))).toBeLessThan(TOLERANCE_DB);
    expect(find(8, null)).toMatchObject({ corrected: false, cost: null, memoryDepth: null });
  });

  test('ranked: least saturated power first, and every way is there', () => {
    const powers = options.map((option) => option.neededSaturatedPowerDbm);
    expect(powers).toEqual([...powers].sort((a, b) => a - b));
    expect(options).toHaveLength(6);
    expect(refused).toEqual([]);
    expect(options[0]).toMatchObject({ targetPaprDb: 7, highestOrder: 9, memoryDepth: 3, bracketed: true });
  });

  test('most clean antenna power of the own amplifier: saturated power − back-off − loss', () => {
    for (const option of options) expect(option.mostAntennaMeanDbm).toBeCloseTo(45.5 - option.outputBackoffDb - 0.7, 6);
  });

  test('DC power goes with the size of the amplifier: 10 W of a 45.5 dBm one', () => {
    const { dcPowerW, heatW, neededSaturatedPowerDbm } = find(8, null);
    expect(dcPowerW).toBeCloseTo(10 * 10 ** ((neededSaturatedPowerDbm - 45.5) / 10), 9);
    // Wanted 36.5 dBm behind 0.7 dB of loss: 37.2 dBm, 5.248 W, leave as signal.
    expect((dcPowerW ?? 0) - (heatW ?? 0)).toBeCloseTo(5.248, 3);
  });

  test('cost of 9th × 3 taps: 15 coefficients, 14 multiplications', () => {
    expect(find(8, 9).cost).toMatchObject({ coefficientCount: 15, realMultipliesPerSample: 14 });
  });

  test('the answer names both saturated powers and what the own amplifier gives', () => {
    expect(report.answer).toBe(
      'For 36.5 dBm clean you need a saturated power of at least 43.9 dBm with correction (crest factor 7.0 dB, 9th order × 3 taps, 6.7 dB output back-off), at least 54.3 dBm without (crest factor 7.0 dB, 17.1 dB output back-off). Your 45.5 dBm amplifier gives at most 38.1 dBm.',
    );
  });

  test('ways that meet the limits nowhere are listed with their miss', () => {
    const narrow = { ...question, targetPaprDb: [8], structures: [...question.structures] };
    const short = completeStudy(studyOf({ ...narrow, outputBackoff: { fromDb: 6, toDb: 12, stepDb: 1 } }), run);
    const { refused: lost, options: left } = resultOf(short, 'ask');
    expect(left.every((option) => option.corrected)).toBe(true);
    // At 12 dB uncorrected reads 16 + 1.7·12 = 36.4 dB.
    expect(lost).toEqual([
      {
        corrected: false,
        targetPaprDb: 8,
        highestOrder: null,
        memoryDepth: null,
        miss: { limit: 'ACLR adjacent ≥ 45 dB', marginDb: expect.closeTo(-8.6, 6) },
      },
    ]);
  });

  test('without targets the waveform stays as it is; without structures only the amplifier alone is asked', () => {
    const bare = completeStudy(studyOf({ ...question, targetPaprDb: [], structures: [] }), run);
    expect(resultOf(bare, 'ask').options.map((option) => [option.targetPaprDb, option.corrected])).toEqual([
      [8, false],
    ]);
  });

  test('a scenario without predistorter learns the default way', () => {
    const plain = completeStudy(
      studyOf(
        { ...question, targetPaprDb: [8], structures: [{ highestOrder: 5, memoryDepth: 2 }] },
        { predistorter: null },
      ),
      run,
    );
    expect(resultOf(plain, 'ask').options.some((option) => option.corrected)).toBe(true);
  });
});

function amplifierOf(): Record<string, unknown> {
  return (studyOf({ kind: 'ladder' }).scenario as { amplifier: Record<string, unknown> }).amplifier;
}

describe('ladder', () => {
  const ladder = completeStudy(studyOf({ kind: 'ladder' }), run);

  test('the sentence: back-off, power, what correction buys, and where the power asked for stands', () => {
    // Corrected 7.9 dB: 45.5 − 7.9 = 37.6 dBm = 5.75 W; 17.06 − 7.9 = 9.16 dB; 36.5 dBm is 9 dB of back-off.
    expect(ladder.answer).toBe(
      'You need 7.9 dB of output back-off: 37.6 dBm, 5.8 W. Correction buys 9.2 dB. The 36.5 dBm asked for leaves 1.1 dB in hand.',
    );
  });

  test.each([
    [37.5, 'The 37.5 dBm asked for is marginal: 0.1 dB from the edge.'],
    [39, 'The 39.0 dBm asked for is 1.4 dB too much.'],
  ])('%d dBm: %s', (meanPowerDbm, sentence) => {
    const { answer } = completeStudy(studyOf({ kind: 'ladder' }, { operatingPoint: { meanPowerDbm } }), run);
    expect(answer).toContain(sentence);
  });

  test('an amplifier alone', () => {
    const { answer } = completeStudy(studyOf({ kind: 'ladder' }, { predistorter: null }), run);
    expect(answer).toBe(
      'You need 17.1 dB of output back-off: 28.4 dBm, 0.7 W. The 36.5 dBm asked for is 8.1 dB too much.',
    );
  });

  test('a limit out of reach: the nearest miss and what would help', () => {
    const short = { kind: 'ladder', outputBackoff: { fromDb: 5, toDb: 7, stepDb: 1 } } as const;
    // At 7 dB corrected reads 45 + 8·(7 − 7.9) = 37.8 dB.
    expect(completeStudy(studyOf(short), run).answer).toBe(
      'No output back-off up to 7.0 dB meets all limits with correction; the nearest misses ACLR adjacent ≥ 45 dB by 7.2 dB. More output back-off than this range allows, a lower crest factor or a higher order or more taps may help.',
    );
  });

  test('an amplifier that back-off hardly cleans is not told to back off', () => {
    const short = { kind: 'ladder', outputBackoff: { fromDb: 5, toDb: 8, stepDb: 1 } } as const;
    const flat = madeUpRunner((scenario) => ({
      ...straightAmplifier(scenario),
      uncorrectedAclrDb: 25.4,
      correctedAclrDb: 26 + 0.1 * backoffOf(scenario),
    }));
    expect(completeStudy(studyOf(short, { predistorter: null }), flat).answer).toBe(
      'No output back-off up to 8.0 dB meets all limits; the nearest misses ACLR adjacent ≥ 45 dB by 19.6 dB. The last dB of output back-off hardly changed it. Correction may help.',
    );
    expect(completeStudy(studyOf(short), flat).answer).toMatch(
      /The last dB of output back-off hardly changed it\. A lower crest factor, a higher order or more taps may help\.$/,
    );
  });

  test('met at the smallest back-off tried', () => {
    const high = { kind: 'ladder', outputBackoff: { fromDb: 9, toDb: 18, stepDb: 3 } } as const;
    expect(completeStudy(studyOf(high), run).answer).toBe(
      'Even 9.0 dB of output back-off, the least tried, meets all limits: 36.5 dBm, 4.5 W. Correction buys at least 8.1 dB. The 36.5 dBm asked for is marginal: 0.0 dB from the edge.',
    );
  });

  test('runs that cannot be judged at all leave a report without infinities, and say so', () => {
    const dead = completeStudy(
      studyOf({ kind: 'ladder' }),
      madeUpRunner(() => null),
    );
    expect(JSON.parse(JSON.stringify(dead))).toEqual(dead);
    expect(dead.answer).toBe('None of the runs gives the power asked of it; a larger back-off range would help.');
  });

  test('while runs are missing every answer says so', () => {
    for (const kind of ['ladder', 'shape', 'map', 'spread'] as const) {
      expect(evaluated(studyOf({ kind }), new Map()).report.answer).toMatch(/^So far: /);
    }
    expect(evaluated(studyOf({ kind: 'ladder' }), new Map()).report.answer).toBe('So far: no point is read yet.');
    expect(evaluated(studyOf({ kind: 'ask', wantedAntennaMeanDbm: 36.5 }), new Map()).report.answer).toBe(
      'So far: no way is settled yet.',
    );
  });
});

describe('spread', () => {
  /** Corrected ACLR 45.4 dB plus 0.1 dB times the judging seed's distance from the middle of the eight. */
  const bySeed = (centreDb: number, stepDb: number) =>
    madeUpRunner((scenario): MadeUpReadings => {
      const order = (scenario.seeds.judging - 1) / 3;
      return { ...straightAmplifier(scenario), correctedAclrDb: centreDb + stepDb * (order - 3.5) };
    });
  const spreadOf = (runner: ReturnType<typeof madeUpRunner>) =>
    completeStudy(studyOf({ kind: 'spread', seedCount: 8 }), runner);
  const corrected = (report: ReturnType<typeof spreadOf>): SpreadReading => {
    const found = resultOf(report, 'spread').readings.find((one) => one.of === 'corrected' && one.unit === 'dB');
    if (found === undefined) throw new Error('no reading');
    return found;
  };
  // Eight values one step apart: sample deviation step·√6 = 2.449 steps.
  test('mean, sample deviation and worst over seeds 1, 4, 7 …', () => {
    const reading = corrected(spreadOf(bySeed(45.4, 0.1)));
    expect(reading.mean).toBeCloseTo(45.4, 9);
    expect(reading.standardDeviation).toBeCloseTo(0.1 * Math.sqrt(6), 9);
    expect(reading.worst).toBeCloseTo(45.05, 9);
    expect(reading.marginDb).toBeCloseTo(0.4, 9);
  });

  test.each([
    [45.4, 0.1, 'marginal'],
    [45.6, 0.1, 'pass'],
    [44.7, 0.1, 'marginal'],
    [44.4, 0.1, 'fail'],
  ])('mean %d dB, steps of %d dB against 45 dB: %s', (mean, step, state) => {
    expect(corrected(spreadOf(bySeed(mean, step))).state).toBe(state);
  });

  test('EVM: the worst is the largest, the margin 20·log10(required/mean)', () => {
    const report = spreadOf(run);
    const evm = resultOf(report, 'spread').readings.find((one) => one.of === 'uncorrected' && one.unit === '%');
    const expected = Math.hypot(1.6, 30 * 10 ** (-9 / 14));
    expect(evm?.worst).toBeCloseTo(expected, 9);
    expect(evm?.marginDb).toBeCloseTo(20 * Math.log10(5 / expected), 9);
    expect(evm?.state).toBe('fail');
  });

  test('the sentence', () => {
    expect(spreadOf(bySeed(45.48, 0.1)).answer).toBe(
      'Over 8 seeds the corrected output is marginal: ACLR adjacent ≥ 45 dB reads 45.5 ± 0.24 dB, worst 45.13 dB.',
    );
  });

  test('seeds with which the power is out of reach are counted and give no reading', () => {
    const lost = spreadOf(
      madeUpRunner((scenario) => (scenario.seeds.judging === 4 ? null : straightAmplifier(scenario))),
    );
    expect(resultOf(lost, 'spread')).toMatchObject({ seedsRead: 7, seedsOutOfReach: 1 });
    expect(lost.answer).toContain('With 1 seed the wanted power is out of reach.');
  });

  test('yield: units of less saturated power run nearer to it; those out of reach fail', () => {
    // At 37.6 dBm the nominal amplifier stands at its edge of 7.9 dB: about half of the units have more power.
    const study = studyOf(
      { kind: 'spread', seedCount: 2, unitCount: 60, unitSpread: { saturatedPowerDb: 0.3 } },
      { operatingPoint: { meanPowerDbm: 37.59 } },
    );
    const report = completeStudy(
      study,
      madeUpRunner((scenario) => (backoffOf(scenario) < 7.4 ? null : straightAmplifier(scenario))),
    );
    const { yields, unitsRead, unitsOutOfReach } = resultOf(report, 'spread');
    expect(unitsRead).toBe(60);
    // Below −0.51 dB of 0.3 dB each: 4.5 % of the units; 60 units give 1 to 7.
    expect(unitsOutOfReach).toBeGreaterThan(0);
    const [one] = yields;
    expect(one).toMatchObject({ of: 'corrected', unitCount: 60 });
    // Half of 60 within four deviations of √15.
    expect(Math.abs((one?.passCount ?? 0) - 30)).toBeLessThan(16);
    expect(one?.lowPercent).toBeLessThan(one?.yieldPercent ?? 0);
    expect(report.answer).toMatch(/Of 60 units \d+ pass: yield \d+ %, between \d+ and \d+ % at 95 % confidence\.$/);
  });

  test('units of another model kind are refused with what to do', () => {
    const published = {
      waveform: { ...waveform, symbolCount: 6 },
      amplifier: { model: { kind: 'published', id: 'GaN_2GHz_GMP' }, saturatedPowerDbm: 43 },
    };
    const asked = (unitCount: number) => evaluateStudy(studyOf({ kind: 'spread', unitCount }, published), new Map());
    const refusal = asked(5);
    expect(refusal.kind === 'invalid' && refusal.issues).toEqual([
      {
        path: 'question.unitCount',
        rule: 'must be 0 for this amplifier: units are drawn from filter–nonlinearity–filter models only',
        value: '5 units of a published model',
        remedy: 'set unitCount to 0, or model the amplifier as "filterNonlinearityFilter"',
      },
    ]);
    expect(asked(0).kind).toBe('evaluated');
  });
});

describe('what a question needs', () => {
  test.each([
    [studyOf({ kind: 'ladder' }, { limits: [] }), 'scenario.limits'],
    [studyOf({ kind: 'map' }, { predistorter: null }), 'scenario.predistorter'],
    [
      studyOf(
        { kind: 'ask', wantedAntennaMeanDbm: 30 },
        { amplifier: { ...amplifierOf(), saturatedPowerDbm: null }, operatingPoint: { outputBackoffDb: 9 } },
      ),
      'scenario.amplifier.saturatedPowerDbm',
    ],
    [studyOf({ kind: 'ladder' }, { seeds: { judging: 1, training: 1 } }), 'scenario.seeds'],
    [{ scenario: 'no-such', question: { kind: 'ladder' } }, 'scenario'],
    [{ scenario: 'quarry-link', question: { kind: 'dance' } }, 'question.kind'],
  ])('case %#: the issue is at %s', (study, path) => {
    const evaluation = evaluateStudy(study, new Map());
    expect(evaluation.kind === 'invalid' && evaluation.issues.map((issue) => issue.path)).toEqual([path]);
  });
});
