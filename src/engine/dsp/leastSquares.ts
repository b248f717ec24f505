// Complex linear least squares.
//
// Normal equations: G·c = b with columns scaled to unit norm (D⁻¹GD⁻¹ has a unit diagonal), λ added to that
// diagonal, solved by Cholesky. QR: modified Gram–Schmidt on the scaled columns with the target as last column
// (Björck 1967, BIT 7: backward stable for least squares). Condition numbers are of the regressor matrix: the root
// of the Gram matrix's, from its eigenvalues (cyclic complex Jacobi rotations;
// Golub and Van Loan, section 8.5, from memory).
import { type ComplexSignal, zeros } from './complex.ts';

/** Condition numbers of the regressor matrix; null when its columns are dependent in double precision. */
export interface Conditioning {
  /** Of the column-scaled matrix. */
  readonly conditionNumber: number | null;
  /** Of the matrix as it is. */
  readonly rawConditionNumber: number | null;
}

export interface LeastSquaresSolution extends Conditioning {
  readonly coefficients: ComplexSignal;
}

/** solveByCholesky with the condition numbers of its matrix. */
export function solveNormalEquations(
  gram: ComplexSignal,
  rightSide: ComplexSignal,
  ridge: number,
): LeastSquaresSolution | null {
  const coefficients = solveByCholesky(gram, rightSide, ridge);
  return coefficients && { coefficients, ...conditioningOf(gram, rightSide.re.length) };
}

/**
 * Solves column-scaled normal equations. gram: Hermitian, row by row; rightSide Φᴴu.
 * ridge: λ on the unit diagonal, ≥ 0. Returns null when Cholesky breaks down: the columns are dependent.
 */
export function solveByCholesky(gram: ComplexSignal, rightSide: ComplexSignal, ridge: number): ComplexSignal | null {
  const size = rightSide.re.length;
  if (gram.re.length !== size * size)
    throw new RangeError(`leastSquares: Gram of ${gram.re.length} entries for ${size} terms`);
  const scales = columnScales(gram, size);
  if (scales === null) return null;
  const scaled = scaleGram(gram, scales);
  for (let i = 0; i < size; i++) scaled.re[i * size + i] += ridge;
  if (!choleskyInPlace(scaled, size)) return null;
  const c = zeros(size);
  for (let i = 0; i < size; i++) {
    c.re[i] = rightSide.re[i] * scales[i];
    c.im[i] = rightSide.im[i] * scales[i];
  }
  substituteInPlace(scaled, c, size);
  for (let i = 0; i < size; i++) {
    c.re[i] *= scales[i];
    c.im[i] *= scales[i];
  }
  return c;
}

/** Condition numbers of the matrix whose Gram matrix this is, with columns scaled to unit norm and as they are. */
export function conditioningOf(gram: ComplexSignal, size: number): Conditioning {
  const scales = columnScales(gram, size);
  return {
    conditionNumber: scales && finiteOrNull(conditionOfGram(scaleGram(gram, scales), size)),
    rawConditionNumber: finiteOrNull(conditionOfGram(gram, size)),
  };
}

function finiteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/** 1/‖φ_i‖ from the diagonal; null when a column is zero. */
function columnScales(gram: ComplexSignal, size: number): Float64Array | null {
  const scales = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const energy = gram.re[i * size + i];
    if (!(energy > 0)) return null;
    scales[i] = 1 / Math.sqrt(energy);
  }
  return scales;
}

function scaleGram(gram: ComplexSignal, scales: Float64Array): ComplexSignal {
  const size = scales.length;
  const out = zeros(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      out.re[i * size + j] = gram.re[i * size + j] * scales[i] * scales[j];
      out.im[i * size + j] = gram.im[i * size + j] * scales[i] * scales[j];
    }
  }
  return out;
}

/** A = L·Lᴴ; L overwrites the lower triangle. False when A is not positive definite in double precision. */
function choleskyInPlace(a: ComplexSignal, size: number): boolean {
  for (let j = 0; j < size; j++) {
    let diagonal = a.re[j * size + j];
    for (let k = 0; k < j; k++) {
      const re = a.re[j * size + k];
      const im = a.im[j * size + k];
      diagonal -= re * re + im * im;
    }
    if (!(diagonal > 1e-15)) return false;
    const root = Math.sqrt(diagonal);
    a.re[j * size + j] = root;
    a.im[j * size + j] = 0;
    for (let i = j + 1; i < size; i++) {
      let re = a.re[i * size + j];
      let im = a.im[i * size + j];
      for (let k = 0; k < j; k++) {
        const p = i * size + k;
        const q = j * size + k;
        re -= a.re[p] * a.re[q] + a.im[p] * a.im[q];
        im -= a.im[p] * a.re[q] - a.re[p] * a.im[q];
      }
      a.re[i * size + j] = re / root;
      a.im[i * size + j] = im / root;
    }
  }
  return true;
}

/** c ← L⁻ᴴ·L⁻¹·c. */
function substituteInPlace(l: ComplexSignal, c: ComplexSignal, size: number): void {
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) {
      const p = i * size + k;
      c.re[i] -= l.re[p] * c.re[k] - l.im[p] * c.im[k];
      c.im[i] -= l.re[p] * c.im[k] + l.im[p] * c.re[k];
    }
    c.re[i] /= l.re[i * size + i];
    c.im[i] /= l.re[i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) {
      const p = k * size + i;
      c.re[i] -= l.re[p] * c.re[k] + l.im[p] * c.im[k];
      c.im[i] -= l.re[p] * c.im[k] - l.im[p] * c.re[k];
    }
    c.re[i] /= l.re[i * size + i];
    c.im[i] /= l.re[i * size + i];
  }
}

/** Above this size all eigenvalues cost more than the fit: the two outer ones are iterated for. */
const JACOBI_SIZE = 96;
const OUTER_ITERATIONS = 60;

/** Condition number of the matrix whose Gram matrix this is: sqrt(λmax/λmin). */
export function conditionOfGram(gram: ComplexSignal, size: number): number {
  if (size > JACOBI_SIZE) return conditionByIteration(gram, size);
  const eigenvalues = hermitianEigenvalues(gram, size);
  let smallest = Infinity;
  let largest = 0;
  for (const value of eigenvalues) {
    smallest = Math.min(smallest, value);
    largest = Math.max(largest, value);
  }
  return smallest > 0 ? Math.sqrt(largest / smallest) : Infinity;
}

/**
 * λmax by power iteration and 1/λmin by inverse iteration, from a start without symmetry: lower bounds, within a few
 * percent for Gram matrices of functions (Golub and Van Loan, section 7.3, from memory).
 */
function conditionByIteration(gram: ComplexSignal, size: number): number {
  const factor = { re: gram.re.slice(), im: gram.im.slice() };
  if (!choleskyInPlace(factor, size)) return Infinity;
  const largest = outerEigenvalue(size, (v) => hermitianTimes(gram, v, size));
  const inverse = outerEigenvalue(size, (v) => {
    const out = { re: v.re.slice(), im: v.im.slice() };
    substituteInPlace(factor, out, size);
    return out;
  });
  return Math.sqrt(largest * inverse);
}

function outerEigenvalue(size: number, times: (v: ComplexSignal) => ComplexSignal): number {
  let v = zeros(size);
  for (let i = 0; i < size; i++) {
    v.re[i] = Math.cos(i * i);
    v.im[i] = Math.sin(3 * i + 1);
  }
  let eigenvalue = 0;
  for (let turn = 0; turn <= OUTER_ITERATIONS; turn++) {
    eigenvalue = normaliseColumn(v);
    v = times(v);
  }
  return eigenvalue;
}

function hermitianTimes(gram: ComplexSignal, v: ComplexSignal, size: number): ComplexSignal {
  const out = zeros(size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      const at = i * size + j;
      out.re[i] += gram.re[at] * v.re[j] - gram.im[at] * v.im[j];
      out.im[i] += gram.re[at] * v.im[j] + gram.im[at] * v.re[j];
    }
  }
  return out;
}

const JACOBI_SWEEPS = 30;

function hermitianEigenvalues(gram: ComplexSignal, size: number): Float64Array {
  const a = { re: gram.re.slice(), im: gram.im.slice() };
  for (let sweep = 0; sweep < JACOBI_SWEEPS; sweep++) {
    let rotated = false;
    for (let p = 0; p < size - 1; p++) {
      for (let q = p + 1; q < size; q++) rotated = jacobiRotate(a, size, p, q) || rotated;
    }
    if (!rotated) break;
  }
  const values = new Float64Array(size);
  for (let i = 0; i < size; i++) values[i] = a.re[i * size + i];
  return values;
}

/**
 * One two-sided rotation that clears a[p][q]; false when it is already negligible. With a[p][q] = b·exp(jφ), column q
 * is turned by exp(−jφ), which leaves a real rotation: tan from cot 2θ = (a[q][q] − a[p][p])/(2b).
 */
function jacobiRotate(a: ComplexSignal, n: number, p: number, q: number): boolean {
  const offRe = a.re[p * n + q];
  const offIm = a.im[p * n + q];
  const b = Math.sqrt(offRe * offRe + offIm * offIm);
  const dp = a.re[p * n + p];
  const dq = a.re[q * n + q];
  if (b === 0 || b <= 1e-17 * Math.sqrt(Math.abs(dp * dq))) return false;
  const theta = (dq - dp) / (2 * b);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const cos = 1 / Math.sqrt(t * t + 1);
  const sin = t * cos;
  turnPair(a, p, q, n, cos, sin, offRe / b, -offIm / b);
  turnPair(a, p * n, q * n, 1, cos, sin, offRe / b, offIm / b);
  return true;
}

/** (u, v) ← (cos·u − sin·e·v, sin·u + cos·e·v) for two columns (step n) or two rows (step 1), e = eRe + j·eIm. */
function turnPair(
  a: ComplexSignal,
  firstU: number,
  firstV: number,
  step: number,
  cos: number,
  sin: number,
  eRe: number,
  eIm: number,
): void {
  const count = Math.sqrt(a.re.length);
  for (let k = 0; k < count; k++) {
    const u = firstU + k * step;
    const v = firstV + k * step;
    const vRe = eRe * a.re[v] - eIm * a.im[v];
    const vIm = eRe * a.im[v] + eIm * a.re[v];
    const uRe = a.re[u];
    const uIm = a.im[u];
    a.re[u] = cos * uRe - sin * vRe;
    a.im[u] = cos * uIm - sin * vIm;
    a.re[v] = sin * uRe + cos * vRe;
    a.im[v] = sin * uIm + cos * vIm;
  }
}

/**
 * Least squares by QR. columns: [term][row], overwritten; target: [row].
 * Returns null when a column is dependent on those before it to 1e-14. RangeError with fewer rows than columns.
 */
export function solveByQr(columns: ComplexSignal[], target: ComplexSignal): ComplexSignal | null {
  const size = columns.length;
  const rows = target.re.length;
  if (rows < size) throw new RangeError(`leastSquares: ${rows} rows cannot determine ${size} coefficients`);
  const scales = columns.map(normaliseColumn);
  const r = zeros(size * size);
  const rhs = zeros(size);
  const u = { re: target.re.slice(), im: target.im.slice() };
  for (let j = 0; j < size; j++) {
    const norm = normaliseColumn(columns[j]);
    if (!(norm > 1e-14)) return null;
    r.re[j * size + j] = norm;
    for (let k = j + 1; k < size; k++) projectOut(columns[j], columns[k], r, j * size + k);
    projectOut(columns[j], u, rhs, j);
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) {
      const p = i * size + k;
      rhs.re[i] -= r.re[p] * rhs.re[k] - r.im[p] * rhs.im[k];
      rhs.im[i] -= r.re[p] * rhs.im[k] + r.im[p] * rhs.re[k];
    }
    rhs.re[i] /= r.re[i * size + i];
    rhs.im[i] /= r.re[i * size + i];
  }
  for (let i = 0; i < size; i++) {
    rhs.re[i] /= scales[i];
    rhs.im[i] /= scales[i];
  }
  return rhs;
}

/** Scales a column to unit norm in place and returns the norm it had. */
function normaliseColumn(a: ComplexSignal): number {
  let sum = 0;
  for (let n = 0; n < a.re.length; n++) sum += a.re[n] * a.re[n] + a.im[n] * a.im[n];
  const norm = Math.sqrt(sum);
  if (norm === 0) return 0;
  for (let n = 0; n < a.re.length; n++) {
    a.re[n] /= norm;
    a.im[n] /= norm;
  }
  return norm;
}

/** a ← a − q·⟨a, q⟩; the projection goes to out[at]. */
function projectOut(q: ComplexSignal, a: ComplexSignal, out: ComplexSignal, at: number): void {
  let re = 0;
  let im = 0;
  for (let n = 0; n < a.re.length; n++) {
    re += q.re[n] * a.re[n] + q.im[n] * a.im[n];
    im += q.re[n] * a.im[n] - q.im[n] * a.re[n];
  }
  for (let n = 0; n < a.re.length; n++) {
    a.re[n] -= re * q.re[n] - im * q.im[n];
    a.im[n] -= re * q.im[n] + im * q.re[n];
  }
  out.re[at] = re;
  out.im[at] = im;
}
