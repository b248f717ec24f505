// Least squares of a few unknowns within bounds: Levenberg–Marquardt with a numeric Jacobian; a step is cut at the bounds.
//
//   (JᵀJ + λ·diag(JᵀJ))·Δ = −Jᵀr,  λ is divided by 4 after a step that helps and multiplied by 4 after one that does not
//
// Source: Marquardt 1963, J. SIAM 11(2) (from memory). Deterministic.

export interface BoundedProblem {
  /** Residuals at x, always as many. */
  residuals(x: readonly number[]): readonly number[];
  readonly lowest: readonly number[];
  readonly highest: readonly number[];
}

export interface BoundedSolution {
  readonly x: readonly number[];
  /** Sum of the squared residuals. */
  readonly cost: number;
}

const MOST_STEPS = 60;
const JACOBIAN_STEP = 1e-5;
/** A step that gains less than this share of the cost ends the search. */
const LEAST_GAIN = 1e-9;
const LARGEST_DAMPING = 1e10;

/** Local minimum of Σ r² from a start, which is moved within the bounds first. */
export function solveBounded(problem: BoundedProblem, start: readonly number[]): BoundedSolution {
  const { lowest, highest } = problem;
  const inside = (x: readonly number[]) => x.map((value, i) => Math.min(highest[i], Math.max(lowest[i], value)));
  let x = inside(start);
  let r = problem.residuals(x);
  let cost = sumOfSquares(r);
  let damping = 1e-2;
  for (let step = 0; step < MOST_STEPS && damping < LARGEST_DAMPING; step++) {
    const columns = jacobian(problem, x, r);
    let gained = 0;
    while (damping < LARGEST_DAMPING) {
      const delta = dampedStep(columns, r, damping);
      const next = inside(x.map((value, i) => value + delta[i]));
      const nextResiduals = problem.residuals(next);
      const nextCost = sumOfSquares(nextResiduals);
      if (nextCost < cost) {
        gained = (cost - nextCost) / cost;
        [x, r, cost] = [next, nextResiduals, nextCost];
        damping /= 4;
        break;
      }
      damping *= 4;
    }
    if (gained < LEAST_GAIN) break;
  }
  return { x, cost };
}

function sumOfSquares(r: readonly number[]): number {
  return r.reduce((sum, value) => sum + value * value, 0);
}

/** One column for each unknown, by a difference away from the nearer bound. */
function jacobian(problem: BoundedProblem, x: readonly number[], r: readonly number[]): number[][] {
  return x.map((value, i) => {
    const step = value + JACOBIAN_STEP > problem.highest[i] ? -JACOBIAN_STEP : JACOBIAN_STEP;
    const moved = problem.residuals(x.map((other, j) => (j === i ? other + step : other)));
    return moved.map((residual, k) => (residual - r[k]) / step);
  });
}

function dampedStep(columns: readonly (readonly number[])[], r: readonly number[], damping: number): number[] {
  const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, value, k) => sum + value * b[k], 0);
  const rows = columns.map((column, i) => [
    ...columns.map((other, j) => dot(column, other) * (i === j ? 1 + damping : 1) + (i === j ? 1e-12 : 0)),
    -dot(column, r),
  ]);
  return eliminate(rows);
}

/** Gauss elimination with row exchange; each row ends with its right-hand side. */
function eliminate(rows: number[][]): number[] {
  const size = rows.length;
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let k = i + 1; k < size; k++) if (Math.abs(rows[k][i]) > Math.abs(rows[pivot][i])) pivot = k;
    [rows[i], rows[pivot]] = [rows[pivot], rows[i]];
    for (let k = i + 1; k < size; k++) {
      const factor = rows[k][i] / rows[i][i];
      for (let j = i; j <= size; j++) rows[k][j] -= factor * rows[i][j];
    }
  }
  const x = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let sum = rows[i][size];
    for (let j = i + 1; j < size; j++) sum -= rows[i][j] * x[j];
    x[i] = sum / rows[i][i];
  }
  return x;
}
