import { Matrix, QrDecomposition } from 'ml-matrix';
import { describe, expect, test } from 'vitest';
import {
  addScaled,
  type ComplexSignal,
  copy,
  innerProduct,
  meanPower,
  zeros,
} from '../../../src/engine/dsp/complex.ts';
import { conditionOfGram, solveByQr, solveNormalEquations } from '../../../src/engine/dsp/leastSquares.ts';
import { lcgSignal } from '../../reference/lcg.ts';
import numeric from '../../reference/numeric.json' with { type: 'json' };

/** Gram matrix and right-hand side by plain inner products. */
function normalEquations(columns: readonly ComplexSignal[], target: ComplexSignal) {
  const size = columns.length;
  const gram = zeros(size * size);
  const rightSide = zeros(size);
  columns.forEach((row, i) => {
    columns.forEach((column, j) => {
      const value = innerProduct(row, column);
      gram.re[i * size + j] = value.re;
      gram.im[i * size + j] = value.im;
    });
    const value = innerProduct(row, target);
    rightSide.re[i] = value.re;
    rightSide.im[i] = value.im;
  });
  return { gram, rightSide };
}

function combine(columns: readonly ComplexSignal[], c: ComplexSignal): ComplexSignal {
  return columns.reduce(
    (sum, column, i) => addScaled(sum, { re: c.re[i], im: c.im[i] }, column),
    zeros(columns[0].re.length),
  );
}

function largestError(c: ComplexSignal, expected: { re: ArrayLike<number>; im: ArrayLike<number> }): number {
  return Math.max(...Array.from(c.re, (re, i) => Math.hypot(re - expected.re[i], c.im[i] - expected.im[i])));
}

/** The systems of tests/reference/numeric.py. */
function systemOf({ rowCount, columnCount, kind }: (typeof numeric.leastSquares)[number]) {
  const target = lcgSignal(rowCount, 99);
  if (kind === 'random') {
    const all = lcgSignal(rowCount * columnCount, 7);
    const cut = (i: number) => ({
      re: all.re.slice(i * rowCount, (i + 1) * rowCount),
      im: all.im.slice(i * rowCount, (i + 1) * rowCount),
    });
    return { columns: Array.from({ length: columnCount }, (_, i) => cut(i)), target };
  }
  const x = lcgSignal(rowCount, 11);
  const columns = Array.from({ length: columnCount }, (_, k) => {
    const column = zeros(rowCount);
    for (let n = 0; n < rowCount; n++) {
      const weight = 2 * Math.hypot(2 * x.re[n], 2 * x.im[n]) ** k;
      column.re[n] = weight * x.re[n];
      column.im[n] = weight * x.im[n];
    }
    return column;
  });
  return { columns, target };
}

describe.each(numeric.leastSquares)('$kind, $columnCount columns, condition $scaledCondition', (row) => {
  const { columns, target } = systemOf(row);
  const { gram, rightSide } = normalEquations(columns, target);
  const size = Math.max(...row.coefficients.re.map(Math.abs), ...row.coefficients.im.map(Math.abs));
  const solution = solveNormalEquations(gram, rightSide, 0);

  // Source: numpy.linalg.lstsq (singular values). QR loses the condition number times 1e-16, Cholesky its square.
  test('QR equals numpy', () => {
    const c = solveByQr(columns.map(copy), target) as ComplexSignal;
    expect(largestError(c, row.coefficients) / size).toBeLessThan(row.scaledCondition * 1e-14);
  });

  test('scaled normal equations equal numpy', () => {
    const error = largestError(solution?.coefficients as ComplexSignal, row.coefficients) / size;
    expect(error).toBeLessThan(row.scaledCondition ** 2 * 1e-14);
  });

  // Source: numpy.linalg.cond. The root of the Gram matrix's condition: the smallest eigenvalue is known to
  // condition²·1e-16 of itself.
  test('condition numbers equal numpy', () => {
    expect(Math.abs((solution?.conditionNumber ?? 0) / row.scaledCondition - 1)).toBeLessThan(
      1e-13 + row.scaledCondition ** 2 * 1e-14,
    );
    expect(Math.abs((solution?.rawConditionNumber ?? 0) / row.rawCondition - 1)).toBeLessThan(
      1e-13 + row.rawCondition ** 2 * 1e-14,
    );
  });

  // Source: least squares. Cholesky is backward stable: Φᴴr misses zero by 1e-16 of the scaled coefficients, which
  // cancel each other to 1e6 in the worst system here; the residual's norm grows by the square of the fit's error.
  test('the residual is numpy’s and orthogonal to every column', () => {
    const c = solution?.coefficients as ComplexSignal;
    const residual = addScaled(target, { re: -1, im: 0 }, combine(columns, c));
    expect(Math.sqrt(meanPower(residual) * row.rowCount) / row.residualNorm).toBeCloseTo(1, 8);
    for (const column of columns) {
      const inner = innerProduct(column, residual);
      const scales = row.residualNorm * Math.sqrt(meanPower(column) * row.rowCount);
      expect(Math.hypot(inner.re, inner.im) / scales).toBeLessThan(1e-9);
    }
  });
});

describe('an independent program', () => {
  // Source: ml-matrix, real QR by Householder on the real form [[A, −B], [B, A]] of a complex system.
  test('agrees on a complex system', () => {
    const { columns, target } = systemOf(numeric.leastSquares[0]);
    const rows = target.re.length;
    const size = columns.length;
    const a = new Matrix(2 * rows, 2 * size);
    const b = new Matrix(2 * rows, 1);
    for (let n = 0; n < rows; n++) {
      columns.forEach((column, i) => {
        a.set(n, i, column.re[n]).set(n, size + i, -column.im[n]);
        a.set(rows + n, i, column.im[n]).set(rows + n, size + i, column.re[n]);
      });
      b.set(n, 0, target.re[n]).set(rows + n, 0, target.im[n]);
    }
    const c = new QrDecomposition(a).solve(b).to1DArray();
    const ours = solveByQr(columns.map(copy), target) as ComplexSignal;
    expect(largestError(ours, { re: c.slice(0, size), im: c.slice(size) })).toBeLessThan(1e-13);
  });
});

describe('ridge', () => {
  // Source: λ on the unit diagonal of the column-scaled Gram matrix. Orthogonal columns, whatever their norms, shrink
  // by 1/(1 + λ).
  test('shrinks orthogonal columns of any norm alike', () => {
    const columns = [
      { re: Float64Array.of(3, 0, 0), im: Float64Array.of(0, 0, 0) },
      { re: Float64Array.of(0, 0, 0), im: Float64Array.of(0, 0.01, 0) },
    ];
    const target = { re: Float64Array.of(6, 1, 5), im: Float64Array.of(0, 2, 0) };
    const { gram, rightSide } = normalEquations(columns, target);
    const c = solveNormalEquations(gram, rightSide, 0.25)?.coefficients as ComplexSignal;
    expect(largestError(c, { re: [2 / 1.25, 200 / 1.25], im: [0, -100 / 1.25] })).toBeLessThan(1e-12);
  });

  // Source: the ridge's optimality, Φᴴ(u − Φc) = λ·D²c with D² the columns' energies.
  test('satisfies its normal equations on a general system', () => {
    const lambda = 1e-3;
    const { columns, target } = systemOf(numeric.leastSquares[1]);
    const { gram, rightSide } = normalEquations(columns, target);
    const c = solveNormalEquations(gram, rightSide, lambda)?.coefficients as ComplexSignal;
    const residual = addScaled(target, { re: -1, im: 0 }, combine(columns, c));
    columns.forEach((column, i) => {
      const inner = innerProduct(column, residual);
      const energy = gram.re[i * columns.length + i];
      expect(inner.re / energy).toBeCloseTo(lambda * c.re[i], 12);
      expect(inner.im / energy).toBeCloseTo(lambda * c.im[i], 12);
    });
  });

  test('makes dependent columns solvable', () => {
    const column = lcgSignal(50, 3);
    const { gram, rightSide } = normalEquations([column, column], column);
    const c = solveNormalEquations(gram, rightSide, 1e-6)?.coefficients as ComplexSignal;
    expect(largestError(c, { re: [0.5, 0.5], im: [0, 0] })).toBeLessThan(1e-6);
  });
});

describe('dependent columns', () => {
  const one = lcgSignal(60, 3);
  const two = lcgSignal(60, 4);
  const sum = addScaled(one, { re: 0.3, im: -2 }, two);
  const target = lcgSignal(60, 5);

  test.each([
    ['a repeated column', [one, one]],
    ['a sum of others', [one, two, sum]],
    ['a column of zeros', [one, zeros(60)]],
  ])('%s gives null, never a number', (_, columns) => {
    const { gram, rightSide } = normalEquations(columns, target);
    expect(solveNormalEquations(gram, rightSide, 0)).toBeNull();
    expect(solveByQr(columns.map(copy), target)).toBeNull();
  });

  // Source: the eigenvalues of [[1, 1], [1, 1]] are 0 and 2.
  test('have an infinite condition number', () => {
    expect(conditionOfGram({ re: Float64Array.of(1, 1, 1, 1), im: new Float64Array(4) }, 2)).toBeGreaterThan(1e7);
  });
});

describe('mistakes of the caller', () => {
  test('are named with the counts', () => {
    expect(() => solveByQr([zeros(2), zeros(2), zeros(2)], zeros(2))).toThrow(/2 rows cannot determine 3 coefficients/);
    expect(() => solveNormalEquations(zeros(9), zeros(2), 0)).toThrow(/Gram of 9 entries for 2 terms/);
  });
});
