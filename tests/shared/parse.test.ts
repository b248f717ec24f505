// From unknown data to a scenario, or to all its faults.
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { presets } from '../../shared/presets/index.ts';
import { RULE_END } from '../../shared/schema/field.ts';
import { formatIssue } from '../../shared/schema/issue.ts';
import { nearest, parseScenario, parseSoundCarriers, parseSoundSections } from '../../shared/schema/parse.ts';
import { parseAmplifierModel } from '../../shared/schema/parseAmplifierModel.ts';
import { parseStudy } from '../../shared/schema/parseStudy.ts';

const minimal = {
  waveform: { carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6 }] },
  amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1 }, saturatedPowerDbm: 40 },
  operatingPoint: { outputBackoffDb: 9 },
};

function issuesOf(input: unknown) {
  const parsed = parseScenario(input);
  if (parsed.kind === 'scenario') throw new Error('was taken');
  return parsed.issues;
}

describe('defaults', () => {
  test('a minimal scenario is filled in', () => {
    const parsed = parseScenario(minimal);
    if (parsed.kind === 'invalid') throw new Error(parsed.issues.map(formatIssue).join('\n'));
    const { waveform, amplifier, predistorter, seeds, measurement, limits } = parsed.scenario;
    expect(waveform.carriers[0]).toMatchObject({
      offsetHz: 0,
      standard: 'nr',
      subcarrierSpacingHz: 15e3,
      modulation: '64QAM',
    });
    expect(waveform).toMatchObject({ symbolCount: 24, sampleRateHz: 'auto', crestFactorReduction: null });
    expect(amplifier).toMatchObject({ gainDb: 0, outputLossDb: 0 });
    expect(predistorter).toMatchObject({ nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 3 });
    expect(predistorter?.learning).toMatchObject({ passCount: 3, ridge: 0, driveCeilingRatio: 2.2 });
    expect(seeds).toEqual({ judging: 1, training: 2, selection: 3 });
    expect(measurement.spectrum).toMatchObject({ window: 'blackmanHarris', segmentLength: 8192 });
    expect(limits).toEqual([]);
  });

  test('parsing what was parsed changes nothing, and the input stays as it was', () => {
    const input = structuredClone(presets['quarry-link']);
    const first = parseScenario(input);
    expect(input).toEqual(presets['quarry-link']);
    if (first.kind === 'invalid') throw new Error('must parse');
    expect(parseScenario(first.scenario)).toEqual(first);
  });
});

describe('faults', () => {
  test('all at once, each with its path', () => {
    const issues = issuesOf({
      ...minimal,
      title: 5,
      amplifier: { ...minimal.amplifier, saturatedPowerDbm: 95, gainDB: 3 },
      limits: [{ reading: 'aclr', requiredDb: 45 }, { reading: 'aclr' }],
    });
    expect(issues.map(({ path }) => path).sort()).toEqual([
      'amplifier.gainDB',
      'amplifier.saturatedPowerDbm',
      'limits.1.requiredDb',
      'title',
    ]);
  });

  test('an unknown field is told with its value and a near name', () => {
    const [issue] = issuesOf({ ...minimal, operatingPoint: { outputBackofDb: 9, meanPowerDbm: 30 } });
    expect(issue).toEqual({
      path: 'operatingPoint.outputBackofDb',
      rule: 'is not a field of operatingPoint',
      value: '9',
      remedy: 'remove it; did you mean outputBackoffDb?',
    });
  });

  test('all unknown fields of all objects', () => {
    const issues = issuesOf({
      ...minimal,
      colour: 'red',
      gain: 3,
      amplifier: { ...minimal.amplifier, gainDB: 3, lossDb: 1, power: { klass: 'B', volts: 28 } },
    });
    expect(issues.map(({ path }) => path).sort()).toEqual([
      'amplifier.gainDB',
      'amplifier.lossDb',
      'amplifier.power.klass',
      'amplifier.power.volts',
      'colour',
      'gain',
    ]);
    expect(issues.find(({ path }) => path === 'colour')?.rule).toBe('is not a field of a scenario');
    expect(issues.find(({ path }) => path === 'amplifier.power.klass')?.remedy).toBe('remove it; did you mean class?');
  });

  test('a field of another kind: the kind that lacks it is named, and the word itself is not suggested', () => {
    const waveform = { carriers: [{ kind: 'noise', occupiedBandwidthHz: 1e6, standard: 'lte' }] };
    expect(issuesOf({ ...minimal, waveform })).toEqual([
      {
        path: 'waveform.carriers.0.standard',
        rule: 'is not a field of carriers.0 of kind "noise"',
        value: '"lte"',
        remedy: 'remove it; only kind "ofdm" has it',
      },
    ]);
    const predistorter = { memoryDepth: 2, crossTerms: {} };
    expect(issuesOf({ ...minimal, predistorter })).toEqual([
      {
        path: 'predistorter.crossTerms',
        rule: 'is not a field of predistorter',
        value: '{}',
        remedy: 'remove it; only kind "generalizedMemoryPolynomial" has it',
      },
    ]);
    const limits = [{ reading: 'evm', requiredPercent: 5, channel: 'adjacent' }];
    expect(issuesOf({ ...minimal, limits })[0]).toMatchObject({
      path: 'limits.0.channel',
      rule: 'is not a field of limits.0 of reading "evm"',
      remedy: 'remove it; only reading "aclr" has it',
    });
  });

  test('only names of the same object are suggested', () => {
    // gainDb is a field of the amplifier, not of the operating point.
    expect(issuesOf({ ...minimal, operatingPoint: { outputBackoffDb: 9, gainDB: 3 } })[0]?.remedy).toBe('remove it');
  });

  test('a number out of range keeps its rule and remedy where a word may stand', () => {
    const amplifier = {
      model: {
        kind: 'memoryPolynomial',
        nonlinearOrders: [1],
        memoryDepth: 1,
        coefficients: [{ re: 1 }],
        driveRange: -1,
      },
      saturatedPowerDbm: 40,
    };
    const waveform = { ...minimal.waveform, spectralEdge: { kind: 'channelFilter', cutoffHz: 1 } };
    const predistorter = { learning: { trainingSampleCount: 1e9 } };
    expect(issuesOf({ ...minimal, amplifier, waveform, predistorter }).map(formatIssue)).toEqual([
      'waveform.spectralEdge.cutoffHz must be a number from 1000 to 1000000000 Hz, or "auto", got 1; give such a number or write "auto"',
      'amplifier.model.driveRange must be a number from 0.000001 to 1000000, or "none", got -1; give such a number or write "none"',
      'predistorter.learning.trainingSampleCount must be a whole number from 50 to 16777216, or "all", got 1000000000; give such a number or write "all"',
    ]);
  });

  test('a missing section is asked for', () => {
    const { operatingPoint: _left, ...rest } = minimal;
    expect(issuesOf(rest)).toEqual([
      { path: 'operatingPoint', rule: 'is required', value: 'nothing', remedy: 'add operatingPoint' },
    ]);
  });

  test('exactly one power', () => {
    const [issue] = issuesOf({ ...minimal, operatingPoint: { outputBackoffDb: 9, meanPowerW: 1 } });
    expect(issue?.rule).toBe('must give exactly one of outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm');
  });

  test('three different seeds', () => {
    const [issue] = issuesOf({ ...minimal, seeds: { judging: 4, training: 4 } });
    expect(issue).toMatchObject({ path: 'seeds', rule: 'must be three different numbers' });
  });

  test('orders that do not rise', () => {
    const [issue] = issuesOf({ ...minimal, predistorter: { nonlinearOrders: [1, 3, 3] } });
    expect(issue).toMatchObject({ path: 'predistorter.nonlinearOrders', rule: 'must be strictly rising' });
  });

  test.each([[null], [[]], ['scenario'], [7], [undefined]])('%j is no scenario, and is told so', (input) => {
    const issues = issuesOf(input);
    expect(issues.length).toBeGreaterThan(0);
    expect(issues[0]?.path).toBe('');
  });

  test('whatever is put into a field: a scenario or issues, never an exception; rules, values and remedies in words', async () => {
    const paths = ['title', 'waveform', 'amplifier', 'operatingPoint', 'predistorter', 'seeds', 'limits', 'extra'];
    await fc.assert(
      fc.property(fc.constantFrom(...paths), fc.jsonValue(), (path, value) => {
        const parsed = parseScenario({ ...minimal, [path]: value });
        if (parsed.kind === 'scenario') return;
        for (const issue of parsed.issues) {
          expect(issue.path.split('.')[0]).toBe(path);
          expect(issue.rule).not.toBe('');
          expect(issue.remedy).not.toBe('');
          expect(formatIssue(issue)).not.toMatch(/undefined|\[object/);
          expect(formatIssue(issue)).not.toContain(RULE_END);
        }
      }),
      { numRuns: 300, seed: 1 },
    );
  });
});

test('sound sections are found beside faulty ones', () => {
  const sections = parseSoundSections({ ...minimal, amplifier: { model: { kind: 'unknown' } } });
  expect(sections.amplifier).toBeNull();
  expect(sections.waveform?.symbolCount).toBe(24);
  expect(sections.operatingPoint).toEqual({ outputBackoffDb: 9 });
  expect(parseSoundSections(null).waveform).toBeNull();
});

test('sound carriers are found in their places beside faulty ones', () => {
  const carriers = parseSoundCarriers({
    waveform: { carriers: [{ kind: 'x' }, ...minimal.waveform.carriers], symbolCount: -1 },
  });
  expect(carriers[0]).toBeNull();
  expect(carriers[1]).toMatchObject({ kind: 'ofdm', channelBandwidthHz: 10e6, subcarrierSpacingHz: 15e3 });
  for (const input of [null, 3, {}, { waveform: null }, { waveform: { carriers: 2 } }]) {
    expect(parseSoundCarriers(input)).toEqual([]);
  }
});

test('unknown fields of a model file and of a study are told as theirs', () => {
  const model = parseAmplifierModel({ kind: 'published', id: 'GaN_2GHz', rate: 1, colour: 2 });
  expect(model.kind === 'invalid' && model.issues.map(({ path }) => path)).toEqual(['rate', 'colour']);
  const study = parseStudy({ scenario: 'quarry-link', question: { kind: 'ladder' }, seed: 1, colour: 2 });
  expect(study.kind === 'invalid' && study.issues.map(({ path, rule }) => `${path} ${rule}`)).toEqual([
    'seed is not a field of a study',
    'colour is not a field of a study',
  ]);
});

test('an amplifier model by itself has the paths of its own file', () => {
  expect(parseAmplifierModel({ kind: 'published', id: 'GaN_2GHz' })).toEqual({
    kind: 'model',
    model: { kind: 'published', id: 'GaN_2GHz' },
  });
  const faulty = parseAmplifierModel({ kind: 'filterNonlinearityFilter', kneeSharpness: 0 });
  if (faulty.kind === 'model') throw new Error('was taken');
  expect(faulty.issues.map(({ path }) => path)).toEqual(['kneeSharpness']);
});

test('the nearest word is within two edits, or none', () => {
  expect(nearest('quary-link', ['paper-bench', 'quarry-link'])).toBe('quarry-link');
  expect(nearest('symbolcount', ['symbolCount', 'sampleCount'])).toBe('symbolCount');
  expect(nearest('zzz', ['symbolCount'])).toBeNull();
});
