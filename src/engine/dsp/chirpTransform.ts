// A transform of any length N by a convolution of power-of-two length M ≥ 2N − 1 (Bluestein 1970):
//   X[b] = w[b]·Σ_n (x[n]·w[n])·conj(w[b−n]),   w[n] = exp(−jπn²/N)
// The inverse transform inside is a forward one of the conjugate: IFFT(Y) = conj(FFT(conj Y))/M.
import type { Samples } from './complex.ts';
import type { TransformPlan } from './transformPlan.ts';

/** The transform of `length` points that convolves by `convolution`, whose length is a power of two ≥ 2·length − 1. */
export function chirpPlan(length: number, convolution: TransformPlan): TransformPlan {
  const input = new Float64Array(2 * length);
  const output = new Float64Array(2 * length);
  const chirp = chirpOf(length);
  const kernel = kernelOf(chirp, convolution);
  const run = () => {
    multiply(input, chirp, convolution.input);
    convolution.input.fill(0, 2 * length);
    convolution.run();
    multiplyConjugated(convolution.output, kernel, convolution.input);
    convolution.run();
    conjugateTimes(convolution.output, chirp, output);
  };
  return { length, input, output, run };
}

function chirpOf(length: number): Samples {
  const chirp = new Float64Array(2 * length);
  // n² mod 2N, summed from one square to the next, keeps the angle exact for long records.
  let square = 0;
  for (let n = 0; n < length; n++) {
    const angle = (-Math.PI * square) / length;
    chirp[2 * n] = Math.cos(angle);
    chirp[2 * n + 1] = Math.sin(angle);
    square = (square + 2 * n + 1) % (2 * length);
  }
  return chirp;
}

/** Transform of the wrapped conjugate chirp, over M. */
function kernelOf(chirp: Samples, { length: size, input, output, run }: TransformPlan): Samples {
  input.fill(0);
  for (let n = 0; n < chirp.length / 2; n++) {
    const mirror = n === 0 ? 0 : size - n;
    input[2 * n] = input[2 * mirror] = chirp[2 * n];
    input[2 * n + 1] = input[2 * mirror + 1] = -chirp[2 * n + 1];
  }
  run();
  return output.map((value) => value / size);
}

/** out ← x·y for the pairs of y. */
function multiply(x: Samples, y: Samples, out: Samples): void {
  for (let i = 0; i < y.length; i += 2) {
    out[i] = x[i] * y[i] - x[i + 1] * y[i + 1];
    out[i + 1] = x[i] * y[i + 1] + x[i + 1] * y[i];
  }
}

/** out ← conj(x·y). */
function multiplyConjugated(x: Samples, y: Samples, out: Samples): void {
  for (let i = 0; i < y.length; i += 2) {
    out[i] = x[i] * y[i] - x[i + 1] * y[i + 1];
    out[i + 1] = -x[i] * y[i + 1] - x[i + 1] * y[i];
  }
}

/** out ← conj(x)·y for the pairs of y. */
function conjugateTimes(x: Samples, y: Samples, out: Samples): void {
  for (let i = 0; i < y.length; i += 2) {
    out[i] = x[i] * y[i] + x[i + 1] * y[i + 1];
    out[i + 1] = x[i] * y[i + 1] - x[i + 1] * y[i];
  }
}
