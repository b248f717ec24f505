// A memoryless amplitude curve under flat Gaussian noise in closed form: how much of every order it makes, and where that
// falls. Touching channels as wide as the noise.
//
//   b_m = E[g(r)·r·L_m¹(r²)]/√(m+1)     power of the orthonormal order 2m+1 is b_m², r² exponential of mean 1
//   P_j = Σ_m b_m²·⟨2m+1, m+j⟩/(2m+1)!  Eulerian numbers: (2m+1)-fold convolution of rectangles
// Source: GA-13 and GA-14; the basis is OP-01 (Raich and Zhou 2004).

const REACH = 8;
const STEPS = 2000;
/** Orders up to 161: the hard stop needs them; a smooth curve ends long before. */
const PARTS = 80;

/** Amplitudes and weights of E[f(r)] for a Rayleigh amplitude of mean square 1: Simpson's rule on 2r·exp(−r²). */
const amplitudes = Float64Array.from({ length: STEPS + 1 }, (_, k) => (k * REACH) / STEPS);
const weights = amplitudes.map((r, k) => {
  const simpson = k === 0 || k === STEPS ? 1 : k % 2 === 1 ? 4 : 2;
  return ((simpson * REACH) / STEPS / 3) * 2 * r * Math.exp(-r * r);
});

function expectation(values: Float64Array): number {
  return values.reduce((sum, value, k) => sum + weights[k] * value, 0);
}

/** r·L_m¹(r²)/√(m+1) on the amplitudes, by (k+1)·L_{k+1} = (2k + 2 − x)·L_k − (k + 1)·L_{k−1}. */
const basis: Float64Array[] = [];
{
  let before = amplitudes.map(() => 0);
  let now = amplitudes.map(() => 1);
  for (let k = 0; k < PARTS; k++) {
    const [last, here] = [before, now];
    basis.push(amplitudes.map((r, i) => (r * here[i]) / Math.sqrt(k + 1)));
    before = here;
    now = amplitudes.map((r, i) => ((2 * k + 2 - r * r) * here[i] - (k + 1) * last[i]) / (k + 1));
  }
}

export interface GaussianResponse {
  /** E[g·r]: linear gain. */
  readonly alpha: number;
  /** E[g²] − α²: power of what is not the scaled input, from the error g − r, which loses no digits. */
  readonly distortion: number;
  /** E[g²]: output power for unit input power. */
  readonly outputPower: number;
  /** Power in the channel j away. */
  inChannel(j: number): number;
}

/** Response of the amplitude curve g(r) to noise of mean square 1. */
export function gaussianResponse(curve: (r: number) => number): GaussianResponse {
  const output = amplitudes.map(curve);
  const parts = basis.map((one) => expectation(one.map((value, k) => value * output[k])) ** 2);
  const inChannel = (j: number) => parts.reduce((sum, part, m) => sum + part * shareOf(m, j), 0);
  const alpha = expectation(output.map((value, k) => value * amplitudes[k]));
  const error = output.map((value, k) => value - amplitudes[k]);
  const lost = expectation(error.map((value, k) => value * amplitudes[k]));
  const distortion = expectation(error.map((value) => value * value)) - lost * lost;
  return { alpha, distortion, outputPower: expectation(output.map((value) => value * value)), inChannel };
}

const shares = new Map<number, Float64Array>();

/** ⟨n, m+j⟩/n! for n = 2m+1, by e_n(k) = ((k+1)·e_{n−1}(k) + (n−k)·e_{n−1}(k−1))/n. */
function shareOf(m: number, j: number): number {
  const n = 2 * m + 1;
  let row = shares.get(n);
  if (row === undefined) {
    row = Float64Array.of(1);
    for (let order = 2; order <= n; order++) {
      const before: Float64Array = row;
      row = Float64Array.from(
        { length: order },
        (_, k) => ((k + 1) * (before[k] ?? 0) + (order - k) * (k === 0 ? 0 : before[k - 1])) / order,
      );
    }
    shares.set(n, row);
  }
  return row[m + j] ?? 0;
}
