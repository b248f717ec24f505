// Odd-order polynomials orthonormal for a complex Gaussian of unit variance:
//   ψ_{2k+1}(x) = Σ_{m=0}^{k} (−1)^{k−m}·sqrt(k+1)/(m+1)!·C(k, m)·x·|x|^{2m} = x·L_k^{(1)}(|x|²)/sqrt(k+1) up to sign
// Source: Raich and Zhou 2004, IEEE Trans. Signal Process. 52(10) (formula from memory; orthonormality checked, OP-01).
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
