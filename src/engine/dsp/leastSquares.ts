// Complex linear least squares.
//
// Normal equations: G·c = b with columns scaled to unit norm (D⁻¹GD⁻¹ has a unit diagonal), λ added to that
// diagonal, solved by Cholesky. QR: modified Gram–Schmidt on the scaled columns with the target as last column
// (Björck 1967, BIT 7: backward stable for least squares). Condition numbers are of the regressor matrix: the root
// of the Gram matrix's, from its eigenvalues (cyclic Jacobi on the real symmetric form [[A, −B], [B, A]]).
import { type ComplexSignal, zeros } from './complex.ts';

export interface LeastSquaresSolution {
  readonly coefficients: ComplexSignal;
  /** Of the column-scaled regressor matrix. Infinity when the columns are dependent in double precision. */
  readonly conditionNumber: number;
  /** Of the regressor matrix as it is. */
  readonly rawConditionNumber: number;
}

/**
 * Solves column-scaled normal equations. gram: Hermitian, row by row; rightSide Φᴴu.
 * ridge: λ on the unit diagonal, ≥ 0. Returns null when Cholesky breaks down: the columns are dependent.
 */
export function solveNormalEquations(
  gram: ComplexSignal,
  rightSide: ComplexSignal,
  ridge: number,
): LeastSquaresSolution | null {
  const size = rightSide.re.length;
  if (gram.re.length !== size * size)
    throw new RangeError(`leastSquares: Gram of ${gram.re.length} entries for ${size} terms`);
  const scales = new Float64Array(size);
  for (let i = 0; i < size; i++) scales[i] = gram.re[i * size + i] > 0 ? 1 / Math.sqrt(gram.re[i * size + i]) : 0;
  if (scales.some((value) => value === 0)) return null;
  const scaled = scaleGram(gram, scales);
  const conditionNumber = conditionOfGram(scaled, size);
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
  return { coefficients: c, conditionNumber, rawConditionNumber: conditionOfGram(gram, size) };
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

/** Condition number of the matrix whose Gram matrix this is: sqrt(λmax/λmin). */
export function conditionOfGram(gram: ComplexSignal, size: number): number {
  const eigenvalues = hermitianEigenvalues(gram, size);
  let smallest = Infinity;
  let largest = 0;
  for (const value of eigenvalues) {
    smallest = Math.min(smallest, value);
    largest = Math.max(largest, value);
  }
  return smallest > 0 ? Math.sqrt(largest / smallest) : Infinity;
}

const JACOBI_SWEEPS = 30;

/** Eigenvalues of a Hermitian matrix; each appears twice, from its real symmetric form. */
function hermitianEigenvalues(a: ComplexSignal, size: number): Float64Array {
  const n = 2 * size;
  const s = new Float64Array(n * n);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      const re = a.re[i * size + j];
      const im = a.im[i * size + j];
      s[i * n + j] = re;
      s[(i + size) * n + j + size] = re;
      s[i * n + j + size] = -im;
      s[(i + size) * n + j] = im;
    }
  }
  for (let sweep = 0; sweep < JACOBI_SWEEPS; sweep++) {
    let rotated = false;
    for (let p = 0; p < n - 1; p++) {
      for (let q = p + 1; q < n; q++) rotated = jacobiRotate(s, n, p, q) || rotated;
    }
    if (!rotated) break;
  }
  const values = new Float64Array(n);
  for (let i = 0; i < n; i++) values[i] = s[i * n + i];
  return values;
}

/** One two-sided rotation that clears s[p][q]; false when it is already negligible. */
function jacobiRotate(s: Float64Array, n: number, p: number, q: number): boolean {
  const off = s[p * n + q];
  const dp = s[p * n + p];
  const dq = s[q * n + q];
  if (Math.abs(off) <= 1e-17 * Math.sqrt(Math.abs(dp * dq)) || off === 0) return false;
  const theta = (dq - dp) / (2 * off);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const cos = 1 / Math.sqrt(t * t + 1);
  const sin = t * cos;
  for (let k = 0; k < n; k++) {
    const kp = s[k * n + p];
    const kq = s[k * n + q];
    s[k * n + p] = cos * kp - sin * kq;
    s[k * n + q] = sin * kp + cos * kq;
  }
  for (let k = 0; k < n; k++) {
    const pk = s[p * n + k];
    const qk = s[q * n + k];
    s[p * n + k] = cos * pk - sin * qk;
    s[q * n + k] = sin * pk + cos * qk;
  }
  return true;
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
