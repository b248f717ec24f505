// Linear-phase filters and circular convolution of periodic records.
//
// Low-pass: h[n] = 2c·sinc(2c(n − D))·w[n], c = cut-off / sample rate, D = (tapCount − 1)/2, scaled to Σh = 1.
// Kaiser window: w[n] = I0(β√(1 − (n/D − 1)²))/I0(β) (Kaiser 1974; formula from memory, checked against scipy).
// Convolution: y[n] = Σ_k h[k]·x[n − k + delay], indices wrap: the record is one period.
import { type ComplexSignal, type Samples, wrap, zeros } from './complex.ts';
import { interleave, nextPowerOfTwo, separate, transformOf } from './fft.ts';

export interface KaiserLowpassDesign {
  /** Odd. */
  readonly tapCount: number;
  /** Half-amplitude frequency over sample rate, 0 … 0.5. */
  readonly cutoffRatio: number;
  readonly beta: number;
}

/** Modified Bessel function of the first kind, order zero, by its power series Σ ((x/2)^k/k!)²; x ≥ 0. */
export function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-18 * sum; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return sum;
}

/**
 * Linear-phase low-pass by the window method. Real, symmetric, DC gain 1, delay (tapCount − 1)/2 samples.
 * @throws RangeError when tapCount is not a positive odd number, the cut-off is outside (0, 0.5] or beta < 0.
 */
export function kaiserLowpass({ tapCount, cutoffRatio, beta }: KaiserLowpassDesign): Samples {
  if (!Number.isInteger(tapCount) || tapCount < 1 || tapCount % 2 === 0) {
    throw new RangeError(`kaiserLowpass: tapCount ${tapCount} must be a positive odd number`);
  }
  if (!(cutoffRatio > 0 && cutoffRatio <= 0.5)) {
    throw new RangeError(`kaiserLowpass: cutoffRatio ${cutoffRatio} must lie in (0, 0.5]`);
  }
  if (!(beta >= 0)) throw new RangeError(`kaiserLowpass: beta ${beta} must not be negative`);
  const half = (tapCount - 1) / 2;
  const taps = new Float64Array(tapCount);
  const atCentre = besselI0(beta);
  let sum = 0;
  for (let n = 0; n < tapCount; n++) {
    const distance = n - half;
    const position = half === 0 ? 0 : distance / half;
    const window = besselI0(beta * Math.sqrt(Math.max(0, 1 - position * position))) / atCentre;
    const angle = 2 * Math.PI * cutoffRatio * distance;
    taps[n] = window * (distance === 0 ? 2 * cutoffRatio : Math.sin(angle) / (Math.PI * distance));
    sum += taps[n];
  }
  for (let n = 0; n < tapCount; n++) taps[n] /= sum;
  return taps;
}

/** Length of the blocks of `filterPeriodic`: a few times the filter, so that most of a block is fresh output. */
function blockLengthFor(tapCount: number): number {
  return Math.max(1024, 8 * nextPowerOfTwo(tapCount));
}

/** Direct form beats the transforms below this many taps (measured on Node 20: break-even near 40). */
const DIRECT_TAPS = 32;

/**
 * Circular convolution with the delay removed: y[n] = Σ_k taps[k]·x[n − k + delaySamples], indices modulo the record.
 * Direct form for short filters; overlap-save with wrapped ends for long ones (agree to rounding).
 * @throws RangeError when the delay is not a whole number or either input is empty.
 */
export function filterPeriodic(x: ComplexSignal, taps: ComplexSignal, delaySamples: number): ComplexSignal {
  const length = x.re.length;
  const tapCount = taps.re.length;
  if (length === 0 || tapCount === 0) {
    throw new RangeError(
      `filterPeriodic: record of ${length} samples, filter of ${tapCount} taps; neither may be empty`,
    );
  }
  if (!Number.isInteger(delaySamples)) {
    throw new RangeError(`filterPeriodic: delay of ${delaySamples} samples must be a whole number`);
  }
  return tapCount <= DIRECT_TAPS || length < 2 * tapCount
    ? filterDirect(x, taps, delaySamples)
    : filterBlocks(x, taps, delaySamples);
}

/** Three taps a turn. Output n reads inputs n − offset and the two before it, around the wrapped ends of the record. */
function filterDirect(x: ComplexSignal, taps: ComplexSignal, delaySamples: number): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  for (let k = 0; k < taps.re.length; k += 3) {
    const offset = wrap(k - delaySamples, length);
    // From the end of the record for the first outputs, without wrapping for the others.
    if (offset > 0) addThreeTaps(x, taps, k, offset, out, 0, offset);
    addThreeTaps(x, taps, k, offset, out, offset, length);
  }
  return out;
}

/**
 * out[n] += Σ h[k+i]·x[n−offset−i], i = 0, 1, 2, for from ≤ n < to; taps beyond the last are zero. Written out: a third
 * of a loop's time. The samples of the last two turns stay at hand.
 */
function addThreeTaps(
  x: ComplexSignal,
  taps: ComplexSignal,
  k: number,
  offset: number,
  out: ComplexSignal,
  from: number,
  to: number,
): void {
  const length = x.re.length;
  const [aRe, bRe = 0, cRe = 0] = taps.re.subarray(k, k + 3);
  const [aIm, bIm = 0, cIm = 0] = taps.im.subarray(k, k + 3);
  const { re, im } = x;
  const { re: outRe, im: outIm } = out;
  let pRe = re[wrap(from - offset - 1, length)];
  let pIm = im[wrap(from - offset - 1, length)];
  let qRe = re[wrap(from - offset - 2, length)];
  let qIm = im[wrap(from - offset - 2, length)];
  const shift = wrap(from - offset, length) - from;
  for (let n = from; n < to; n++) {
    const rRe = re[n + shift];
    const rIm = im[n + shift];
    outRe[n] += aRe * rRe - aIm * rIm + bRe * pRe - bIm * pIm + cRe * qRe - cIm * qIm;
    outIm[n] += aRe * rIm + aIm * rRe + bRe * pIm + bIm * pRe + cRe * qIm + cIm * qRe;
    qRe = pRe;
    qIm = pIm;
    pRe = rRe;
    pIm = rIm;
  }
}

/** Overlap-save: each block begins tapCount − 1 samples before its first valid output. */
function filterBlocks(x: ComplexSignal, taps: ComplexSignal, delaySamples: number): ComplexSignal {
  const length = x.re.length;
  const tapCount = taps.re.length;
  const size = blockLengthFor(tapCount);
  const fresh = size - tapCount + 1;
  const response = responseOf(taps, size);
  const { input, output, run } = transformOf(size);
  const y = zeros(length);
  for (let start = 0; start < length; start += fresh) {
    fillWrapped(x, wrap(start + delaySamples - tapCount + 1, length), input);
    run();
    multiplySwapped(output, response, input);
    run();
    const count = Math.min(fresh, length - start);
    // Swapped before and after, the forward transform is the inverse one; its 1/size is in the response.
    separate(
      output.subarray(2 * (tapCount - 1)),
      y.im.subarray(start, start + count),
      y.re.subarray(start, start + count),
      1,
    );
  }
  return y;
}

/** Transform of the taps over `size` points, divided by `size`; pairs. */
function responseOf(taps: ComplexSignal, size: number): Samples {
  const { input, output, run } = transformOf(size);
  input.fill(0);
  interleave(taps.re, taps.im, input);
  run();
  return output.map((value) => value / size);
}

/** out ← x·y with real and imaginary parts swapped; pairs. */
function multiplySwapped(x: Samples, y: Samples, out: Samples): void {
  for (let i = 0; i < out.length; i += 2) {
    out[i] = x[i] * y[i + 1] + x[i + 1] * y[i];
    out[i + 1] = x[i] * y[i] - x[i + 1] * y[i + 1];
  }
}

/** Fills all pairs with consecutive samples of the period, from `from` on. */
function fillWrapped(x: ComplexSignal, from: number, pairs: Samples): void {
  const length = x.re.length;
  const count = pairs.length / 2;
  let at = from;
  for (let filled = 0; filled < count; ) {
    const run = Math.min(length - at, count - filled);
    interleave(x.re.subarray(at, at + run), x.im.subarray(at, at + run), pairs.subarray(2 * filled));
    filled += run;
    at = 0;
  }
}

/** Samples that differ from zero at a few places only: `count` entries of index and value. */
export interface SparseSignal {
  readonly indices: Int32Array;
  readonly values: ComplexSignal;
  readonly count: number;
}

/**
 * out += factor·(sparse ⋆ taps), circular, delay removed: out[i − delay + k] += factor·v[i]·taps[k] for each entry.
 * Costs entries × taps, however long the record is.
 * @throws RangeError when the filter is longer than the record.
 */
export function addFilteredSparse(
  out: ComplexSignal,
  sparse: SparseSignal,
  taps: ComplexSignal,
  delaySamples: number,
  factor: number,
): void {
  const length = out.re.length;
  const tapCount = taps.re.length;
  if (tapCount > length) {
    throw new RangeError(
      `addFilteredSparse: filter of ${tapCount} taps is longer than the record of ${length} samples`,
    );
  }
  const add = taps.im.some((value) => value !== 0) ? addComplexTaps : addRealTaps;
  for (let i = 0; i < sparse.count; i++) {
    const re = factor * sparse.values.re[i];
    const im = factor * sparse.values.im[i];
    const first = wrap(sparse.indices[i] - delaySamples, length);
    const head = Math.min(tapCount, length - first);
    add(out, first, taps, 0, head, re, im);
    add(out, 0, taps, head, tapCount - head, re, im);
  }
}

type AddTaps = (
  out: ComplexSignal,
  at: number,
  taps: ComplexSignal,
  from: number,
  count: number,
  re: number,
  im: number,
) => void;

const addRealTaps: AddTaps = (out, at, taps, from, count, re, im) => {
  const outRe = out.re;
  const outIm = out.im;
  const tap = taps.re;
  for (let k = 0; k < count; k++) {
    const h = tap[from + k];
    outRe[at + k] += re * h;
    outIm[at + k] += im * h;
  }
};

const addComplexTaps: AddTaps = (out, at, taps, from, count, re, im) => {
  const { re: outRe, im: outIm } = out;
  const { re: tapRe, im: tapIm } = taps;
  for (let k = 0; k < count; k++) {
    const a = tapRe[from + k];
    const b = tapIm[from + k];
    outRe[at + k] += re * a - im * b;
    outIm[at + k] += re * b + im * a;
  }
};

/** The dense record of a sparse one. */
export function spread(sparse: SparseSignal, length: number): ComplexSignal {
  const x = zeros(length);
  for (let i = 0; i < sparse.count; i++) {
    x.re[sparse.indices[i]] += sparse.values.re[i];
    x.im[sparse.indices[i]] += sparse.values.im[i];
  }
  return x;
}

/**
 * A low-pass moved to another centre: h[n]·exp(j2π·ratio·(n − centre)), centre = (tapCount − 1)/2, so that the phase
 * response stays a pure delay.
 */
export function moveFilter(taps: Samples, centreRatio: number): ComplexSignal {
  const moved = zeros(taps.length);
  const half = (taps.length - 1) / 2;
  for (let n = 0; n < taps.length; n++) {
    const angle = 2 * Math.PI * centreRatio * (n - half);
    moved.re[n] = taps[n] * Math.cos(angle);
    moved.im[n] = centreRatio === 0 ? 0 : taps[n] * Math.sin(angle);
  }
  return moved;
}
