// The fit inside indirect learning: the post-inverse that turns the scaled observation back into the drive sent.
//   c = argmin Σ_n |u[n] − Σ_i c_i·φ_i(y/g)[n]|²
// u is the drive actually sent (after the ceiling), g one complex least-squares gain of y against the wanted signal.
// Source: Eun and Powers 1997, IEEE Trans. Signal Process. 45(1) (indirect learning, from memory).
import type { SampleWindow } from '../basis/gram.ts';
import type { Regressors } from '../basis/regressors.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { type Conditioning, conditioningOf, solveByCholesky, solveByQr } from '../dsp/leastSquares.ts';

/** Condition numbers are of the functions that the fit uses, of the observation at their fit scale (unit rms). */
export interface PostInverseFit extends Conditioning {
  readonly coefficients: ComplexSignal;
  /** Residual over the fitted samples against the target's power. */
  readonly residualDb: number;
  /** How far Cholesky and QR differ in the signal they produce; null when not compared. */
  readonly solverDifferenceDb: number | null;
}

export interface PostInverseOptions {
  readonly structure: Regressors;
  /** Observation over the least-squares gain. */
  readonly observation: ComplexSignal;
  /** Drive actually sent. */
  readonly target: ComplexSignal;
  readonly window: SampleWindow | 'whole';
  readonly ridge: number;
  readonly solver: 'cholesky' | 'qr';
}

/** Above this condition number of the scaled regressors the Cholesky solution is compared with QR. */
const QR_CHECK_CONDITION = 1e5;
/** Work QR may spend in that comparison, in products of rows and columns squared. */
const QR_CHECK_WORK = 5e7;
const QR_CHECK_ROWS = 16384;

/** Returns null when the regressors are dependent in double precision: fewer orders, fewer taps or a ridge cure it. */
export function fitPostInverse(options: PostInverseOptions): PostInverseFit | null {
  const { structure, target, window, ridge, solver } = options;
  // A fixed scale makes the raw condition number comparable between runs.
  const fitScale = structure.fitScaleOf(options.observation);
  const observation = scale(options.observation, 1 / fitScale);
  const equations = structure.normalEquations(observation, target, window);
  const range: SampleWindow = window === 'whole' ? { startSample: 0, sampleCount: target.re.length } : window;
  const scaled =
    solver === 'qr'
      ? fitByQr(structure, observation, target, range, ridge)
      : solveByCholesky(equations.gram, equations.rightSide, ridge);
  if (scaled === null) return null;
  const conditioning = conditioningOf(equations.gram, equations.termCount);
  const isDoubtful = (conditioning.conditionNumber ?? Infinity) > QR_CHECK_CONDITION;
  const compare = ridge === 0 && solver === 'cholesky' && isDoubtful;
  return {
    coefficients: structure.undoFitScale(scaled, fitScale),
    ...conditioning,
    residualDb: residualDb(target, structure.apply(structure.undoFitScale(scaled, 1), observation), range),
    solverDifferenceDb: compare ? compareWithQr(structure, observation, target, range) : null,
  };
}

/**
 * QR of the regressor matrix. A ridge λ on the unit-diagonal Gram matrix is the same as one more row per column with
 * √λ·‖φ_i‖ in its place and a target of zero.
 */
function fitByQr(
  structure: Regressors,
  observation: ComplexSignal,
  target: ComplexSignal,
  range: SampleWindow,
  ridge: number,
): ComplexSignal | null {
  const columns = tiedColumns(structure, observation, range);
  const rowCount = columns[0].re.length;
  const wanted = longer(cut(target, range), rowCount - range.sampleCount);
  if (ridge === 0) return solveByQr(columns, wanted);
  const extra = columns.length;
  const norm = (x: ComplexSignal) => Math.sqrt(meanPower(x) * x.re.length);
  const augmented = columns.map((column, i) => {
    const out = longer(column, extra);
    out.re[rowCount + i] = Math.sqrt(ridge) * norm(column);
    return out;
  });
  return solveByQr(augmented, longer(wanted, extra));
}

/** The regressor matrix, and below it a row for each tie. */
function tiedColumns(structure: Regressors, x: ComplexSignal, range: SampleWindow): ComplexSignal[] {
  const columns = structure.columns(x, range);
  const ties = structure.ties?.(x, range.sampleCount) ?? [];
  if (ties.length === 0) return columns;
  const tied = columns.map((column) => longer(column, ties.length));
  ties.forEach(({ first, second, weight }, i) => {
    tied[first].re[range.sampleCount + i] = weight;
    tied[second].re[range.sampleCount + i] = -weight;
  });
  return tied;
}

/** With zeros behind it. */
function longer(x: ComplexSignal, extra: number): ComplexSignal {
  const out = zeros(x.re.length + extra);
  out.re.set(x.re);
  out.im.set(x.im);
  return out;
}

function cut(x: ComplexSignal, range: SampleWindow): ComplexSignal {
  const out = zeros(range.sampleCount);
  for (let k = 0; k < range.sampleCount; k++) {
    const n = (range.startSample + k) % x.re.length;
    out.re[k] = x.re[n];
    out.im[k] = x.im[n];
  }
  return out;
}

/** |u − û|² over |u|² within a window. */
export function residualDb(target: ComplexSignal, fitted: ComplexSignal, range: SampleWindow): number {
  let error = 0;
  let wanted = 0;
  let n = range.startSample % target.re.length;
  for (let k = 0; k < range.sampleCount; k++) {
    const dRe = target.re[n] - fitted.re[n];
    const dIm = target.im[n] - fitted.im[n];
    error += dRe * dRe + dIm * dIm;
    wanted += target.re[n] * target.re[n] + target.im[n] * target.im[n];
    if (++n === target.re.length) n = 0;
  }
  return powerRatioToDb(error / wanted);
}

/** Both solvers on the same short window; the difference of their outputs over the target's power. */
function compareWithQr(structure: Regressors, x: ComplexSignal, u: ComplexSignal, range: SampleWindow): number | null {
  const termCount = structure.termCount;
  const affordable = Math.max(4 * termCount, Math.floor(QR_CHECK_WORK / (termCount * termCount)));
  const sampleCount = Math.min(range.sampleCount, QR_CHECK_ROWS, affordable);
  if (sampleCount < 4 * termCount) return null;
  const window = { startSample: range.startSample, sampleCount };
  const equations = structure.normalEquations(x, u, window);
  const cholesky = solveByCholesky(equations.gram, equations.rightSide, 0);
  const qr = fitByQr(structure, x, u, window, 0);
  if (cholesky === null || qr === null) return 0;
  const signalOf = (c: ComplexSignal) => structure.apply(structure.undoFitScale(c, 1), x);
  return residualDb(signalOf(qr), signalOf(cholesky), window);
}
