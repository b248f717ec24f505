// A long transform as many short ones that fit the processor's cache (Cooley and Tukey 1965; Gentleman and Sande 1966).
//
//   N = A·B, n = B·a + b, k = p + A·q
//   X[p + A·q] = Σ_b W_B^(bq) · W_N^(bp) · Σ_a x[B·a + b]·W_A^(ap),   W_N = exp(−j2π/N)
//
// Columns are moved a few at a time: neighbouring samples share a cache line.
import { type ComplexSignal, zeros } from './complex.ts';

/** Transforms a record in place, forward, unscaled. */
export type ShortTransform = (x: ComplexSignal) => void;

/** Columns moved together: eight doubles fill a cache line. */
const STRIP = 8;

/** out ← transform of x, whose length is columnLength·B. `out` may not be `x`. */
export function rowColumnTransform(
  x: ComplexSignal,
  out: ComplexSignal,
  columnLength: number,
  transform: ShortTransform,
): void {
  const rowLength = x.re.length / columnLength;
  if (!Number.isInteger(rowLength)) {
    throw new RangeError(`rowColumnTransform: columns of ${columnLength} do not divide ${x.re.length} samples`);
  }
  const middle = zeros(x.re.length);
  const turn = createTurn(x.re.length);
  // middle[b·A + p]: column b's transform, turned.
  transformColumns(x, rowLength, columnLength, transform, (b, column) => {
    turn(column, b);
    middle.re.set(column.re, b * columnLength);
    middle.im.set(column.im, b * columnLength);
  });
  const rows: ComplexSignal[] = [];
  transformColumns(middle, columnLength, rowLength, transform, (p, row, strip) => {
    rows[strip] = row;
    if (strip < STRIP - 1 && p < columnLength - 1) return;
    scatter(rows, strip + 1, p - strip, columnLength, out);
  });
}

/** Calls back with each column's transform; column c is x[c], x[c + stride], … The buffers of a strip are reused. */
function transformColumns(
  x: ComplexSignal,
  stride: number,
  length: number,
  transform: ShortTransform,
  done: (column: number, values: ComplexSignal, strip: number) => void,
): void {
  const buffers = Array.from({ length: Math.min(STRIP, stride) }, () => zeros(length));
  for (let start = 0; start < stride; start += STRIP) {
    const width = Math.min(STRIP, stride - start);
    gather(x, start, stride, width, buffers);
    for (let strip = 0; strip < width; strip++) {
      transform(buffers[strip]);
      done(start + strip, buffers[strip], strip);
    }
  }
}

function gather(x: ComplexSignal, start: number, stride: number, width: number, buffers: ComplexSignal[]): void {
  const length = buffers[0].re.length;
  for (let strip = 0; strip < width; strip++) {
    const { re, im } = buffers[strip];
    for (let a = 0, n = start + strip; a < length; a++, n += stride) {
      re[a] = x.re[n];
      im[a] = x.im[n];
    }
  }
}

function scatter(rows: ComplexSignal[], width: number, start: number, stride: number, out: ComplexSignal): void {
  const length = rows[0].re.length;
  for (let strip = 0; strip < width; strip++) {
    const { re, im } = rows[strip];
    for (let q = 0, k = start + strip; q < length; q++, k += stride) {
      out.re[k] = re[q];
      out.im[k] = im[q];
    }
  }
}

/** column[p] ← column[p]·W_N^(b·p), the factors as products from two short tables: exact to the last digit or two. */
function createTurn(size: number): (column: ComplexSignal, b: number) => void {
  const coarseStep = Math.ceil(Math.sqrt(size));
  const fine = turns(coarseStep, size, 1);
  const coarse = turns(Math.ceil(size / coarseStep), size, coarseStep);
  return ({ re, im }, b) => {
    let index = 0;
    for (let p = 0; p < re.length; p++) {
      const high = (index / coarseStep) | 0;
      const low = index - high * coarseStep;
      const c = fine.re[low] * coarse.re[high] - fine.im[low] * coarse.im[high];
      const s = fine.re[low] * coarse.im[high] + fine.im[low] * coarse.re[high];
      const value = re[p];
      re[p] = value * c - im[p] * s;
      im[p] = value * s + im[p] * c;
      index += b;
      if (index >= size) index -= size;
    }
  };
}

/** W_N^(step·i), i = 0 … count − 1. */
function turns(count: number, size: number, step: number): ComplexSignal {
  const table = zeros(count);
  for (let i = 0; i < count; i++) {
    const angle = (-2 * Math.PI * i * step) / size;
    table.re[i] = Math.cos(angle);
    table.im[i] = Math.sin(angle);
  }
  return table;
}

/** Below this everything stays in cache as it is. */
const SHORTEST_SPLIT = 2 ** 14;
/** Nanoseconds per sample of moving a record twice and turning it once (measured). */
const MOVE_COST = 25;

/**
 * The column length A of the cheapest split N = A·B, or 1 when the whole transform is cheaper.
 * `costPerSample(length)` in nanoseconds.
 */
export function cheapestColumnLength(size: number, costPerSample: (length: number) => number): number {
  if (size < SHORTEST_SPLIT) return 1;
  let best = 1;
  let least = costPerSample(size);
  for (let a = 2; a * a <= size; a++) {
    if (size % a !== 0) continue;
    const cost = costPerSample(a) + costPerSample(size / a) + MOVE_COST;
    if (cost < least) [best, least] = [a, cost];
  }
  return best;
}
