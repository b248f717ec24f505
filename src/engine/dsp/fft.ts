// Fourier transforms of complex signals of any length.
//
// Forward unscaled: X[b] = Σ x[n]·exp(−j2πbn/N). Inverse 1/N. Bin 0 first; spectrum.ts alone reorders bins.
// Lengths that are powers of two run directly; others by the chirp transform (Bluestein 1970):
// X[b] = w[b]·Σ (x[n]·w[n])·conj(w[b−n]), w[n] = exp(−jπn²/N), a convolution of power-of-two length.
import FftPackage from 'fft.js';
import { type ComplexSignal, zeros } from './complex.ts';
import { cheapestColumnLength, rowColumnTransform } from './rowColumnTransform.ts';

interface Plan {
  readonly transform: FftPackage;
  readonly input: Float64Array;
  readonly output: Float64Array;
}

const plans = new Map<number, Plan>();

function planOf(size: number): Plan {
  let plan = plans.get(size);
  if (plan === undefined) {
    plan = { transform: new FftPackage(size), input: new Float64Array(2 * size), output: new Float64Array(2 * size) };
    plans.set(size, plan);
  }
  return plan;
}

export function isPowerOfTwo(length: number): boolean {
  return Number.isInteger(length) && length > 0 && (length & (length - 1)) === 0;
}

/** Smallest power of two that is at least `length`. */
export function nextPowerOfTwo(length: number): number {
  let size = 1;
  while (size < length) size *= 2;
  return size;
}

/** Forward transform into `out` (which may be `x`). Length a power of two. */
export function fftInto(x: ComplexSignal, out: ComplexSignal): void {
  runPowerOfTwo(x, out, false);
}

/** Inverse transform, scaled 1/N, into `out` (which may be `x`). Length a power of two. */
export function inverseFftInto(x: ComplexSignal, out: ComplexSignal): void {
  runPowerOfTwo(x, out, true);
}

function runPowerOfTwo(x: ComplexSignal, out: ComplexSignal, inverse: boolean): void {
  const size = x.re.length;
  if (!isPowerOfTwo(size)) throw new RangeError(`fft: length ${size} is not a power of two`);
  if (size === 1) {
    out.re[0] = x.re[0];
    out.im[0] = x.im[0];
    return;
  }
  const { transform, input, output } = planOf(size);
  for (let n = 0; n < size; n++) {
    input[2 * n] = x.re[n];
    input[2 * n + 1] = x.im[n];
  }
  if (inverse) transform.inverseTransform(output, input);
  else transform.transform(output, input);
  for (let n = 0; n < size; n++) {
    out.re[n] = output[2 * n];
    out.im[n] = output[2 * n + 1];
  }
}

/** Forward transform of any length. */
export function fft(x: ComplexSignal): ComplexSignal {
  const out = zeros(x.re.length);
  const columnLength = columnLengthOf(x.re.length);
  if (columnLength > 1) rowColumnTransform(x, out, columnLength, transformInPlace);
  else transformInto(x, out);
  return out;
}

function transformInto(x: ComplexSignal, out: ComplexSignal): void {
  if (isPowerOfTwo(x.re.length)) fftInto(x, out);
  else chirpInto(x, out);
}

function transformInPlace(x: ComplexSignal): void {
  transformInto(x, x);
}

const columnLengths = new Map<number, number>();

/** How a long length is split into short transforms, or 1 for none. Powers of two stay whole. */
function columnLengthOf(length: number): number {
  let columnLength = columnLengths.get(length);
  if (columnLength === undefined) {
    columnLength = isPowerOfTwo(length) ? 1 : cheapestColumnLength(length, costPerSample);
    columnLengths.set(length, columnLength);
  }
  return columnLength;
}

/** Nanoseconds per sample, measured: flat up to 2^14 samples, then more for every doubling that leaves the cache. */
function costPerSample(length: number): number {
  const size = isPowerOfTwo(length) ? length : nextPowerOfTwo(2 * length - 1);
  const cost = 18 + 7.5 * Math.max(0, Math.log2(size) - 14);
  // The chirp runs two transforms of the larger size and multiplies three times.
  return size === length ? cost : (2.2 * cost * size) / length;
}

/** Inverse transform of any length, scaled 1/N. */
export function inverseFft(x: ComplexSignal): ComplexSignal {
  const size = x.re.length;
  if (isPowerOfTwo(size)) {
    const out = zeros(size);
    inverseFftInto(x, out);
    return out;
  }
  // Swapping real and imaginary parts turns the forward transform into the inverse one.
  const swapped = fft({ re: x.im, im: x.re });
  for (let n = 0; n < size; n++) {
    swapped.re[n] /= size;
    swapped.im[n] /= size;
  }
  return { re: swapped.im, im: swapped.re };
}

interface Chirp {
  readonly w: ComplexSignal;
  /** Transform of the wrapped conjugate chirp. */
  readonly kernel: ComplexSignal;
  /** Scratch of the kernel's length. */
  readonly work: ComplexSignal;
}

const chirps = new Map<number, Chirp>();
const CHIRPS_KEPT = 8;

function chirpOf(length: number): Chirp {
  const known = chirps.get(length);
  if (known !== undefined) return known;
  const size = nextPowerOfTwo(2 * length - 1);
  const w = zeros(length);
  const kernel = zeros(size);
  for (let n = 0; n < length; n++) {
    // n² mod 2N keeps the angle exact for long records.
    const angle = (-Math.PI * Number((BigInt(n) * BigInt(n)) % BigInt(2 * length))) / length;
    w.re[n] = Math.cos(angle);
    w.im[n] = Math.sin(angle);
    const mirror = n === 0 ? 0 : size - n;
    kernel.re[n] = kernel.re[mirror] = w.re[n];
    kernel.im[n] = kernel.im[mirror] = -w.im[n];
  }
  fftInto(kernel, kernel);
  if (chirps.size >= CHIRPS_KEPT) chirps.delete(chirps.keys().next().value as number);
  const chirp = { w, kernel, work: zeros(size) };
  chirps.set(length, chirp);
  return chirp;
}

function chirpInto(x: ComplexSignal, out: ComplexSignal): void {
  const length = x.re.length;
  const { w, kernel, work } = chirpOf(length);
  for (let n = 0; n < length; n++) {
    work.re[n] = x.re[n] * w.re[n] - x.im[n] * w.im[n];
    work.im[n] = x.re[n] * w.im[n] + x.im[n] * w.re[n];
  }
  work.re.fill(0, length);
  work.im.fill(0, length);
  fftInto(work, work);
  multiplyInPlace(work, kernel);
  inverseFftInto(work, work);
  for (let b = 0; b < length; b++) {
    out.re[b] = work.re[b] * w.re[b] - work.im[b] * w.im[b];
    out.im[b] = work.re[b] * w.im[b] + work.im[b] * w.re[b];
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
