// Against scipy: linear problems by lsq_linear's active sets, a curve by least_squares (boundedLeastSquares.golden.py).
import { describe, expect, test } from 'vitest';
import { solveBounded } from '../../../src/engine/dsp/boundedLeastSquares.ts';
import golden from './boundedLeastSquares.golden.json' with { type: 'json' };

const at = (list: readonly number[], i: number) => list[i] as number;

describe('linear problems', () => {
  const solved = golden.linear.map((problem) => {
    const residuals = (x: readonly number[]) =>
      problem.a.map((row, k) => row.reduce((sum, value, i) => sum + value * at(x, i), 0) - at(problem.b, k));
    const { lowest, highest } = problem;
    const middle = lowest.map((low, i) => (low + at(highest, i)) / 2);
    return { ...problem, found: solveBounded({ residuals, lowest, highest }, middle), residuals };
  });

  test('the set holds free ones and ones with bounds at work', () => {
    expect(solved.some(({ boundCount }) => boundCount === 0)).toBe(true);
    expect(solved.some(({ boundCount }) => boundCount > 2)).toBe(true);
  });

  test.each(solved.map((one, i) => [i, one] as const))(
    'problem %i',
    (_, { x, cost, found, residuals, lowest, highest }) => {
      // A convex problem has one minimum: never below it, and 1e-6 of the cost above it at most.
      expect(found.cost / cost).toBeGreaterThan(1 - 1e-9);
      expect(found.cost / cost).toBeLessThan(1 + 1e-6);
      found.x.forEach((value, i) => {
        expect(Math.abs(value - at(x, i))).toBeLessThan(2e-3);
        expect(value).toBeGreaterThanOrEqual(at(lowest, i));
        expect(value).toBeLessThanOrEqual(at(highest, i));
      });
      expect(found.cost).toBeCloseTo(
        residuals(found.x).reduce((sum, r) => sum + r * r, 0),
        12,
      );
    },
  );
});

describe('a curve that saturates', () => {
  const { t, seen, cases } = golden.curve;
  const residuals = ([a = 0, b = 0, c = 0]: readonly number[]) =>
    t.map((time, k) => a * (1 - Math.exp(-b * time)) + c - at(seen, k));

  test.each(cases.map((one, i) => [i, one] as const))('case %i: free, a at its bound, b at its bound', (_, one) => {
    const found = solveBounded({ residuals, lowest: one.lowest, highest: one.highest }, [1, 2, 0.5]);
    expect(found.cost / one.cost).toBeLessThan(1 + 1e-6);
    expect(found.cost / one.cost).toBeGreaterThan(1 - 1e-6);
    expect(Math.max(...found.x.map((value, i) => Math.abs(value - at(one.x, i))))).toBeLessThan(2e-3);
  });

  test('a start outside is moved inside; the same start gives the same answer', () => {
    const [free] = cases;
    if (free === undefined) throw new Error('no case');
    const problem = { residuals, lowest: free.lowest, highest: free.highest };
    const far = solveBounded(problem, [50, -3, 9]);
    expect(far.cost / free.cost).toBeLessThan(1 + 1e-6);
    expect(solveBounded(problem, [50, -3, 9])).toEqual(far);
  });
});
