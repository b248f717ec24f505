// How a burst starts: the bonus scenario of the hand-out "ready-made scenarios" (S7, F26), computed there with an independent
// numpy program over six records; tolerance 0.5 points of EVM. One record's symbols scatter by up to 0.4 points, so that two
// means over six differ by 0.2 (one sigma), and of 17 figures one lies 0.6 off (symbol 2 after 5 ms): eight are averaged.
import { beforeAll, describe, expect, test } from 'vitest';
import { coldStart as preset } from '../../../shared/presets/coldStart.ts';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { BurstReading, BurstResult, StudyReport, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { evaluateStudy } from '../../../src/engine/index.ts';
import { settledAfter } from '../../../src/engine/study/burstStart.ts';
import { completeStudy, engineRunner, evaluated, resultOf } from './drive.ts';

type Burst = Omit<Extract<StudyInput['question'], { kind: 'burst' }>, 'kind'>;

const studyOf = (question: Burst = {}, scenario: unknown = preset): StudyInput => ({
  scenario,
  question: { kind: 'burst', ...question },
});
const RECORDS = 8;

describe('Cold Start over eight records', () => {
  let report: StudyReport;
  let result: BurstResult;
  beforeAll(() => {
    // The second pass already is within 0.1 dB of the third.
    const learning = { passCount: 2 };
    const scenario = { ...preset, predistorter: { ...preset.predistorter, learning } };
    report = completeStudy(studyOf({ recordCount: RECORDS }, scenario), engineRunner());
    result = resultOf(report, 'burst');
  }, 90_000);

  /** 0 is the warm burst. */
  const burst = (index: number) => (index === 0 ? result.warm! : result.bursts[index - 1]!);

  test('all records are read and corrected; a symbol of 71.35 µs, a burst of 30', () => {
    expect(result).toMatchObject({ recordsRead: RECORDS, recordsCorrected: RECORDS, recordsOutOfReach: 0 });
    expect(result.symbolDurationS).toBeCloseTo(71.35e-6, 7);
    expect(result.warm?.netPercent).toHaveLength(30);
    expect(report.warnings).toEqual([]);
  });

  test.each([
    ['warm', 0, [0.8]],
    ['0.2 ms off', 1, [2.7, 2.3, 1.9, 1.3]],
    ['1 ms off', 2, [7.3, 5.7, 4.6, 2.4]],
    ['5 ms off', 3, [11.9, 8.1, 6.2, 2.9]],
    ['50 ms off', 4, [12.7, 8.5, 6.3, 3.0]],
  ] as const)('%s: EVM of symbols 0, 1, 2 and 5 without what shaping spent', (_name, index, expected) => {
    expected.forEach((percent, i) => {
      const symbol = [0, 1, 2, 5][i]!;
      expect(Math.abs(burst(index).netPercent[symbol]! - percent), `symbol ${symbol}`).toBeLessThan(0.5);
    });
  });
  test('by symbol 20 it has settled: 0.9 %', () => {
    expect(Math.abs(burst(4).netPercent[20]! - 0.9)).toBeLessThan(0.5);
  });
  test.each([
    [1, 0.14],
    [2, 0.39],
    [3, 0.61],
    [4, 0.66],
  ])('burst %d: the first symbol is %d dB above the warm one', (index, droopDb) => {
    // The hand-out prints two digits and gives no tolerance; the means scatter by 0.01 dB.
    expect(Math.abs(burst(index).droopDb - droopDb)).toBeLessThan(0.02);
  });

  test('ACLR over the whole burst hides it, that of the first two symbols does not', () => {
    const [warm, cold] = [burst(0), burst(4)];
    // Warm −51.5 and after 50 ms −50.1 to −50.3 over the burst, 1.5 dB; −45 over the first two symbols, 1 dB. Over the
    // burst ours are 1.0 to 1.4 dB better, warm and cold alike; the loss between them is the hand-out's.
    expect(Math.abs(cold.aclrDb! - 50.3)).toBeLessThan(1.5);
    expect(Math.abs(cold.firstSymbolsAclrDb! - 45)).toBeLessThan(1);
    expect(Math.abs(warm.aclrDb! - 51.5)).toBeLessThan(1.5);
    expect(Math.abs(warm.aclrDb! - cold.aclrDb! - 1.4)).toBeLessThan(0.5);
    // The hand-out's warm burst has −50.7 over its first two symbols and −51.5 over all. Warm states hardly move, so
    // that two symbols read as all do; −50.7 does not hold here.
    expect(Math.abs(warm.firstSymbolsAclrDb! - warm.aclrDb!)).toBeLessThan(0.7);
  });

  test('the answer has the first symbol, the warm one, the settling and both ACLR figures', () => {
    expect(report.complete).toBe(true);
    const cold = burst(4);
    const dB = (value: number | null) => `${value?.toFixed(1)} dB`;
    expect(report.answer.replace(/\u2009/g, ' ')).toBe(
      `After 50 ms of silence the first symbol reads ${cold.netPercent[0]?.toFixed(1)} % EVM, ` +
        `${burst(0).netPercent[0]?.toFixed(1)} % when warm, and ` +
        `it takes ${cold.settledAfterSymbols} symbols (${(1e6 * cold.settledAfterS!).toFixed(0)} µs) to stay under 2 %. ` +
        `ACLR over the whole burst hides it: ${dB(cold.aclrDb)} against ${dB(cold.firstSymbolsAclrDb)} in the first two symbols.`,
    );
    // 3 % at symbol 5 and 2 % some symbols later: heat fades by 16 % a symbol.
    expect(cold.settledAfterSymbols).toBeGreaterThanOrEqual(6);
    expect(cold.settledAfterSymbols).toBeLessThanOrEqual(9);
    expect(cold.settledAfterS).toBeCloseTo(cold.settledAfterSymbols! * result.symbolDurationS!, 12);
  });
});

describe('averages, on made-up records', () => {
  const symbols = [3, 2.2, 1.9, 2.1, 1];
  const reading = (silenceS: number | null, netPercent: readonly number[], aclrDb: number | null): BurstReading => ({
    silenceS,
    netPercent,
    droopDb: 0.5,
    aclrDb,
    firstSymbolsAclrDb: 40,
  });
  /** Record i reads i tenths of a point more on every symbol. */
  const madeUp = (i: number): TaskOutcome => ({
    kind: 'bursts',
    bursts: {
      symbolDurationS: 1e-4,
      isCorrected: i < 2,
      warm: reading(null, [0.5, 0.5, 0.5, 0.5, 0.5], 50),
      afterSilence: [
        reading(
          1e-3,
          symbols.map((percent) => percent + i / 10),
          i === 2 ? null : 41,
        ),
      ],
    },
  });
  const study = studyOf({ silencesS: [1e-3], recordCount: 3 });

  function answered(outcomes: readonly TaskOutcome[]) {
    const { pending } = evaluated(study, new Map());
    return evaluated(study, new Map(outcomes.map((outcome, i) => [pending[i]!.key, outcome])));
  }

  test('mean and sample deviation of every symbol; no figure where one record lacks it', () => {
    const { report, pending } = answered([madeUp(0), madeUp(1), madeUp(2)]);
    const [cold] = resultOf(report, 'burst').bursts;
    expect(pending).toEqual([]);
    cold?.netPercent.forEach((percent, symbol) => {
      expect(percent).toBeCloseTo(symbols[symbol]! + 0.1, 12);
      // Of 0, 0.1 and 0.2.
      expect(cold.netSpreadPercent?.[symbol]).toBeCloseTo(0.1, 12);
    });
    expect(cold).toMatchObject({ droopDb: 0.5, aclrDb: null, firstSymbolsAclrDb: 40 });
    // 2.0 % at symbol 2 would do; symbol 3 is over again, so that the fifth is the first to count.
    expect(cold).toMatchObject({ settledAfterSymbols: 4, settledAfterS: 4e-4 });
    expect(report.warnings).toEqual([
      {
        code: 'burst-uncorrected',
        message: expect.stringContaining('With 1 of 3 records the correction was not used'),
      },
    ]);
  });

  test('so far: one record has no spread, none is said to be none', () => {
    const { report } = answered([madeUp(0)]);
    expect(report).toMatchObject({ complete: false, doneCount: 1, neededCount: 3 });
    expect(report.answer).toMatch(/^So far: After 1\sms of silence the first symbol reads 3\.0\s%/);
    expect(resultOf(report, 'burst').bursts[0]?.netSpreadPercent).toBeNull();
    expect(answered([]).report.answer).toBe('So far: no record is read yet.');
  });

  test('a record out of reach counts for nothing and is told', () => {
    const { report } = answered([madeUp(0), { kind: 'invalid', issues: [] }, madeUp(1)]);
    expect(resultOf(report, 'burst')).toMatchObject({ recordsRead: 2, recordsOutOfReach: 1 });
    expect(report.answer).toContain('With 1 of 3 records the wanted power is out of reach.');
  });

  test('a warm burst that does not keep the threshold itself is a doubt with its figures', () => {
    const warm = { ...study, question: { ...study.question, evmWithinPercent: 0.5 } } as StudyInput;
    const { pending } = evaluated(study, new Map());
    const known = new Map(pending.map(({ key }, i) => [key, madeUp(i % 2)]));
    const { report } = evaluated(warm, known);
    expect(report.warnings.map(({ code }) => code)).toEqual(['burst-threshold-in-noise']);
    expect(report.warnings[0]?.message).toContain('up to 0.50 %: 5 of its 5 symbols');
    expect(report.answer).toContain('within the burst of 500\u2009µs it does not come to stay under 0.5\u2009%.');
  });
});

test('settled: from the first symbol on after which none reaches the threshold', () => {
  expect(settledAfter([1, 1, 1], 2)).toBe(0);
  expect(settledAfter([3, 1, 2, 1], 2)).toBe(3);
  expect(settledAfter([3, 1, 2], 2)).toBeNull();
});

describe('what is run', () => {
  test('one task a record, each with its own seeds and all silences, shortest first and each once', () => {
    const { pending } = evaluated(studyOf({ silencesS: [5e-3, 1e-3, 5e-3], recordCount: 3 }), new Map());
    expect(pending.map(({ silencesS }) => silencesS)).toEqual([
      [1e-3, 5e-3],
      [1e-3, 5e-3],
      [1e-3, 5e-3],
    ]);
    const seeds = pending.flatMap(({ scenario }) => Object.values(scenario.seeds));
    expect(new Set(seeds).size).toBe(9);
  });

  test('other silences are other runs; another threshold is not, nor are other limits', () => {
    const keys = (question: Burst, scenario: unknown = preset) =>
      evaluated(studyOf({ recordCount: 1, ...question }, scenario), new Map()).pending.map(({ key }) => key);
    expect(keys({ silencesS: [1e-3] })).not.toEqual(keys({ silencesS: [2e-3] }));
    expect(keys({ evmWithinPercent: 5 })).toEqual(keys({}));
    expect(keys({}, { ...preset, limits: [] })).toEqual(keys({}));
  });
});

describe('what is refused or doubted', () => {
  const pathsOf = (input: unknown) => {
    const outcome = evaluateStudy(input, new Map());
    return outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
  };
  const codesOf = (scenario: unknown) => evaluated(studyOf({}, scenario), new Map()).report.warnings;

  test('no slow states, or none with a depth; a burst pattern; a carrier without symbols', () => {
    const { slowStates: _none, ...amplifier } = preset.amplifier;
    expect(pathsOf(studyOf({}, { ...preset, amplifier }))).toEqual(['scenario.amplifier.slowStates']);
    const flat = { ...preset, amplifier: { ...amplifier, slowStates: {} } };
    expect(pathsOf(studyOf({}, flat))).toEqual(['scenario.amplifier.slowStates']);
    const pulsed = { ...preset.waveform, burst: { periodS: 1e-4, dutyRatio: 0.5 } };
    expect(pathsOf(studyOf({}, { ...preset, waveform: pulsed }))).toEqual(['scenario.waveform.burst']);
    expect(pathsOf(studyOf({ silencesS: [-1] }))).toEqual(['question.silencesS.0']);
    expect(pathsOf(studyOf({ silencesS: [] }))).toEqual(['question.silencesS']);
    expect(pathsOf(studyOf({ recordCount: 21 }))).toEqual(['question.recordCount']);
  });

  test('a burst shorter than three thermal time constants', () => {
    const warnings = codesOf({ ...preset, waveform: { ...preset.waveform, symbolCount: 14 } });
    expect(warnings.map(({ code }) => code)).toEqual(['burst-shorter-than-heat']);
    // 14 × 71.354 µs = 999 µs; 1 − exp(−999/400) = 91.8 %.
    expect(warnings[0]?.message.replace(/\u2009/g, ' ')).toContain('of 999 µs');
    expect(warnings[0]?.message).toContain('heat has gone 92 % of its way');
  });

  test('traps faster than two steps of 64 samples', () => {
    const slowStates = { ...preset.amplifier.slowStates, trapAttackS: 1e-6 };
    const warnings = codesOf({ ...preset, amplifier: { ...preset.amplifier, slowStates } });
    expect(warnings.map(({ code }) => code)).toEqual(['slow-states-coarse']);
    // 64 / 122.88 MHz = 520.8 ns.
    expect(warnings[0]?.message.replace(/\u2009/g, ' ')).toContain(
      '64 samples, 521 ns; the fastest of them takes 1 µs',
    );
  });
});
