// Structures and bases in whole runs, and settings of the predistorter that make no sense.
import { describe, expect, test } from 'vitest';
import { structureText } from '../../../shared/format/predistorterText.ts';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { costOf, tableCostOf } from '../../../src/engine/linearization/cost.ts';
import { predistorterIssues } from '../../../src/engine/simulation/checkPredistorter.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { structureCostOf } from '../../../src/engine/simulation/structure.ts';

const memory = createRunMemory();
const waveform = { ...quarryLink.waveform, symbolCount: 4 };

function run(predistorter: object) {
  const outcome = runScenario({ ...quarryLink, waveform, predistorter }, { memory });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

function worst(report: ReturnType<typeof run>): number {
  const adjacent = report.corrected?.aclr.filter(({ channel }) => channel === 'adjacent') ?? [];
  return Math.min(...adjacent.map(({ aclrDb }) => aclrDb));
}

const learning = { passCount: 2 };
const seventh = run({ nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning });

describe('structures in a run, against 7th order × 3 taps of the same passes', () => {
  // Source: F23, a table of 32 straight lines reads as the polynomial it stands for, 52.9 dB; ± 1.5 dB as there, or
  // better. A table holds its last gain where a polynomial goes on, so it takes more passes.
  const passes = { passCount: 4 };
  test('a table a tap', () => {
    const report = run({ kind: 'envelopeTable', entryCount: 32, memoryDepth: 3, learning: passes });
    expect(worst(report)).toBeGreaterThan(52.9 - 1.5);
    expect(report.predistorter).toMatchObject({ kind: 'envelopeTable', entryCount: 32, interpolation: 'linear' });
    expect(report.predistorter?.coefficients.re.length).toBe(96);
    expect(report.learning?.conditionNumber ?? Infinity).toBeLessThan(1e4);
  });

  // Source: F17's column of one tap, 46.4 dB for 7th order, ± 1.5 dB: no more can be had without memory.
  test('one table without taps is a memoryless predistorter', () => {
    const report = run({ kind: 'envelopeTable', entryCount: 32, memoryDepth: 1, learning: passes });
    expect(Math.abs(worst(report) - 46.4)).toBeLessThan(1.5);
  });

  // Source: equal depths for all orders are one depth for all; a shorter one has fewer coefficients.
  test('a memory depth for each order', () => {
    const base = { nonlinearOrders: [1, 3, 5, 7], learning };
    const equal = run({ ...base, memoryDepth: 1, memoryDepthByOrder: [3, 3, 3, 3] });
    expect(worst(equal)).toBe(worst(seventh));
    const falling = run({ ...base, memoryDepthByOrder: [3, 3, 2, 1] });
    expect(falling.learning?.coefficientCount).toBe(9);
    expect(falling.predistorter).toMatchObject({ memoryDepth: 3, memoryDepthByOrder: [3, 3, 2, 1] });
    expect(worst(falling)).toBeLessThan(worst(seventh) + 1);
  });

  // Source: least squares over the same functions; readings agree to 1e-6 dB, the condition number is the basis' own.
  test.each(['gaussian', 'uniform'])('basis %s: same figures, lower condition number', (basis) => {
    const report = run({ nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning: { ...learning, basis } });
    expect(worst(report)).toBeCloseTo(worst(seventh), 4);
    expect(report.learning?.conditionNumber ?? Infinity).toBeLessThan(0.6 * (seventh.learning?.conditionNumber ?? 0));
  });
});

describe('cost', () => {
  // Source: F24; a straight line adds two real products a table. 12 bits: 2·12·12/8 bytes.
  test('words and tables', () => {
    const structure = memoryPolynomialStructure([1, 3, 5, 7], 3);
    const numbers = { coefficientBitCount: 12, tableEntryCount: 'none', tableInterpolation: 'linear' } as const;
    expect(costOf(structure)).toMatchObject({ realMultipliesPerSample: 14, bytesPerSet: 48 });
    expect(costOf(structure, numbers).bytesPerSet).toBe(36);
    expect(costOf(structure, { ...numbers, coefficientBitCount: 16, tableEntryCount: 32 })).toMatchObject({
      realMultipliesPerSample: 20,
      bytesPerSet: 384,
    });
    expect(tableCostOf({ entryCount: 32, memoryDepth: 3, interpolation: 'nearest' })).toMatchObject({
      coefficientCount: 96,
      realMultipliesPerSample: 14,
      tableCount: 3,
      bytesPerSet: 384,
    });
    const { predistorter } = seventh.scenario;
    expect(predistorter && structureCostOf(predistorter).bytesPerSet).toBe(48);
  });
});

describe('nonsense is refused with rule and remedy', () => {
  test.each<[string, object, string, RegExp]>([
    ['even orders only', { nonlinearOrders: [2, 4] }, 'predistorter.nonlinearOrders', /odd order/],
    ['negative ridge', { learning: { ridge: -1 } }, 'predistorter.learning.ridge', /from 0/],
    [
      'ceiling below the mean',
      { learning: { driveCeilingRatio: 0.2 } },
      'predistorter.learning.driveCeilingRatio',
      /mean drive/,
    ],
    ['zero passes', { learning: { passCount: 0 } }, 'predistorter.learning.passCount', /from 1/],
    [
      'more coefficients than samples',
      { learning: { trainingSampleCount: 50 }, nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 12 },
      'predistorter.learning.trainingSampleCount',
      /60 coefficients/,
    ],
    [
      'depths for other orders',
      { nonlinearOrders: [1, 3], memoryDepthByOrder: [3] },
      'predistorter.memoryDepthByOrder',
      /each of the 2/,
    ],
    [
      'a table larger than a fit',
      { kind: 'envelopeTable', entryCount: 512, memoryDepth: 2 },
      'predistorter.entryCount',
      /512 coefficients/,
    ],
    [
      'a basis for a table',
      { kind: 'envelopeTable', learning: { basis: 'gaussian' } },
      'predistorter.learning.basis',
      /polynomials/,
    ],
    [
      'a table of a table',
      { kind: 'envelopeTable', numbers: { tableEntryCount: 16 } },
      'predistorter.numbers.tableEntryCount',
      /already/,
    ],
  ])('%s', (_, predistorter, path, rule) => {
    const checked = checkScenario({ ...quarryLink, waveform, predistorter });
    if (checked.kind !== 'invalid') throw new Error('accepted');
    const issue = checked.issues.find((one) => one.path === path);
    expect(issue?.rule).toMatch(rule);
    expect(issue?.remedy).not.toBe('');
  });

  // Records of a run are longer than any memory the schema allows, so the rule is asked itself.
  test('memory longer than the record', () => {
    const settings = seventh.scenario.predistorter;
    if (settings === null) throw new Error('no predistorter');
    const issues = predistorterIssues({ ...settings, memoryDepth: 64 }, 40);
    expect(issues[0]).toMatchObject({ path: 'predistorter.memoryDepth', value: '64' });
    expect(issues[0].rule).toContain('record of 40 samples');
  });
});

test('in words', () => {
  const scenario = (predistorter: object) => {
    const checked = checkScenario({ ...quarryLink, waveform, predistorter });
    if (checked.kind === 'invalid' || checked.scenario.predistorter === null) throw new Error(JSON.stringify(checked));
    return structureText(checked.scenario.predistorter);
  };
  expect(scenario({ kind: 'envelopeTable', memoryDepth: 2 })).toBe(
    'table of 32 entries, straight lines between, memory depth 2',
  );
  expect(scenario({ nonlinearOrders: [1, 3], memoryDepthByOrder: [3, 2] })).toBe('orders 1, 3, memory depth 3, 2');
  expect(
    scenario({ nonlinearOrders: [1, 3], memoryDepth: 2, numbers: { dataBitCount: 10, tableEntryCount: 32 } }),
  ).toBe('orders 1, 3, memory depth 2; 10-bit drive; gain tables of 32 entries');
});
