// Fourier transforms of complex signals of any length.
//
// Forward unscaled: X[b] = Σ x[n]·exp(−j2πbn/N). Inverse 1/N. Bin 0 first; spectrum.ts alone reorders bins.
// Powers of two run directly, others by shorter lengths or by a convolution, whichever transformPlan.ts finds quicker.
// The inverse is the forward transform with real and imaginary parts swapped before and after.
import FftPackage from 'fft.js';
import { chirpPlan } from './chirpTransform.ts';
import { type ComplexSignal, type Samples, zeros } from './complex.ts';
import { splitPlan } from './splitTransform.ts';
import { isPowerOfTwo, nextPowerOfTwo, recipeFor, type TransformPlan } from './transformPlan.ts';

export { isPowerOfTwo, nextPowerOfTwo };

const plans = new Map<number, TransformPlan>();
/** Plans of this length and more hold megabytes: the least recently made go when there are too many. */
const LARGE_LENGTH = 1 << 15;
const LARGE_PLANS_KEPT = 6;

/**
 * The transform of a length with its buffers, for callers that fill and read them themselves. Every call for the same
 * length gives the same buffers, and any other transform may use them: fill, run and read without a transform between.
 */
export function transformOf(length: number): TransformPlan {
  const known = plans.get(length);
  if (known !== undefined) return known;
  const plan = makePlan(length);
  const large = [...plans.keys()].filter((other) => other >= LARGE_LENGTH);
  if (length >= LARGE_LENGTH && large.length >= LARGE_PLANS_KEPT) plans.delete(large[0]);
  plans.set(length, plan);
  return plan;
}

function makePlan(length: number): TransformPlan {
  const recipe = recipeFor(length);
  if (recipe.kind === 'split') return splitPlan(transformOf(recipe.columnLength), transformOf(recipe.rowLength));
  if (recipe.kind === 'chirp') return chirpPlan(length, directPlan(recipe.convolutionLength));
  return directPlan(length);
}

/** Plans of the package itself: any power of two, long ones too where a convolution needs them. */
const directPlans = new Map<number, TransformPlan>();

function directPlan(length: number): TransformPlan {
  const known = length < LARGE_LENGTH ? directPlans.get(length) : undefined;
  if (known !== undefined) return known;
  const input = new Float64Array(2 * length);
  const output = new Float64Array(2 * length);
  const plan = { length, input, output, run: runnerOf(length, input, output) };
  if (length < LARGE_LENGTH) directPlans.set(length, plan);
  return plan;
}

function runnerOf(length: number, input: Samples, output: Samples): () => void {
  // The package begins at two points.
  if (length === 1) return () => output.set(input);
  const transform = new FftPackage(length);
  return () => transform.transform(output, input);
}

/** Forward transform into `out` (which may be `x`). Length a power of two. */
export function fftInto(x: ComplexSignal, out: ComplexSignal): void {
  requirePowerOfTwo(x.re.length);
  forward(x.re, x.im, out.re, out.im);
}

/** Inverse transform, scaled 1/N, into `out` (which may be `x`). Length a power of two. */
export function inverseFftInto(x: ComplexSignal, out: ComplexSignal): void {
  requirePowerOfTwo(x.re.length);
  backward(x, out);
}

function requirePowerOfTwo(length: number): void {
  if (!isPowerOfTwo(length)) throw new RangeError(`fft: length ${length} is not a power of two`);
}

/** Forward transform of any length. */
export function fft(x: ComplexSignal): ComplexSignal {
  const out = zeros(x.re.length);
  if (x.re.length > 0) forward(x.re, x.im, out.re, out.im);
  return out;
}

/** Inverse transform of any length, scaled 1/N. */
export function inverseFft(x: ComplexSignal): ComplexSignal {
  const out = zeros(x.re.length);
  if (x.re.length > 0) backward(x, out);
  return out;
}

/** Inverse transform of any length, scaled 1/N, in the place of `x`; for long records that need no second copy. */
export function inverseFftInPlace(x: ComplexSignal): ComplexSignal {
  if (x.re.length > 0) backward(x, x);
  return x;
}

function forward(re: Samples, im: Samples, outRe: Samples, outIm: Samples): void {
  const { input, output, run } = transformOf(re.length);
  interleave(re, im, input);
  run();
  separate(output, outRe, outIm, 1);
}

function backward(x: ComplexSignal, out: ComplexSignal): void {
  const { input, output, run } = transformOf(x.re.length);
  interleave(x.im, x.re, input);
  run();
  separate(output, out.im, out.re, 1 / x.re.length);
}

/** Pairs from two arrays. */
export function interleave(first: Samples, second: Samples, pairs: Samples): void {
  for (let n = 0; n < first.length; n++) {
    pairs[2 * n] = first[n];
    pairs[2 * n + 1] = second[n];
  }
}

/** Two arrays from pairs, times a factor. */
export function separate(pairs: Samples, first: Samples, second: Samples, factor: number): void {
  for (let n = 0; n < first.length; n++) {
    first[n] = factor * pairs[2 * n];
    second[n] = factor * pairs[2 * n + 1];
  }
}

/** x ← x·y, sample by sample. */
export function multiplyInPlace(x: ComplexSignal, y: ComplexSignal): void {
  for (let n = 0; n < x.re.length; n++) {
    const re = x.re[n] * y.re[n] - x.im[n] * y.im[n];
    x.im[n] = x.re[n] * y.im[n] + x.im[n] * y.re[n];
    x.re[n] = re;
  }
}
