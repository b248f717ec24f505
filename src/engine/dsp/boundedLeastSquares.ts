// Least squares of a few unknowns within bounds: Levenberg–Marquardt with a numeric Jacobian, its step within the bounds.
//
//   (JᵀJ + λ·diag(JᵀJ))·Δ = −Jᵀr,  λ is divided by 4 after a step that helps and multiplied by 4 after one that does not
//
// Unknowns that stand at a bound and would leave it are held; those whose step would cross one end at it, and the step of
// the others is found again with that known. Only cutting the step would stop short of the minimum, because the others
// would still follow the part that was cut off.
// Sources: Marquardt 1963, J. SIAM 11(2); bounds by a working set as in Nocedal and Wright, "Numerical Optimization",
// chapter 16 (both from memory). Deterministic.

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
      const room = { lowest: x.map((value, i) => lowest[i] - value), highest: x.map((value, i) => highest[i] - value) };
      const delta = boundedStep(columns, r, damping, room);
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

interface StepRoom {
  readonly lowest: readonly number[];
  readonly highest: readonly number[];
}

/** The damped step with every unknown inside its room. */
function boundedStep(
  columns: readonly (readonly number[])[],
  r: readonly number[],
  damping: number,
  { lowest, highest }: StepRoom,
): number[] {
  const delta = columns.map(() => 0);
  let free = columns.flatMap((column, i) => {
    const downhill = -dot(column, r);
    return (downhill > 0 ? highest[i] > 0 : lowest[i] < 0) ? [i] : [];
  });
  while (free.length > 0) {
    const held = r.map((value, k) => columns.reduce((sum, column, i) => sum + column[k] * delta[i], value));
    const found = dampedStep(
      free.map((i) => columns[i]),
      held,
      damping,
    );
    const crossing = free.filter((i, n) => found[n] < lowest[i] || found[n] > highest[i]);
    free.forEach((i, n) => {
      if (crossing.length === 0) delta[i] = found[n];
      else if (crossing.includes(i)) delta[i] = found[n] < lowest[i] ? lowest[i] : highest[i];
    });
    if (crossing.length === 0) break;
    free = free.filter((i) => !crossing.includes(i));
  }
  return delta;
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, k) => sum + value * b[k], 0);
}

function dampedStep(columns: readonly (readonly number[])[], r: readonly number[], damping: number): number[] {
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
