// Polynomials x·p(|x|) that are orthogonal for a stated amplitude.
//
// Odd orders, orthonormal for a complex Gaussian of unit variance:
//   ψ_{2k+1}(x) = Σ_{m=0}^{k} (−1)^{k−m}·sqrt(k+1)/(m+1)!·C(k, m)·x·|x|^{2m} = x·L_k^{(1)}(|x|²)/sqrt(k+1) up to sign
// Source: Raich and Zhou 2004, IEEE Trans. Signal Process. 52(10) (formula from memory; orthonormality checked, OP-01).
//
// All orders, orthogonal for |x| uniform from 0 to 1, of squared norm 1/(2k+1):
//   ψ_k(x) = Σ_{l=1}^{k} (−1)^{l+k}·(k+l)!/((l−1)!·(l+1)!·(k−l)!)·x·|x|^{l−1}
// Source: Raich, Qian and Zhou 2004, IEEE Trans. Veh. Technol. 53(5) (from memory; orthogonality checked, OP-02).
//
// Any other list of orders: Gram–Schmidt, each function twice, on a fine grid of the amplitude.
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';

/** Coefficients of x·|x|^{2m}, m = 0 … k, of ψ_{2k+1}. */
export function orthonormalCoefficients(k: number): Samples {
  const out = new Float64Array(k + 1);
  let binomial = 1;
  let factorial = 1;
  for (let m = 0; m <= k; m++) {
    factorial *= m + 1;
    const sign = (k - m) & 1 ? -1 : 1;
    out[m] = (sign * Math.sqrt(k + 1) * binomial) / factorial;
    binomial = (binomial * (k - m)) / (m + 1);
  }
  return out;
}

/**
 * Turns coefficients a_m of x·|x|^{2m} (unit variance) into coefficients of ψ_{2k+1}: solves the triangular system
 * a_m = Σ_{k ≥ m} b_k·ψ_{k,m} from the highest order down. Shapes [orderCount].
 */
export function toOrthonormal(a: ComplexSignal): ComplexSignal {
  const count = a.re.length;
  const rest = { re: a.re.slice(), im: a.im.slice() };
  const b = zeros(count);
  for (let k = count - 1; k >= 0; k--) {
    const psi = orthonormalCoefficients(k);
    b.re[k] = rest.re[k] / psi[k];
    b.im[k] = rest.im[k] / psi[k];
    for (let m = 0; m <= k; m++) {
      rest.re[m] -= b.re[k] * psi[m];
      rest.im[m] -= b.im[k] * psi[m];
    }
  }
  return b;
}

/** The amplitude for which functions are orthogonal: of a complex Gaussian of unit variance, or uniform from 0 to 1. */
export type Amplitude = 'gaussian' | 'uniform';

/** OP-02: coefficients of x·|x|^(l−1), l = 1 … k, of ψ_k; whole numbers. */
export function uniformCoefficients(k: number): Samples {
  const out = new Float64Array(k);
  // (k+1)!/(0!·2!·(k−1)!) = k·(k+1)/2, then by the ratio of neighbours.
  let size = (k * (k + 1)) / 2;
  for (let l = 1; l <= k; l++) {
    out[l - 1] = (l + k) & 1 ? -size : size;
    size = (size * (k + l + 1) * (k - l)) / (l * (l + 2));
  }
  return out;
}

/**
 * One row for each order, rising: coefficients over the orders up to its own, so that the functions
 * Σ_m row[m]·x·|x|^(orders[m]−1) are orthogonal and span what those orders span.
 */
export function orthogonalRows(orders: readonly number[], amplitude: Amplitude): Samples[] {
  if (amplitude === 'gaussian' && orders.every((order, i) => order === 2 * i + 1)) {
    return orders.map((_, k) => orthonormalCoefficients(k));
  }
  if (amplitude === 'uniform' && orders.every((order, i) => order === i + 1)) {
    return orders.map((order) => uniformCoefficients(order));
  }
  return gramSchmidtRows(orders, amplitude);
}

const GRID_POINTS = 2000;
/** A Gaussian's amplitude passes this once in 10²⁰. */
const LARGEST_GAUSSIAN = 7;

function gramSchmidtRows(orders: readonly number[], amplitude: Amplitude): Samples[] {
  const { radius, weight } = gridOf(amplitude);
  const made: { readonly row: Samples; readonly values: Samples }[] = [];
  orders.forEach((order, k) => {
    const row = new Float64Array(k + 1);
    row[k] = 1;
    const values = radius.map((r) => r ** order);
    for (let turn = 0; turn < 2; turn++) {
      for (const earlier of made) {
        const share = weightedSum(values, earlier.values, weight);
        for (let i = 0; i < values.length; i++) values[i] -= share * earlier.values[i];
        for (let m = 0; m < earlier.row.length; m++) row[m] -= share * earlier.row[m];
      }
    }
    const norm = Math.sqrt(weightedSum(values, values, weight));
    made.push({ row: row.map((value) => value / norm), values: values.map((value) => value / norm) });
  });
  return made.map(({ row }) => row);
}

/** Midpoints of equal steps, and the amplitude's probability at each. */
function gridOf(amplitude: Amplitude): { readonly radius: Samples; readonly weight: Samples } {
  const step = (amplitude === 'gaussian' ? LARGEST_GAUSSIAN : 1) / GRID_POINTS;
  const radius = Float64Array.from({ length: GRID_POINTS }, (_, i) => (i + 0.5) * step);
  const weight = radius.map((r) => (amplitude === 'gaussian' ? 2 * r * Math.exp(-r * r) : 1) * step);
  return { radius, weight };
}

function weightedSum(a: Samples, b: Samples, weight: Samples): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i] * weight[i];
  return sum;
}
