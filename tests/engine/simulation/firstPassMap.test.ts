// The quick first pass of the order map against a separate fit of each structure, and against the first learning pass of
// a full run: independent paths to the same figures.

import { describe, expect, test } from 'vitest';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import { applyBasis } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { firstPassMap } from '../../../src/engine/index.ts';
import { fitPostInverse, residualDb } from '../../../src/engine/linearization/postInverse.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { type FirstPassCell, firstObservation } from '../../../src/engine/simulation/firstPassMap.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { structureOf } from '../../../src/engine/simulation/structure.ts';
import { benchScenario } from './referenceBench.ts';

const QUESTION: MapQuestion = {
  kind: 'map',
  highestOrders: [1, 3, 5, 7, 9],
  memoryDepths: [1, 2, 3, 4, 5],
  structures: ['memoryPolynomial', 'generalizedMemoryPolynomial'],
  clockHz: null,
  wantedMarginDb: 0,
};
const memory = createRunMemory();
const SHORT = { symbolCount: 3 };

function cellsOf(scenario: unknown, question: MapQuestion = QUESTION): readonly FirstPassCell[] {
  const outcome = firstPassMap(scenario, question, memory);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.cells;
}

function observationOf(scenario: unknown) {
  const checked = checkScenario(scenario);
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const input = firstObservation(checked.setup, memory);
  if ('rule' in input) throw new Error(input.rule);
  return input;
}

const LEARNINGS: [string, { trainingSampleCount?: number; ridge?: number }][] = [
  ['whole record', {}],
  ['a window of it', { trainingSampleCount: 6000 }],
  ['a ridge', { ridge: 1e-6 }],
];

describe.each(LEARNINGS)('%s', (_, learning) => {
  const scenario = benchScenario({ waveform: SHORT, learning });
  const cells = cellsOf(scenario);
  const input = observationOf(scenario);
  const whole = { startSample: 0, sampleCount: input.target.re.length };

  test('every sub-block solution makes the signal of a separate fit to 1e-9', () => {
    expect(cells).toHaveLength(25 + 16);
    for (const { settings, coefficients } of cells) {
      const structure = structureOf(settings);
      const alone = fitPostInverse({
        structure: polynomialRegressors(structure),
        ...input,
        ridge: learning.ridge ?? 0,
        solver: 'cholesky',
      });
      if (alone === null || coefficients === null) throw new Error('no fit');
      const separate = applyBasis(structure, alone.coefficients, input.observation);
      const nested = applyBasis(structure, coefficients, input.observation);
      // −180 dB of power is 1e-9 of amplitude.
      expect(residualDb(separate, nested, whole)).toBeLessThan(-180);
    }
  });

  test('residual and condition number are those of the separate fit', () => {
    for (const { settings, residualDb: residual, conditionNumber } of cells) {
      const structure = structureOf(settings);
      const alone = fitPostInverse({
        structure: polynomialRegressors(structure),
        ...input,
        ridge: learning.ridge ?? 0,
        solver: 'cholesky',
      });
      // The quadratic form loses 1e-15 of the target's power: 1e-6 dB at −90 dB.
      expect(Math.abs((residual ?? 0) - (alone?.residualDb ?? 0))).toBeLessThan(1e-6);
      // The smallest eigenvalue of a condition number of 1e5 is known to 1e-15·1e10.
      expect(Math.abs((conditionNumber ?? 0) / (alone?.conditionNumber ?? 1) - 1)).toBeLessThan(1e-4);
    }
  });
});

test('more orders, more taps or cross terms never raise the in-sample residual: the structures are nested', () => {
  const cells = cellsOf(benchScenario({ waveform: SHORT }));
  const at = (structure: FirstPassCell['structure'], order: number, depth: number) =>
    cells.find((cell) => cell.structure === structure && cell.highestOrder === order && cell.memoryDepth === depth)
      ?.residualDb ?? null;
  for (const { structure, highestOrder, memoryDepth, residualDb: residual } of cells) {
    const larger = [
      at(structure, highestOrder + 2, memoryDepth),
      at(structure, highestOrder, memoryDepth + 1),
      at('generalizedMemoryPolynomial', highestOrder, memoryDepth),
    ];
    for (const value of larger) if (value !== null) expect(value).toBeLessThan((residual ?? 0) + 1e-9);
  }
  expect(at('generalizedMemoryPolynomial', 3, 1)).toBeNull();
  expect(at('generalizedMemoryPolynomial', 1, 2)).toBeNull();
});

test.each([
  [{}, 'memoryPolynomial'],
  [{ kind: 'generalizedMemoryPolynomial', crossTerms: { nonlinearOrders: [3, 5] } }, 'generalizedMemoryPolynomial'],
] as const)('a cell is the first learning pass of a run with its structure: %j', (kind, name) => {
  const base = benchScenario({ waveform: SHORT });
  const predistorter = { ...(base['predistorter'] as object), ...kind };
  const outcome = runScenario({ ...base, predistorter }, { memory });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const pass = outcome.report.learning?.passes[0];
  const cell = cellsOf(base).find((one) => one.structure === name && one.highestOrder === 9 && one.memoryDepth === 3);
  expect(cell?.residualDb).toBeCloseTo(pass?.fitResidualDb ?? 0, 6);
  expect(cell?.conditionNumber).toBeCloseTo(pass?.conditionNumber ?? 0, 1);
  expect(cell?.cost.coefficientCount).toBe(outcome.report.learning?.coefficientCount);
});

test('a base with cross terms of its own lends them to the map, up to the order of each cell', () => {
  const base = benchScenario({ waveform: SHORT });
  const crossTerms = { nonlinearOrders: [3, 7], laggingEnvelopeDelays: 2, leadingEnvelopeDelays: 0 };
  const predistorter = { kind: 'generalizedMemoryPolynomial', crossTerms };
  const cells = cellsOf({ ...base, predistorter }, { ...QUESTION, highestOrders: [5, 7, 8, 7], memoryDepths: [2] });
  const counts = cells.map(({ structure, highestOrder, cost }) => [structure, highestOrder, cost.coefficientCount]);
  expect(counts).toEqual([
    ['memoryPolynomial', 5, 6],
    ['memoryPolynomial', 7, 8],
    ['generalizedMemoryPolynomial', 5, 6 + 4],
    ['generalizedMemoryPolynomial', 7, 8 + 8],
  ]);
});

describe('faults come back as issues', () => {
  test('no predistorter', () => {
    const outcome = firstPassMap(benchScenario({ withoutCorrection: true }), QUESTION);
    expect(outcome.kind === 'invalid' && outcome.issues.map(({ path }) => path)).toEqual(['predistorter']);
  });

  test('a power out of reach', () => {
    const scenario = benchScenario({ waveform: SHORT, outputBackoffDb: 0.1 }) as ScenarioInput;
    const outcome = firstPassMap(scenario, QUESTION, memory);
    expect(outcome.kind === 'invalid' && outcome.issues.map(({ path }) => path)).toEqual(['operatingPoint']);
  });

  test('a scenario at fault', () => {
    const outcome = firstPassMap({ title: 3 }, QUESTION);
    expect(outcome.kind).toBe('invalid');
  });
});
