// A generalized memory polynomial as predistorter: the report alone describes it completely, and scenarios without a
// kind stay what they were.

import { describe, expect, test } from 'vitest';
import { structureText } from '../../../shared/format/predistorterText.ts';
import { USUAL_LEARNING } from '../../../shared/schema/predistorter.ts';
import { generalizedMemoryPolynomialStructure } from '../../../src/engine/basis/generalizedMemoryPolynomial.ts';
import { applyBasis } from '../../../src/engine/basis/memoryPolynomial.ts';
import { meanPower, scale } from '../../../src/engine/dsp/complex.ts';
import { checkScenario, makeWaveform, runScenario } from '../../../src/engine/index.ts';
import { holdAmplitude } from '../../../src/engine/linearization/idealLimiter.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { benchScenario } from './referenceBench.ts';

const crossTerms = { nonlinearOrders: [3, 5], laggingEnvelopeDelays: 2, leadingEnvelopeDelays: 1, memoryDepth: 2 };

function withPredistorter(predistorter: object, symbolCount = 3): Record<string, unknown> {
  return { ...benchScenario({ waveform: { symbolCount } }), predistorter };
}

function run(scenario: unknown) {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

function issuePaths(predistorter: object): string[] {
  const outcome = checkScenario(withPredistorter(predistorter));
  return outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
}

describe('report', () => {
  const scenario = withPredistorter({
    kind: 'generalizedMemoryPolynomial',
    nonlinearOrders: [1, 3, 5, 7],
    memoryDepth: 3,
    crossTerms,
  });
  const report = run(scenario);
  const described = report.predistorter;
  if (described === null || described.crossTerms === null) throw new Error('no cross terms described');
  const { nonlinearOrders, memoryDepth, coefficients, driveScale, driveCeilingRatio } = described;

  test('names kind, orders, depth and cross terms; one coefficient a term', () => {
    expect(described.kind).toBe('generalizedMemoryPolynomial');
    expect(described.crossTerms).toEqual(crossTerms);
    expect(coefficients.re).toHaveLength(4 * 3 + 2 * 2 * 3);
    expect(report.learning?.coefficientCount).toBe(24);
  });

  test('rebuilt from the report alone, it sends the drive and gives the output that the report reads', () => {
    const made = makeWaveform(scenario, 'judging');
    const checked = checkScenario(scenario);
    if (made.kind !== 'waveform' || checked.kind !== 'resolved') throw new Error('scenario at fault');
    const structure = generalizedMemoryPolynomialStructure(nonlinearOrders, memoryDepth, crossTerms);
    const c = { re: Float64Array.from(coefficients.re), im: Float64Array.from(coefficients.im) };
    const { signal } = made.waveform;
    const drive = holdAmplitude(applyBasis(structure, c, scale(signal, driveScale)), driveCeilingRatio);
    const output = checked.setup.amplifier.amplify(drive);
    expect(measureNmseDb(signal, output)).toBeCloseTo(report.corrected?.nmseDb ?? 0, 9);
    expect(-10 * Math.log10(meanPower(output))).toBeCloseTo(report.corrected?.outputBackoffDb ?? 0, 9);
  });

  test('the correction is used and helps', () => {
    expect(report.correctionUsed).toBe(true);
    expect(report.corrected?.nmseDb).toBeLessThan(report.uncorrected.nmseDb - 10);
  });
});

test('without envelope delays it is the memory polynomial', () => {
  const none = { laggingEnvelopeDelays: 0, leadingEnvelopeDelays: 0 };
  const own = { nonlinearOrders: [1, 3, 5], memoryDepth: 2 };
  const generalized = run(withPredistorter({ kind: 'generalizedMemoryPolynomial', ...own, crossTerms: none }));
  const plain = run(withPredistorter(own));
  expect(generalized.corrected).toEqual(plain.corrected);
  expect(plain.predistorter?.kind).toBe('memoryPolynomial');
  expect(plain.predistorter?.crossTerms).toBeNull();
});

describe('scenario', () => {
  test('a predistorter without a kind is a memory polynomial, one without cross terms gets the default ones', () => {
    const settingsOf = (predistorter: object) => {
      const outcome = checkScenario(withPredistorter(predistorter));
      if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
      return outcome.scenario.predistorter;
    };
    expect(settingsOf({})?.kind).toBe('memoryPolynomial');
    expect(settingsOf({ kind: 'generalizedMemoryPolynomial' })).toMatchObject({
      memoryDepth: 3,
      crossTerms: { nonlinearOrders: [3, 5], laggingEnvelopeDelays: 1, leadingEnvelopeDelays: 1, memoryDepth: 'same' },
    });
  });

  test('faults are named', () => {
    const kind = 'generalizedMemoryPolynomial';
    expect(issuePaths({ kind: 'table' })).toEqual(['predistorter.kind']);
    expect(issuePaths({ crossTerms })).toEqual(['predistorter.crossTerms']);
    expect(issuePaths({ kind, crossTerms: { nonlinearOrders: [1, 3] } })).toEqual([
      'predistorter.crossTerms.nonlinearOrders.0',
    ]);
    expect(issuePaths({ kind, crossTerms: { leadingEnvelopeDelays: -1 } })).toEqual([
      'predistorter.crossTerms.leadingEnvelopeDelays',
    ]);
    // 15 + 12 coefficients need 54 samples or more; 15 alone would do with 50.
    expect(issuePaths({ kind, learning: { trainingSampleCount: 50 } })).toEqual([
      'predistorter.learning.trainingSampleCount',
    ]);
  });

  test('in words', () => {
    const common = {
      nonlinearOrders: [1, 3],
      memoryDepth: 2,
      memoryDepthByOrder: null,
      learning: USUAL_LEARNING,
      observation: null,
      numbers: null,
      stored: null,
    };
    expect(structureText({ kind: 'memoryPolynomial', ...common })).toBe('orders 1, 3, memory depth 2');
    expect(structureText({ kind: 'generalizedMemoryPolynomial', ...common, crossTerms })).toBe(
      'orders 1, 3, memory depth 2; cross terms of orders 3, 5, memory depth 2 with 2 lagging and 1 leading envelope delay',
    );
  });
});
