// The settings of the correction offer every field of its schema, and nothing a part that is left out would hold.
import { describe, expect, test } from 'vitest';
import { parseScenario } from '../../shared/schema/parse.ts';
import { restructured, startPredistorter } from '../../shared/schema/predistorterStarts.ts';
import type { PredistorterSettings, Scenario } from '../../shared/schema/scenario.ts';
import type { SettingsContext } from '../../src/app/elements/settings/context.ts';
import { observationSettings, predistorterSettings } from '../../src/app/elements/settings/furtherSettings.ts';
import { readPredistorter } from '../../src/app/elements/settings/storedSettings.ts';
import { depthsFor, ordersUpTo } from '../../src/app/elements/settings/structureSettings.ts';
import { describeField } from '../../src/app/fields/describeField.ts';
import { observationSentence, predistorterSentence } from '../../src/app/format/sentences.ts';
import { faultyBlocks } from '../../src/app/state/faultyBlocks.ts';
import { preset } from './smallReport.ts';

function scenarioOf(predistorter: object | null, transmitter: object | null = null): Scenario {
  const outcome = parseScenario({ ...preset('quarry-link'), predistorter, transmitter });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.scenario;
}

function contextOf(draft: Scenario): SettingsContext {
  return {
    draft,
    resolved: null,
    issues: [],
    report: null,
    amplifier: null,
    placed: null,
    records: [],
    carrier: null,
  };
}

/** Every text that a template is filled with, however deep. */
function fillings(template: unknown): string[] {
  if (typeof template === 'string') return [template];
  if (Array.isArray(template)) return template.flatMap(fillings);
  if (typeof template !== 'object' || template === null || !('values' in template)) return [];
  return fillings((template as { values: unknown }).values);
}

/** Dotted paths of the controls in the two blocks. */
function offered(draft: Scenario): Set<string> {
  const context = contextOf(draft);
  const texts = [...fillings(predistorterSettings(context)), ...fillings(observationSettings(context))];
  return new Set(texts.filter((text) => /^(predistorter|transmitter)\./.test(text)));
}

/** Paths of everything a part of a scenario holds; lists are one field. */
function leaves(data: unknown, path: string): string[] {
  if (typeof data !== 'object' || data === null || Array.isArray(data)) return [path];
  return Object.entries(data).flatMap(([key, value]) => leaves(value, `${path}.${key}`));
}

const OBSERVATION = {
  bandwidthHz: 20e6,
  sampleRateHz: 61.44e6,
  snrDb: 40,
  converterBitCount: 10,
  gainRippleDb: 0.5,
  imageDb: -40,
  carrierLeakDbc: -40,
};
const TRANSMITTER = {
  converterBitCount: 12,
  noiseDbcPerHz: -140,
  imageDb: -40,
  carrierLeakDbc: -40,
  phaseNoiseDeg: 0.5,
  clockJitterS: 1e-12,
};

/** Chosen from a list of their own or by switch: no control of the common kind stands for them. */
const BY_CHOICE = /\.(kind|method|stored)$|\.learning\.(adaptation|forwardModel)$/;

const DRAFTS: Readonly<Record<string, object>> = {
  'memory polynomial, one depth, indirect': { kind: 'memoryPolynomial' },
  'memory polynomial, depths by order, direct': {
    kind: 'memoryPolynomial',
    nonlinearOrders: [1, 3, 5],
    memoryDepthByOrder: [3, 2, 1],
    learning: { method: 'direct' },
  },
  'generalized, forward model': {
    kind: 'generalizedMemoryPolynomial',
    learning: { method: 'forwardModel', forwardModel: {} },
  },
  'table, recursive least squares': { kind: 'envelopeTable', learning: { adaptation: { kind: 'rls' } } },
  'table, least mean squares': { kind: 'envelopeTable', learning: { adaptation: { kind: 'lms' } } },
};

/** Fields that say nothing beside what else is set, and are not offered there. */
function isIdle(path: string, { kind, learning, ...rest }: PredistorterSettings): boolean {
  const name = path.replace(/^predistorter\./, '');
  const hasDepths = 'memoryDepthByOrder' in rest && rest.memoryDepthByOrder !== null;
  if (name === 'memoryDepth') return hasDepths;
  if (name === 'memoryDepthByOrder') return !hasDepths;
  if (name === 'learning.dampingRatio') return learning.method !== 'direct';
  if (name === 'learning.bestDrivePassCount') return learning.bestDrivePassCount === 0;
  if (name === 'learning.solver') return learning.adaptation !== null;
  if (name === 'learning.adaptation.stepRatio') return learning.adaptation?.kind !== 'lms';
  if (name === 'learning.adaptation.forgettingRatio') return learning.adaptation?.kind !== 'rls';
  if (name === 'learning.basis') return kind === 'envelopeTable';
  return false;
}

describe('settings of the correction', () => {
  test.each(Object.entries(DRAFTS))('%s: every field that says something is offered', (_name, predistorter) => {
    const numbers = { coefficientBitCount: 12, dataBitCount: 12, tableEntryCount: 64 };
    const draft = scenarioOf({ ...predistorter, observation: OBSERVATION, numbers }, TRANSMITTER);
    const paths = offered(draft);
    const wanted = [...leaves(draft.predistorter, 'predistorter'), ...leaves(draft.transmitter, 'transmitter')];
    const missing = wanted.filter(
      (path) => !paths.has(path) && !BY_CHOICE.test(path) && !isIdle(path, draft.predistorter!),
    );
    expect(missing).toEqual([]);
    expect(wanted.filter((path) => paths.has(path)).length).toBeGreaterThan(30);
    // Every control stands for a field that the schema describes.
    for (const path of paths) expect(describeField(path, draft).label, path).not.toBe('');
  });

  test('the best possible drive has its number of passes once it is asked for', () => {
    const draft = scenarioOf({ kind: 'memoryPolynomial', learning: { bestDrivePassCount: 10 } });
    expect(offered(draft)).toContain('predistorter.learning.bestDrivePassCount');
  });

  test('effects that are left out have no further fields', () => {
    const paths = offered(scenarioOf({ kind: 'memoryPolynomial', observation: {} }, {}));
    expect(paths).toContain('predistorter.observation.converterBitCount');
    expect(paths).not.toContain('predistorter.observation.converterHeadroomDb');
    expect(paths).not.toContain('predistorter.observation.transitionRatio');
    expect(paths).not.toContain('transmitter.phaseNoiseBandwidthHz');
    expect(offered(scenarioOf(null))).toEqual(new Set());
  });
});

describe('stored coefficients', () => {
  const stored = { coefficients: [{ re: 1, im: 0 }], sampleRateHz: 122.88e6, driveScaleRatio: 1 };
  const section = { kind: 'memoryPolynomial', nonlinearOrders: [1], memoryDepth: 1, stored };

  test('every field of theirs is offered', () => {
    const draft = scenarioOf(section);
    const missing = leaves(draft.predistorter?.stored, 'predistorter.stored').filter(
      (path) => !offered(draft).has(path),
    );
    expect(missing).toEqual([]);
  });

  test('a file gives the predistorter it holds; what is none is left to the engine to refuse', () => {
    expect(readPredistorter(JSON.stringify(section))).toMatchObject({ nonlinearOrders: [1], stored });
    expect(readPredistorter('{"a": 1}')).toEqual({ a: 1 });
    expect(readPredistorter('no JSON')).toBe('no JSON');
    for (const predistorter of ['no JSON', { a: 1 }, { kind: 'envelopeTable' }]) {
      const draft = { ...scenarioOf(null), predistorter } as unknown as Scenario;
      expect(offered(draft).has('predistorter.memoryDepth')).toBe(false);
    }
  });
});

describe('changing the structure', () => {
  const from = startPredistorter('memoryPolynomial', {
    nonlinearOrders: [1, 3, 5],
    memoryDepth: 2,
    learning: { passCount: 7 },
    observation: { snrDb: 30 },
  });

  test('learning, observation and depth stay; orders stay among polynomials', () => {
    const table = restructured(from, 'envelopeTable');
    expect(table).toMatchObject({ kind: 'envelopeTable', memoryDepth: 2, entryCount: 32, interpolation: 'linear' });
    expect(table.learning.passCount).toBe(7);
    expect(table.observation?.snrDb).toBe(30);
    const general = restructured(from, 'generalizedMemoryPolynomial');
    expect(general).toMatchObject({ nonlinearOrders: [1, 3, 5], crossTerms: { laggingEnvelopeDelays: 1 } });
    expect(restructured(table, 'memoryPolynomial')).toMatchObject({ nonlinearOrders: [1, 3, 5, 7, 9] });
  });

  test('coefficients stored for one structure go with it', () => {
    const stored = { coefficients: [{ re: 1, im: 0 }], sampleRateHz: 1e6, driveScaleRatio: 1 };
    const kept = startPredistorter('memoryPolynomial', { stored });
    expect(kept.stored).not.toBeNull();
    expect(restructured(kept, 'envelopeTable').stored).toBeNull();
  });

  test('each order keeps its depth; a new one takes the last', () => {
    expect(ordersUpTo(7, true)).toEqual([1, 3, 5, 7]);
    expect(ordersUpTo(4, false)).toEqual([1, 2, 3, 4]);
    expect(depthsFor([1, 3, 5, 7], [4, 2], 3)).toEqual([4, 2, 2, 2]);
    expect(depthsFor([1], [4, 2], 3)).toEqual([4]);
    expect(depthsFor([1, 3], [], 3)).toEqual([3, 3]);
  });
});

describe('the chain’s words', () => {
  test('predistorter and observation say what they are set to', () => {
    expect(predistorterSentence(scenarioOf({ kind: 'envelopeTable', entryCount: 16 }))).toBe('table of 16; memoryless');
    const byOrder = { kind: 'memoryPolynomial', nonlinearOrders: [1, 3, 5], memoryDepthByOrder: [3, 2, 1] };
    expect(predistorterSentence(scenarioOf(byOrder))).toBe('orders 1 to 5, odd; memory 3, 2, 1');
    expect(observationSentence(scenarioOf(null))).toBe('not needed');
    expect(observationSentence(scenarioOf({ kind: 'memoryPolynomial' }))).toBe('ideal');
    expect(observationSentence(scenarioOf({ kind: 'memoryPolynomial', observation: {} }))).toBe(
      'receiver without errors',
    );
    const real = { kind: 'memoryPolynomial', observation: { bandwidthHz: 20e6, snrDb: 40, converterBitCount: 10 } };
    expect(observationSentence(scenarioOf(real)).replace(/\s/g, ' ')).toBe('20 MHz wide, SNR 40 dB, 10 bits');
  });

  test('a fault of the observation stands at its block, one of the transmitter at the predistorter', () => {
    const issue = (path: string) => ({ path, rule: '', value: '', remedy: '' });
    expect([...faultyBlocks([issue('predistorter.observation.snrDb')])]).toEqual(['observation']);
    expect([...faultyBlocks([issue('transmitter.imageDb')])]).toEqual(['predistorter']);
    expect([...faultyBlocks([issue('predistorter.memoryDepth')])]).toEqual(['predistorter']);
  });
});
