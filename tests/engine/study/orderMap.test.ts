// The order map: figures of the hand-outs (F17, F24), cells against separate runs, and ring, front and overlay on made-up
// readings whose answer is known by hand.

import { describe, expect, test } from 'vitest';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import type { MapCell, MapResult, RunReadings, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { checkScenario, physicalMultiplierCount, runScenario } from '../../../src/engine/index.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { createLookup, type Lookup } from '../../../src/engine/study/lookup.ts';
import { marginDb, worstFirstAclrDb } from '../../../src/engine/study/margins.ts';
import { evaluateMap } from '../../../src/engine/study/orderMap.ts';
import { runTask } from '../../../src/engine/study/runTask.ts';
import { type BenchChange, benchScenario } from '../simulation/referenceBench.ts';
import { ordersOf } from './drive.ts';

const memory = createRunMemory();

function question(change: Partial<MapQuestion>): MapQuestion {
  return {
    kind: 'map',
    highestOrders: [1, 3, 5, 7, 9],
    memoryDepths: [1, 2, 3, 4, 5],
    structures: ['memoryPolynomial'],
    clockHz: null,
    wantedMarginDb: 0,
    ...change,
  };
}

function baseOf(change: BenchChange): Scenario {
  const outcome = checkScenario(benchScenario(change));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.scenario;
}

/** Runs what is pending until nothing is. Outcomes known so far are shared. */
function complete(base: Scenario, asked: MapQuestion, known: Map<string, TaskOutcome>): MapResult {
  for (;;) {
    const lookup = createLookup(known);
    const result = evaluateMap(base, asked, lookup);
    if (lookup.pending.length === 0) return result;
    for (const task of lookup.pending) known.set(task.key, runTask(task, memory));
  }
}

function cellAt(
  { cells }: MapResult,
  highestOrder: number,
  memoryDepth: number,
  structure = 'memoryPolynomial',
): MapCell {
  const cell = cells.find(
    (one) => one.structure === structure && one.highestOrder === highestOrder && one.memoryDepth === memoryDepth,
  );
  if (cell === undefined) throw new Error(`no cell of order ${highestOrder} × ${memoryDepth}`);
  return cell;
}

describe('F17: reference bench at 9 dB output back-off', () => {
  const base = baseOf({ outputBackoffDb: 9 });
  const known = new Map<string, TaskOutcome>();
  const grid = complete(base, question({ highestOrders: [3, 5, 7], memoryDepths: [1, 3] }), known);
  const corner = complete(base, question({ highestOrders: [9], memoryDepths: [5] }), known);

  // Source: hand-outs, product.md F17, computed independently with numpy; ± 1.5 dB, or better.
  test.each([
    [3, 1, 40.2],
    [5, 1, 45.0],
    [7, 1, 46.4],
    [3, 3, 41.1],
    [5, 3, 48.0],
    [7, 3, 51.8],
    [9, 5, 57.2],
  ])('order %d × %d taps reaches %d dB', (order, depth, expectedDb) => {
    const cell = cellAt(depth === 5 ? corner : grid, order, depth);
    expect(cell.worstAclrDb).toBeGreaterThan(expectedDb - 1.5);
    // Far better would be another amplifier or another record.
    expect(cell.worstAclrDb).toBeLessThan(expectedDb + 3);
    expect(cell.correctionUsed).toBe(true);
  });

  test('a cell is a separate run of its structure', () => {
    const outcome = runScenario(benchScenario({ outputBackoffDb: 9, nonlinearOrders: [1, 3, 5], memoryDepth: 3 }));
    if (outcome.kind === 'invalid' || outcome.report.corrected === null) throw new Error('no run');
    const { corrected, learning, verdicts } = outcome.report;
    const cell = cellAt(grid, 5, 3);
    expect(Math.abs((cell.worstAclrDb ?? 0) - (worstFirstAclrDb(corrected) ?? 0))).toBeLessThan(1e-9);
    expect(cell.evmPercent).toBeCloseTo(corrected.evm?.rmsPercent ?? 0, 9);
    expect(cell.nmseDb).toBeCloseTo(corrected.nmseDb, 9);
    expect(cell.conditionNumber).toBeCloseTo(learning?.conditionNumber ?? 0, 6);
    const margins = verdicts.filter((verdict) => verdict.of === 'corrected').map((verdict) => verdict.marginDb);
    expect(cell.worstMarginDb).toBeCloseTo(Math.min(...margins), 9);
  });

  // By the figures above 7th × 1 tap is 1.4 dB within the limit and 7th × 3 taps 6.8 dB; 5th × 3 taps 3 dB.
  test('the ring: one tap is enough for the limit, only 7th × 3 taps for 5 dB of margin', () => {
    const asked = question({ highestOrders: [3, 5, 7], memoryDepths: [1, 3], wantedMarginDb: 5 });
    expect(complete(base, asked, known).ringed).toMatchObject({ highestOrder: 7, memoryDepth: 3 });
    expect(grid.ringed?.memoryDepth).toBe(1);
    expect(grid.ringed?.worstMarginDb).toBeGreaterThanOrEqual(0);
  });

  test('the overlay shows orders 1 to 9 at the base’s depth and at equal power: spectra fall beside the channel', () => {
    expect(grid.overlay.map(({ highestOrder, memoryDepth }) => [highestOrder, memoryDepth])).toEqual([
      [1, 3],
      [3, 3],
      [5, 3],
      [7, 3],
      [9, 3],
    ]);
    const level = grid.overlay.map(({ spectrum }) => {
      const inside = spectrum.level.filter((_, i) => Math.abs(spectrum.frequencyHz[i]) < 4e6);
      const beside = spectrum.level.filter((_, i) => Math.abs(Math.abs(spectrum.frequencyHz[i]) - 8e6) < 2e6);
      const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
      return { inside: mean(inside), beside: mean(beside) };
    });
    for (const { inside } of level) expect(Math.abs(inside - level[0].inside)).toBeLessThan(0.3);
    for (let i = 1; i < level.length; i++) expect(level[i].beside).toBeLessThan(level[i - 1].beside);
  });

  test('cell and overlay share one run: 6 cells and 2 more orders at depth 3, then one cell', () => {
    expect(known.size).toBe(6 + 2 + 1);
  });
});

describe('F24: resource bill of 7th × 3 taps', () => {
  const lookup: Lookup = { readings: () => null, bursts: () => null, outcome: () => ({ kind: 'invalid', issues: [] }) };
  const result = evaluateMap(
    baseOf({}),
    question({ structures: ['memoryPolynomial', 'generalizedMemoryPolynomial'] }),
    lookup,
  );
  const { cost } = cellAt(result, 7, 3);

  // Source: product.md F24.
  test('12 coefficients, 14 real multiplications, 3 tables, 48 bytes', () => {
    expect(cost).toMatchObject({ coefficientCount: 12, realMultipliesPerSample: 14, tableCount: 3, bytesPerSet: 48 });
  });

  // Source: PA-10: 8·12 − 2, and |x|² 3, |x|⁴ and |x|⁶ one each, three products of 2.
  test('105 floating-point operations a sample term by term', () => {
    expect(cost.floatingPointOperationsPerSample).toBe(94 + 3 + 2 + 3 * 2);
  });

  test('4 physical multipliers at 61.44 Msps with a 245.76 MHz clock', () => {
    expect(physicalMultiplierCount(cost, 61.44e6, 245.76e6)).toBe(4);
    expect(physicalMultiplierCount(cost, 245.76e6, 245.76e6)).toBe(14);
    expect(() => physicalMultiplierCount(cost, 61.44e6, 0)).toThrow(RangeError);
    // The bench runs at 122.88 Msps: 14 multiplications over two cycles.
    const clocked = evaluateMap(baseOf({}), question({ clockHz: 245.76e6 }), lookup);
    expect(cellAt(clocked, 7, 3).physicalMultiplierCount).toBe(7);
    expect(cellAt(result, 7, 3).physicalMultiplierCount).toBeUndefined();
  });

  test('cross terms cost a table for each pair of delays', () => {
    const generalized = cellAt(result, 7, 3, 'generalizedMemoryPolynomial');
    expect(generalized.cost).toEqual({
      coefficientCount: 12 + 3 * 2 * 2,
      realMultipliesPerSample: 4 * 9 + 2,
      tableCount: 9,
      bytesPerSet: 96,
      // 8·24 − 2; |x|² and two powers; orders 3, 5, 7 and, for the envelopes beside it, orders 3 and 5 twice.
      floatingPointOperationsPerSample: 190 + 3 + 2 + 2 * (3 + 4),
    });
  });

  test('generalized cells from order 3 and depth 2 up only; a cell that cannot be run has no readings', () => {
    expect(result.cells.filter((cell) => cell.structure === 'generalizedMemoryPolynomial')).toHaveLength(16);
    expect(result.cells).toHaveLength(25 + 16);
    expect(cellAt(result, 7, 3)).toMatchObject({ worstAclrDb: null, worstMarginDb: null, correctionUsed: false });
    expect(result.ringed).toBeNull();
    expect(result.overlay).toEqual([]);
  });
});

describe('made-up readings', () => {
  const base = baseOf({ waveform: { symbolCount: 3 } });
  const outcome = runScenario(base);
  if (outcome.kind === 'invalid' || outcome.report.corrected === null) throw new Error('no run');
  const { traces: _traces, cautions: _cautions, scenario: _scenario, ...sample } = outcome.report;

  /** Readings whose corrected ACLR is `aclrDb` on both sides, with EVM far inside its limit. */
  function readingsOf(aclrDb: number, correctionUsed = true): RunReadings {
    const { corrected } = sample;
    if (corrected === null || corrected.evm === null) throw new Error('no correction');
    return {
      ...sample,
      correctionUsed,
      corrected: {
        ...corrected,
        aclr: corrected.aclr.map((reading) => ({ ...reading, aclrDb })),
        evm: { ...corrected.evm, rmsPercent: 0.1 },
      },
    };
  }

  function lookupOf(of: (order: number, depth: number) => RunReadings | null | 'invalid'): Lookup {
    const find = ({ predistorter }: Scenario): TaskOutcome | null => {
      const found = of(ordersOf({ predistorter }).at(-1) ?? 0, predistorter?.memoryDepth ?? 0);
      if (found === 'invalid') return { kind: 'invalid', issues: [] };
      return found && { kind: 'readings', readings: found, spectrum: { frequencyHz: [0], level: [-aclrOf(found)] } };
    };
    return { outcome: find, readings: () => null, bursts: () => null };
  }

  const aclrOf = (readings: RunReadings) => (readings.corrected && worstFirstAclrDb(readings.corrected)) ?? 0;
  const small = question({ highestOrders: [3, 5], memoryDepths: [1, 2] });
  const names = (cells: readonly MapCell[]) => cells.map((cell) => `${cell.highestOrder}×${cell.memoryDepth}`);

  // By cost: 3×1, 5×1 (6 multiplications, 2 and 3 coefficients), 3×2, 5×2 (10; 4 and 6). The limit is 45 dB.
  const aclr: Record<string, number> = { '3×1': 44, '5×1': 47, '3×2': 46, '5×2': 52 };
  const result = evaluateMap(
    base,
    small,
    lookupOf((order, depth) => readingsOf(aclr[`${order}×${depth}`] ?? 40)),
  );

  test('the ring is the cheapest cell with the wanted margin, multiplications first', () => {
    expect(names([result.ringed as MapCell])).toEqual(['5×1']);
    const ringed = (wantedMarginDb: number) =>
      evaluateMap(
        base,
        { ...small, wantedMarginDb },
        lookupOf((order, depth) => readingsOf(aclr[`${order}×${depth}`] ?? 40)),
      ).ringed;
    expect(names([ringed(2) as MapCell])).toEqual(['5×1']);
    expect(names([ringed(2.5) as MapCell])).toEqual(['5×2']);
    expect(ringed(7.5)).toBeNull();
  });

  test('the front leaves out what a cheaper cell beats', () => {
    expect(names(result.cells.filter((cell) => cell.onFront))).toEqual(['3×1', '5×1', '5×2']);
    expect(result.cells.map((cell) => cell.worstMarginDb)).toEqual([-1, 2, 1, 7]);
  });

  test('without limits the front is of ACLR and nothing is ringed', () => {
    const free = evaluateMap(
      { ...base, limits: [] },
      small,
      lookupOf((order, depth) => readingsOf(aclr[`${order}×${depth}`] ?? 40)),
    );
    expect(free.ringed).toBeNull();
    expect(names(free.cells.filter((cell) => cell.onFront))).toEqual(['3×1', '5×1', '5×2']);
  });

  test('a correction that is not used is neither ringed nor on the front, and has the margin of the output one gets', () => {
    const { cells, ringed } = evaluateMap(
      base,
      small,
      lookupOf((order, depth) => readingsOf(60, order === 5 && depth === 2)),
    );
    expect(names(cells.filter((cell) => cell.onFront))).toEqual(['5×2']);
    expect(names([ringed as MapCell])).toEqual(['5×2']);
    expect(cells[0].worstAclrDb).toBe(60);
    expect(cells[0].worstMarginDb).toBe(marginDb(readingsOf(60, false), 'corrected', base.limits));
    expect(cells[0].worstMarginDb).toBeLessThan(0);
  });

  test('pending cells are missing, the rest is said already', () => {
    const partial = evaluateMap(
      base,
      small,
      lookupOf((order, depth) => (depth === 1 ? readingsOf(aclr[`${order}×${depth}`] ?? 40) : null)),
    );
    expect(names(partial.cells)).toEqual(['3×1', '5×1']);
    expect(names([partial.ringed as MapCell])).toEqual(['5×1']);
    expect(partial.overlay).toEqual([]);
  });

  test('nothing known: every run is asked for once, spectra only for the overlay', () => {
    const lookup = createLookup(new Map());
    const asked = question({ structures: ['memoryPolynomial', 'generalizedMemoryPolynomial'] });
    expect(evaluateMap(base, asked, lookup).cells).toEqual([]);
    expect(lookup.pending).toHaveLength(41);
    expect(lookup.pending.filter((task) => task.wantsSpectrum)).toHaveLength(5);
  });
});
