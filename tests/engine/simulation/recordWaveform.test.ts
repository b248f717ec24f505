// Records from outside as waveforms: fed back, cut, joined, mixed, refused (pitfalls P10 and P12 for the join).
import { describe, expect, test } from 'vitest';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { shiftByCycles } from '../../../src/engine/dsp/frequencyShift.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { resamplePeriodic } from '../../../src/engine/dsp/resample.ts';
import type { SuppliedRecord } from '../../../src/engine/dsp/waveformTypes.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { coarseScenario } from '../../../src/engine/simulation/coarseScenario.ts';
import { makeWaveform } from '../../../src/engine/simulation/makeWaveform.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { largestDifference, leakage, randomSignal } from '../waveform/build.ts';
import { benchScenario, runBench, worstAdjacentDb } from './referenceBench.ts';

const LTE = { sampleRateHz: 122.88e6, bandwidthHz: 9e6, spacingHz: 10e6 };

function made(waveform: Record<string, unknown> = {}): ComplexSignal {
  const outcome = makeWaveform(benchScenario({ waveform }));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.waveform.signal;
}

const supply = (signal: ComplexSignal, sampleRateHz = 122.88e6, sha512: string | null = null): SuppliedRecord => ({
  name: 'yard',
  signal,
  sampleRateHz,
  sha512,
});
const storeOf = (record: SuppliedRecord) => new Map([[record.name, record]]);

const carrier = { kind: 'record', recordName: 'yard', partCount: 1 } as const;
const recorded = (change: Record<string, unknown> = {}, carriers: unknown[] = [{ ...carrier, ...change }], more = {}) =>
  ({
    ...benchScenario({ withoutCorrection: true }),
    waveform: { carriers, crestFactorReduction: null, ...more },
    limits: [],
  }) as unknown as ScenarioInput;

function take(scenario: unknown, record: SuppliedRecord, seed: 'judging' | 'training' | 'selection' = 'judging') {
  const outcome = makeWaveform(scenario, seed, storeOf(record));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome;
}

function issuesOf(scenario: unknown, record: SuppliedRecord | null = supply(made())) {
  const checked = checkScenario(scenario, record === null ? new Map() : storeOf(record));
  return checked.kind === 'invalid' ? checked.issues : [];
}

const link = made();

describe('Quarry Link’s own record fed back', () => {
  const record = supply(scale(link, 0.1), 122.88e6, 'ab'.repeat(64));

  test('gives the same uncorrected ACLR, and an error instead of EVM', () => {
    const outcome = runScenario(recorded(), { memory: createRunMemory(storeOf(record)) });
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const { report } = outcome;
    const original = runBench({ withoutCorrection: true });
    expect(Math.abs(worstAdjacentDb(report.uncorrected) - worstAdjacentDb(original.uncorrected))).toBeLessThan(0.05);
    expect(report.uncorrected.meanPowerDbm).toBeCloseTo(original.uncorrected.meanPowerDbm ?? 0, 2);
    expect(report.uncorrected.evm).toBeNull();
    expect(report.uncorrected.nmseDb).toBeCloseTo(original.uncorrected.nmseDb, 2);
    expect(report.warnings.map(({ code }) => code)).not.toContain('record-join');
  });

  test('band, channel, rate and digest are found and written out, and resolve to themselves', () => {
    const checked = checkScenario(recorded(), storeOf(record));
    if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
    const { waveform } = checked.scenario;
    expect(waveform.sampleRateHz).toBe(122.88e6);
    expect(waveform.carriers[0]).toMatchObject({
      occupiedBandwidthHz: 9e6,
      channelBandwidthHz: 10e6,
      sha512: 'ab'.repeat(64),
    });
    const again = checkScenario(checked.scenario, storeOf(record));
    expect(again.kind === 'resolved' && again.scenario.waveform).toEqual(waveform);
  });

  test('samples are the record’s at unit power, any seed the same', () => {
    const { waveform } = take(recorded(), record);
    expect(largestDifference(waveform.signal, link)).toBeLessThan(1e-12);
    expect(take(recorded(), record, 'training').waveform.signal).toEqual(waveform.signal);
    expect(waveform.data).toEqual([null]);
  });

  test('a short form is the record in full', () => {
    const coarse = checkScenario(coarseScenario(recorded(), storeOf(record)), storeOf(record));
    expect(coarse.kind === 'resolved' && coarse.setup.waveform.sampleCount).toBe(link.re.length);
  });

  test('a lower rate of the file is raised by a whole factor, exactly', () => {
    const slow = supply(resamplePeriodic(link, link.re.length / 4), 30.72e6);
    const { waveform } = take(recorded(), slow);
    expect(waveform.sampleRateHz).toBe(61.44e6);
    const { waveform: fast } = take(recorded({}, undefined, { sampleRateHz: 122.88e6 }), slow);
    expect(fast.signal.re.length).toBe(link.re.length);
    // The filter's skirt beyond ±15.36 MHz is gone, 100 dB down.
    expect(largestDifference(fast.signal, link)).toBeLessThan(1e-4);
  });

  test('a band off the record’s centre moves to the carrier’s offset', () => {
    const binHz = 122.88e6 / link.re.length;
    const cycles = Math.round(14e6 / binHz);
    const { waveform, notes } = take(recorded({ offsetHz: -5e6 }), supply(shiftByCycles(link, cycles)));
    expect(notes.map(({ code }) => code)).toContain('record-centred');
    const powers = leakage(waveform.signal, { ...LTE, centreHz: waveform.carriers[0].offsetHz });
    for (const db of powers) expect(db).toBeGreaterThan(80);
  });
});

describe('cuts', () => {
  // 24 symbols in three parts of eight: the symbols' filters overlap, so no part is a period.
  const record = supply(link);
  const parts = { partCount: 3 };

  test('an uncured cut is told with numbers and limits ACLR near 50 dB; a fade lifts it past 60', () => {
    const uncured = take(recorded({ ...parts, joinRatio: 0 }), record);
    const [warning] = uncured.notes.filter(({ code }) => code === 'record-join');
    expect(warning.message).toMatch(/step is [\d.]+ times .* spectrum at the join [\d.e+]+ times/);
    expect(warning.message).toContain('limits ACLR');
    const worstUncured = Math.min(...leakage(uncured.waveform.signal, LTE));
    const cured = take(recorded(parts), record);
    const [note] = cured.notes.filter(({ code }) => code === 'record-join');
    expect(note.message).toMatch(/fades over \d+ samples/);
    expect(note.message).not.toContain('limits ACLR');
    const worstCured = Math.min(...leakage(cured.waveform.signal, LTE));
    expect(worstUncured).toBeLessThan(60);
    expect(worstCured).toBeGreaterThan(worstUncured + 20);
    expect(worstCured).toBeGreaterThan(60);
  });

  test('seed s takes part s modulo the count', () => {
    const at = (seed: 'judging' | 'training' | 'selection') => take(recorded(parts), record, seed).waveform.signal;
    // Judging 1, training 2, selection 3: parts 1, 2, 0. Past the fade the samples are the record's, times one factor.
    const [judging, training, selection] = [at('judging'), at('training'), at('selection')];
    for (const [signal, start] of [
      [judging, 70144],
      [training, 2 * 70144],
      [selection, 0],
    ] as const) {
      const factor = signal.re[2000] / link.re[start + 2000];
      expect(factor).toBeCloseTo(1, 1);
      for (const n of [5000, 40000, 68000]) expect(signal.im[n]).toBeCloseTo(factor * link.im[start + n], 10);
    }
  });

  test('a predistorter learns on one part and is judged on another', () => {
    const scenario = { ...recorded(parts), predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3 } };
    const outcome = runScenario(scenario, { memory: createRunMemory(storeOf(record)) });
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const { corrected, uncorrected } = outcome.report;
    expect(worstAdjacentDb(corrected) - worstAdjacentDb(uncorrected)).toBeGreaterThan(15);
  });

  test('equal parts are refused, one part is a warning', () => {
    const predistorter = { nonlinearOrders: [1, 3, 5], memoryDepth: 3 };
    const with_ = (partCount: number, seeds: Record<string, number>) => ({
      ...recorded({ partCount }),
      predistorter,
      seeds,
    });
    const same = issuesOf(with_(3, { judging: 1, training: 2, selection: 4 }));
    expect(same.map(({ path }) => path)).toEqual(['seeds']);
    expect(same[0].value).toBe('training 2, selection 1, judging 1');
    expect(issuesOf(with_(2, {})).map(({ path }) => path)).toEqual(['waveform.carriers.0.partCount']);
    const one = checkScenario(with_(1, {}), storeOf(record));
    expect(one.kind === 'resolved' && one.warnings.map(({ code }) => code)).toContain('record-judged-on-training');
  });
});

describe('rates', () => {
  test('a cut is shortened to whole samples at a rate set by hand', () => {
    const length = Math.round((link.re.length * 20) / 122.88);
    const slow = supply(resamplePeriodic(link, length), 20e6);
    const { waveform } = take(recorded({ partCount: 2 }, undefined, { sampleRateHz: 122.88e6 }), slow);
    // 122.88 over 20 is 768 over 125.
    expect(waveform.signal.re.length % 768).toBe(0);
    expect(Math.min(...leakage(waveform.signal, LTE))).toBeGreaterThan(60);
  });

  test('a cut at 20 Msps runs an amplifier model of 122.88 Msps without a rate set by hand', () => {
    const slow = supply(resamplePeriodic(link, Math.round((link.re.length * 20) / 122.88)), 20e6);
    const checked = checkScenario(recorded({ partCount: 2 }), storeOf(slow));
    expect(checked.kind === 'resolved' && checked.scenario.waveform.sampleRateHz).toBe(60e6);
  });

  test('noise that fills its rate has no join to tell; its length gives way to the rate', () => {
    const noise = supply(randomSignal(200_001, createRandom(3)), 10e6);
    const { waveform, notes } = take(recorded({ partCount: 3 }, undefined, { sampleRateHz: 122.88e6 }), noise);
    expect(waveform.signal.re.length % 1536).toBe(0);
    expect(notes.map(({ code }) => code)).not.toContain('record-join');
    // 200001 in three parts of 66667, shortened to 66625, a multiple of 125.
    expect(waveform.signal.re.length).toBe((66_625 * 1536) / 125);
  });
});

describe('mixtures', () => {
  const record = supply(link);

  test('stands beside noise and tones at its own level', () => {
    const carriers = [
      { ...carrier, offsetHz: -15e6 },
      { kind: 'noise', occupiedBandwidthHz: 9e6, offsetHz: 15e6, relativePowerDb: -10 },
      { kind: 'twoTone', toneSpacingHz: 1e6, relativePowerDb: -20 },
    ];
    const { waveform } = take(recorded({}, carriers), record);
    const own = leakage(waveform.signal, {
      sampleRateHz: waveform.sampleRateHz,
      bandwidthHz: 9.4e6,
      spacingHz: 30e6,
      centreHz: -15e6,
    });
    expect(Math.abs(own[1] - 10)).toBeLessThan(0.1);
  });

  test('crest-factor reduction and bursts act on it', () => {
    const { waveform } = take(
      recorded({}, undefined, {
        crestFactorReduction: { targetPaprDb: 7 },
        burst: { periodS: 428e-6, dutyRatio: 0.5 },
      }),
      supply(made({ crestFactorReduction: null })),
    );
    expect(waveform.burst?.periodCount).toBe(4);
    expect(waveform.signal).not.toBe(waveform.beforeReduction);
  });
});

describe('what cannot be used, with what to do', () => {
  test.each<[string, unknown, SuppliedRecord | null, string, RegExp]>([
    ['a record that is not there', recorded(), null, 'waveform.carriers.0.recordName', /SigMF or CSV/],
    [
      'another record of the same name',
      recorded({ sha512: 'cd'.repeat(64) }),
      supply(link, 122.88e6, 'ab'.repeat(64)),
      'waveform.carriers.0.sha512',
      /set sha512 to null/,
    ],
    ['zeros', recorded(), supply(zeros(4096)), 'waveform.carriers.0.recordName', /another record/],
    [
      'a constant',
      recorded(),
      supply({ re: new Float64Array(4096).fill(0.3), im: new Float64Array(4096).fill(-0.1) }),
      'waveform.carriers.0.recordName',
      /another record/,
    ],
    [
      'samples that are not numbers',
      recorded(),
      supply({ re: new Float64Array(4096).fill(Number.NaN), im: new Float64Array(4096) }),
      'waveform.carriers.0.recordName',
      /repair/,
    ],
    [
      'an absurd rate',
      recorded({}, undefined, { sampleRateHz: 122.88e6 }),
      supply(link, 1e3),
      'waveform.sampleRateHz',
      /metadata/,
    ],
    ['a rate of zero', recorded(), supply(link, 0), 'waveform.carriers.0.recordName', /rate/],
    [
      'too many parts',
      recorded({ partCount: 64 }),
      supply(made({ symbolCount: 2 })),
      'waveform.carriers.0.partCount',
      /at most 17/,
    ],
    [
      'a rate without a whole period',
      recorded({}, undefined, { sampleRateHz: 100.0001e6 }),
      supply(link),
      'waveform.sampleRateHz',
      /auto/,
    ],
    [
      'OFDM beside it',
      recorded({}, [carrier, { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6, offsetHz: 20e6 }]),
      supply(link),
      'waveform.carriers.0.kind',
      /single carriers/,
    ],
  ])('%s', (_, scenario, record, path, remedy) => {
    const issues = issuesOf(scenario, record);
    expect(issues.map((issue) => issue.path)).toContain(path);
    expect(issues.find((issue) => issue.path === path)?.remedy).toMatch(remedy);
  });
});
