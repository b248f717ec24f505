// The questions without a browser: when runs follow by themselves, what an answer says, what is taken away and back.
import { createHash } from 'node:crypto';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { worthText } from '../../shared/format/worthText.ts';
import { DEFAULT_PRESET } from '../../shared/presets/index.ts';
import type { LadderResult, LimitCrossing, StudyReport, TaskOutcome } from '../../shared/schema/studyReport.ts';
import { ladderModel, worthModel } from '../../src/app/charts/ladderModels.ts';
import { Archive, outcomeLines } from '../../src/app/state/outcomeLines.ts';
import { presetScenario } from '../../src/app/state/scenarioController.ts';
import { Store } from '../../src/app/state/store.ts';
import { initialStudyState, StudyController } from '../../src/app/state/studyController.ts';
import type { StudyClient, StudyEvaluation } from '../../src/worker/studyClient.ts';

const scenario = presetScenario(DEFAULT_PRESET);

/** A client that answers as told and notes what is asked of it. */
function setUp() {
  const client = {
    evaluations: [] as StudyEvaluation[],
    calls: [] as string[],
    evaluate: async () => client.evaluations.at(-1),
    run: async (_study: unknown, onUpdate: (update: unknown) => void) => {
      client.calls.push('run');
      const evaluation = client.evaluations.at(-1)!;
      onUpdate({ evaluation, progress: { doneCount: 0, neededCount: 0, timeLeftS: null } });
      return 'complete';
    },
    stop: () => client.calls.push('stop'),
  };
  const store = new Store(initialStudyState(scenario));
  const controller = new StudyController(store, client as unknown as StudyClient, scenario);
  const answer = (doneCount: number, neededCount: number, text: string) => {
    const report = { doneCount, neededCount, answer: text } as StudyReport;
    const pending = Array.from({ length: neededCount - doneCount }, (_, i) => ({ key: String(i) })) as never;
    client.evaluations.push({ kind: 'evaluated', report, pending });
  };
  return { client, store, controller, answer };
}

describe('when runs follow', () => {
  beforeEach(() => {
    vi.useFakeTimers();
    return () => vi.useRealTimers();
  });

  test('opening a question runs it', async () => {
    const { client, store, controller, answer } = setUp();
    answer(3, 3, 'done');
    controller.open('map');
    await vi.runAllTimersAsync();
    expect(client.calls).toEqual(['run']);
    expect(store.state).toMatchObject({ kind: 'map', isRunning: false, isStale: false });
    expect(store.state.reports.map?.answer).toBe('done');
  });

  test('a change of which some runs are known is followed by the missing ones, once, when it has settled', async () => {
    const { client, controller, answer } = setUp();
    answer(10, 12, 'so far');
    for (let i = 0; i < 5; i++) {
      controller.setScenario({ ...scenario });
      await vi.advanceTimersByTimeAsync(100);
    }
    expect(client.calls).toEqual([]);
    await vi.advanceTimersByTimeAsync(400);
    expect(client.calls).toEqual(['run']);
  });

  test('a scenario of which nothing is known stops the runs, keeps the old answer and waits', async () => {
    const { client, store, controller, answer } = setUp();
    answer(3, 3, 'the old one');
    controller.open('ladder');
    await vi.runAllTimersAsync();
    answer(0, 14, 'nothing yet');
    controller.setScenario({ ...scenario });
    await vi.runAllTimersAsync();
    expect(client.calls).toEqual(['run', 'stop']);
    expect(store.state).toMatchObject({ isStale: true, progress: { doneCount: 0, neededCount: 14 } });
    expect(store.state.reports.ladder?.answer).toBe('the old one');
    controller.run();
    await vi.runAllTimersAsync();
    expect(client.calls).toEqual(['run', 'stop', 'run']);
  });

  test('a question that changes goes on even when nothing is known, unless it was stopped', async () => {
    const { client, store, controller, answer } = setUp();
    answer(0, 3, 'nothing yet');
    controller.ask({ outputBackoff: { fromDb: 6, toDb: 9, stepDb: 1 } });
    await vi.runAllTimersAsync();
    expect(client.calls).toEqual(['run']);
    expect(store.state.questions.ladder.outputBackoff.fromDb).toBe(6);
    controller.stop();
    controller.ask({ outputBackoff: { fromDb: 7, toDb: 9, stepDb: 1 } });
    await vi.runAllTimersAsync();
    expect(client.calls).toEqual(['run', 'stop']);
  });

  test('from a change until its evaluation the answer is awaited, and what is given away waits with it', async () => {
    const { client, store, controller, answer } = setUp();
    answer(8, 8, 'for eight');
    controller.open('spread');
    await vi.runAllTimersAsync();
    let arrive = () => {};
    client.evaluate = () => new Promise((resolve) => (arrive = () => resolve(client.evaluations.at(-1))));
    answer(3, 3, 'for three');
    controller.ask({ seedCount: 3 });
    expect(store.state).toMatchObject({ isAwaited: true, reports: { spread: { answer: 'for eight' } } });
    const taken: unknown[] = [];
    void controller.evaluated().then((report) => taken.push(report?.answer));
    await vi.runAllTimersAsync();
    expect(taken).toEqual([]);
    // An answer to a question that has changed again is not the one that is awaited.
    const late = arrive;
    controller.ask({ seedCount: 4 });
    late();
    await vi.runAllTimersAsync();
    expect(taken).toEqual([]);
    expect(store.state.isAwaited).toBe(true);
    answer(4, 4, 'for four');
    arrive();
    await vi.runAllTimersAsync();
    expect(taken).toEqual(['for four']);
    expect(store.state).toMatchObject({
      isAwaited: false,
      isRunning: false,
      reports: { spread: { answer: 'for four' } },
    });
  });

  test('stopped before the first evaluation: it is made all the same, and no run follows', async () => {
    const { client, store, controller, answer } = setUp();
    answer(0, 8, 'nothing yet');
    client.run = async () => {
      client.calls.push('run');
      return 'stopped';
    };
    controller.open('spread');
    controller.stop();
    await vi.runAllTimersAsync();
    expect(store.state).toMatchObject({
      isAwaited: false,
      isRunning: false,
      progress: { doneCount: 0, neededCount: 8 },
    });
    expect(client.calls.filter((call) => call === 'run')).toHaveLength(1);
  });

  test('what the engine refuses is told and stops the runs', async () => {
    const { client, store, controller } = setUp();
    const issue = { path: 'question.seedCount', rule: 'must be a whole number', value: '0.5', remedy: 'write 2' };
    client.evaluations.push({ kind: 'invalid', issues: [issue] });
    controller.ask({ stepDb: -1 });
    await vi.runAllTimersAsync();
    expect(store.state).toMatchObject({ issues: [issue], isAwaited: false });
    expect(await controller.evaluated()).toBeNull();
    expect(client.calls).toEqual(['stop']);
  });
});

test('the wanted power starts at the bench’s own', () => {
  expect(initialStudyState(scenario).questions.ask.wantedAntennaMeanDbm).toBe(36.5);
  const point = { ...scenario, operatingPoint: { outputBackoffDb: 8 } };
  expect(initialStudyState(point).questions.ask.wantedAntennaMeanDbm).toBe(45.5 - 9);
});

const crossing = (
  of: LimitCrossing['of'],
  outputBackoffDb: number,
  watts: number,
  limit = 'all limits',
): LimitCrossing => ({
  of,
  limit,
  outputBackoffDb,
  meanPowerDbm: 45.5 - outputBackoffDb,
  meanPowerW: watts,
  antennaMeanDbm: 45.5 - outputBackoffDb,
  dcPowerW: 10,
  heatW: 5,
  bracketed: true,
  isEstimate: false,
});

function ladderOf(change: Partial<LadderResult>): LadderResult {
  return {
    kind: 'ladder',
    points: [],
    crossings: [],
    unmet: [],
    gain: null,
    correctionFailsBelowDb: null,
    correctionCost: {
      coefficientCount: 12,
      realMultipliesPerSample: 14,
      tableCount: 3,
      bytesPerSet: 48,
      floatingPointOperationsPerSample: 105,
    },
    power: null,
    ...change,
  };
}

const gain = {
  backoffDb: 9.1,
  meanPowerW: 4.9,
  dcPowerCorrectedW: 15.8,
  dcPowerUncorrectedW: 45,
  heatSavedW: 29.2,
  largerSaturatedPowerDbm: 54.6,
};

describe('whether correction is worth it, in words', () => {
  const both = [crossing('corrected', 8, 5.6), crossing('uncorrected', 17.1, 0.7)];

  test.each<[string, LadderResult, RegExp]>([
    [
      'a gap',
      ladderOf({ crossings: both, gain }),
      /^Correction buys 9\.1 dB: 5\.6 W of clean power in place of 0\.7 W\. .*54\.6 dBm.*45\.0 W of DC instead of 15\.8 W \(ideal class\)\.$/,
    ],
    [
      'a gap still sought',
      ladderOf({ crossings: [{ ...both[0]!, isEstimate: true }, both[1]!], gain }),
      /buys about 9\.1 dB/,
    ],
    ['no gap', ladderOf({ crossings: both, gain: { ...gain, backoffDb: 0.01 } }), /^No: /],
    [
      'only corrected',
      ladderOf({ crossings: [both[0]!], unmet: [{ of: 'uncorrected', limit: 'all limits', bestMarginDb: -1 }] }),
      /^Yes: only with correction/,
    ],
    [
      'not even corrected',
      ladderOf({ unmet: [{ of: 'corrected', limit: 'all limits', bestMarginDb: -1 }] }),
      /^No: even corrected/,
    ],
    ['no predistorter', ladderOf({ correctionCost: null }), /no predistorter/],
  ])('%s', (_title, result, text) => {
    expect(worthText(result, true)).toMatch(text);
  });

  test('before the end it says so', () => {
    expect(worthText(ladderOf({}), false)).toBe('So far: 0 points read, the gap is not found yet.');
  });
});

describe('the ladder’s pictures', () => {
  const limits = scenario.limits;
  const aclr = 'ACLR adjacent ≥ 45 dB';
  const powers = {
    dcPowerW: 10,
    efficiencyPercent: 30,
    heatW: 7,
    junctionTemperatureC: null,
    peakPowerDbm: 43,
    peakPowerW: 20,
    drivePeakDbm: 8,
    drivePeakW: 6e-3,
  };
  const result = ladderOf({
    points: [6, 8].map((outputBackoffDb) => ({
      outputBackoffDb,
      meanPowerDbm: 45.5 - outputBackoffDb,
      correctionUsed: true,
      subjects: [
        { of: 'uncorrected', worstAclrDb: 30, evmPercent: 6, worstMarginDb: -15, ...powers },
        { of: 'corrected', worstAclrDb: null, evmPercent: 2, worstMarginDb: null, ...powers },
      ],
    })),
    crossings: [crossing('corrected', 7.5, 6, aclr), crossing('corrected', 7.5, 6), crossing('uncorrected', 17, 0.7)],
    gain,
  });
  const shown = { result, scenario, range: { fromDb: 5, toDb: 18 }, limits };

  test('readings that are missing are left out, the axis is whole, limits carry the path of their number', () => {
    const model = ladderModel(shown, 'aclr');
    expect(model.curves.map(({ name, x }) => [name, [...(x as number[])]])).toEqual([['Uncorrected', [6, 8]]]);
    expect([model.x.minimum, model.x.maximum]).toEqual([5, 18]);
    expect(model.limits.map(({ path, level, forbidden }) => [path, level, forbidden])).toEqual([
      ['limits.0.requiredDb', 45, 'below'],
    ]);
    expect(model.marks.map(({ x, y, label }) => [x, y, label])).toEqual([[7.5, 45, '7.5\u2009dB · 38.0\u2009dBm']]);
    expect(model.regions.map(({ fromX, toX }) => [fromX, toX])).toEqual([[7.5, 18]]);
    expect(ladderModel(shown, 'evm').limits.map(({ path, forbidden }) => [path, forbidden])).toEqual([
      ['limits.1.requiredPercent', 'above'],
    ]);
  });

  test('the gap runs from the uncorrected back-off to the corrected one', () => {
    expect(worthModel(shown).arrows).toEqual([{ fromX: 17, toX: 7.5, y: 45, label: '9.1\u2009dB bought' }]);
  });
});

describe('outcomes as lines', () => {
  const outcome: TaskOutcome = { kind: 'readings', readings: { nmseDb: -40 } as never, spectrum: null };
  const lines = outcomeLines(new Map([['0.1.0 {"a":1}', outcome]]), '0.1.0');

  test('a line is keyed by the SHA-256 of what was run, as in the command line’s store', () => {
    const key = createHash('sha256').update('0.1.0 {"a":1}').digest('hex');
    expect(JSON.parse(lines)).toEqual({ key, version: '0.1.0', outcome });
  });

  test('they are found again; damaged lines and other versions are counted and passed over', () => {
    const archive = new Archive();
    const other = lines.replace('"0.1.0"', '"0.0.9"');
    expect(archive.take(`${lines}${other}{"key":"cut`, '0.1.0')).toEqual({ taken: 1, damaged: 1, other: 1 });
    expect(archive.find('0.1.0 {"a":1}')).toEqual(outcome);
    expect(archive.find('0.1.0 {"a":2}')).toBeNull();
  });
});
