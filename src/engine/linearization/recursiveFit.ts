// Coefficients that move with every sample of the training record, in place of one batch fit.
//
// e[n] = u[n] − Σ_i c_i[n−1]·φ_i[n]      error before the update
//   lms  c[n] = c[n−1] + μ·e[n]·conj(φ[n])/|φ[n]|²                                  normalised least mean squares
//   rls  minimises Σ_k λ^(n−k)·|u[k] − Σ_i c_i[n]·φ_i[k]|² by rotating each new row into a triangular factor (Givens).
//        Nothing is subtracted from a covariance, so rounding cannot make it indefinite. With the product γ of the
//        rotations' cosines and the target's rest ε: e[n] = ε/γ.
// Columns are scaled to unit rms, which both methods need for regressors of different orders.
// Source: Haykin, Adaptive Filter Theory, square-root recursive least squares (from memory).
import type { LearningConvergence as Convergence } from '../../../shared/schema/report.ts';
import type { LearningSettings } from '../../../shared/schema/scenario.ts';
import type { Regressors } from '../basis/regressors.ts';
import { addScaled, type ComplexSignal, copy, meanPower, scale, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { conditioningOf } from '../dsp/leastSquares.ts';
import type { FitInput, LearningTask } from './learningPasses.ts';
import { fitPostInverse, type PostInverseFit, residualDb } from './postInverse.ts';

type Adaptation = NonNullable<LearningSettings['adaptation']>;

export interface RecursiveFit extends PostInverseFit {
  readonly convergence?: Convergence | undefined;
}

/**
 * The fit a task's settings ask for: batch, or sample by sample from `start` on. Null when the functions are dependent,
 * a reason when the recursion runs away.
 */
export function fitTask(
  { settings }: Pick<LearningTask, 'settings'>,
  structure: Regressors,
  input: FitInput,
  start: ComplexSignal | null,
): RecursiveFit | string | null {
  const { ridge, solver, adaptation } = settings;
  if (adaptation === null) return fitPostInverse({ structure, ...input, ridge, solver });
  return fitRecursively(structure, input, adaptation, start);
}

/** Rows taken from the structure at a time. */
const BLOCK = 1024;
/** Points of the convergence in one pass. */
const POINTS = 100;
/** Starting factor: small against one sample of a column at unit rms. */
const FIRST_FACTOR = 1e-3;
/** An error this much above the target itself is divergence. */
const RUNAWAY_DB = 20;

interface Recursion {
  readonly termCount: number;
  /** Takes one row and its target; returns |e|². */
  step(row: ComplexSignal, re: number, im: number): number;
  /** Coefficients as they stand. */
  coefficients(): ComplexSignal;
}

/** Runs once over the window. */
export function fitRecursively(
  structure: Regressors,
  { observation, target, window }: FitInput,
  adaptation: Adaptation,
  start: ComplexSignal | null,
): RecursiveFit | string | null {
  const fitScale = structure.fitScaleOf(observation);
  const x = scale(observation, 1 / fitScale);
  // What the coefficients so far leave: moving from them is moving from zero on the rest.
  const rest = start === null ? target : addScaled(target, { re: -1, im: 0 }, structure.apply(start, observation));
  const equations = structure.normalEquations(x, rest, window);
  const scales = columnScales(equations.gram, equations.sampleCount);
  if (scales === null) return null;
  const recursion = (adaptation.kind === 'lms' ? leastMeanSquares : leastSquaresRecursion)(scales.length, adaptation);
  const length = target.re.length;
  const energy = meanPower(target);
  const range = window === 'whole' ? { startSample: 0, sampleCount: length } : window;
  const followed = follow(recursion, range.sampleCount, rest, energy, range.startSample, (from, count) =>
    structure
      .columns(x, { startSample: (range.startSample + from) % length, sampleCount: count })
      .map((column, i) => scale(column, scales[i])),
  );
  if (typeof followed === 'string') return followed;
  const found = structure.undoFitScale(timesScales(recursion.coefficients(), scales), fitScale);
  const coefficients = start === null ? found : addScaled(start, { re: 1, im: 0 }, found);
  return {
    coefficients,
    ...conditioningOf(equations.gram, equations.termCount),
    residualDb: residualDb(target, structure.apply(coefficients, observation), range),
    solverDifferenceDb: null,
    convergence: followed,
  };
}

/** 1/rms of each column. */
function columnScales(gram: ComplexSignal, sampleCount: number): Float64Array | null {
  const size = Math.round(Math.sqrt(gram.re.length));
  const scales = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const energy = gram.re[i * size + i];
    if (!(energy > 0)) return null;
    scales[i] = Math.sqrt(sampleCount / energy);
  }
  return scales;
}

function timesScales(c: ComplexSignal, scales: Float64Array): ComplexSignal {
  const out = copy(c);
  for (let i = 0; i < scales.length; i++) {
    out.re[i] *= scales[i];
    out.im[i] *= scales[i];
  }
  return out;
}

function follow(
  recursion: Recursion,
  sampleCount: number,
  target: ComplexSignal,
  targetPower: number,
  startSample: number,
  columnsOf: (from: number, count: number) => ComplexSignal[],
): Convergence | string {
  const length = target.re.length;
  const group = Math.max(1, Math.ceil(sampleCount / POINTS));
  const sampleIndex: number[] = [];
  const errorDb: number[] = [];
  let [error, count] = [0, 0];
  const row = zeros(recursion.termCount);
  for (let from = 0; from < sampleCount; from += BLOCK) {
    const columns = columnsOf(from, Math.min(BLOCK, sampleCount - from));
    for (let k = 0; k < columns[0].re.length; k++) {
      columns.forEach((column, i) => {
        row.re[i] = column.re[k];
        row.im[i] = column.im[k];
      });
      const n = (startSample + from + k) % length;
      error += recursion.step(row, target.re[n], target.im[n]);
      count++;
      const at = from + k;
      if ((at + 1) % group !== 0 && at + 1 < sampleCount) continue;
      const level = powerRatioToDb(error / (count * targetPower));
      if (!(level < RUNAWAY_DB)) {
        return `the recursion diverges at sample ${at + 1}: its error passes the target; lower the step, or raise the forgetting ratio towards 1`;
      }
      sampleIndex.push(at);
      errorDb.push(level);
      [error, count] = [0, 0];
    }
  }
  return { sampleIndex, errorDb };
}

function leastMeanSquares(size: number, { stepRatio }: Adaptation): Recursion {
  const c = zeros(size);
  return {
    termCount: size,
    coefficients: () => c,
    step(row, uRe, uIm) {
      let power = 1e-12;
      let re = uRe;
      let im = uIm;
      for (let i = 0; i < size; i++) {
        const [a, b] = [row.re[i], row.im[i]];
        power += a * a + b * b;
        re -= c.re[i] * a - c.im[i] * b;
        im -= c.re[i] * b + c.im[i] * a;
      }
      const step = stepRatio / power;
      for (let i = 0; i < size; i++) {
        c.re[i] += step * (re * row.re[i] + im * row.im[i]);
        c.im[i] += step * (im * row.re[i] - re * row.im[i]);
      }
      return re * re + im * im;
    },
  };
}

/** The triangular factor R (row by row, real diagonal) and the rotated target z: R·c = z. */
function leastSquaresRecursion(size: number, { forgettingRatio }: Adaptation): Recursion {
  const r = zeros(size * size);
  const z = zeros(size);
  const keep = Math.sqrt(forgettingRatio);
  for (let i = 0; i < size; i++) r.re[i * size + i] = FIRST_FACTOR;
  const x = zeros(size);
  return {
    termCount: size,
    step(row, uRe, uIm) {
      x.re.set(row.re);
      x.im.set(row.im);
      return rotateIn(r, z, x, { re: uRe, im: uIm }, keep);
    },
    coefficients: () => backSubstitute(r, z),
  };
}

/** Rotates a row into R and z; returns |e|² before the update. The row is spent. */
function rotateIn(r: ComplexSignal, z: ComplexSignal, x: ComplexSignal, u: { re: number; im: number }, keep: number) {
  const size = z.re.length;
  let [uRe, uIm] = [u.re, u.im];
  let gamma = 1;
  for (let i = 0; i < size; i++) {
    const diagonal = keep * r.re[i * size + i];
    const [xRe, xIm] = [x.re[i], x.im[i]];
    const norm = Math.sqrt(diagonal * diagonal + xRe * xRe + xIm * xIm);
    const cos = diagonal / norm;
    const sRe = xRe / norm;
    const sIm = xIm / norm;
    gamma *= cos;
    r.re[i * size + i] = norm;
    for (let j = i + 1; j < size; j++) {
      const at = i * size + j;
      const [aRe, aIm, bRe, bIm] = [keep * r.re[at], keep * r.im[at], x.re[j], x.im[j]];
      r.re[at] = cos * aRe + sRe * bRe + sIm * bIm;
      r.im[at] = cos * aIm + sRe * bIm - sIm * bRe;
      x.re[j] = cos * bRe - (sRe * aRe - sIm * aIm);
      x.im[j] = cos * bIm - (sRe * aIm + sIm * aRe);
    }
    const [aRe, aIm] = [keep * z.re[i], keep * z.im[i]];
    z.re[i] = cos * aRe + sRe * uRe + sIm * uIm;
    z.im[i] = cos * aIm + sRe * uIm - sIm * uRe;
    const nextRe = cos * uRe - (sRe * aRe - sIm * aIm);
    uIm = cos * uIm - (sRe * aIm + sIm * aRe);
    uRe = nextRe;
  }
  return (uRe * uRe + uIm * uIm) / (gamma * gamma);
}

function backSubstitute(r: ComplexSignal, z: ComplexSignal): ComplexSignal {
  const size = z.re.length;
  const c = copy(z);
  for (let i = size - 1; i >= 0; i--) {
    for (let j = i + 1; j < size; j++) {
      const at = i * size + j;
      c.re[i] -= r.re[at] * c.re[j] - r.im[at] * c.im[j];
      c.im[i] -= r.re[at] * c.im[j] + r.im[at] * c.re[j];
    }
    c.re[i] /= r.re[i * size + i];
    c.im[i] /= r.re[i * size + i];
  }
  return c;
}
