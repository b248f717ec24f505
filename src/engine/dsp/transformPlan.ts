// Which way to a Fourier transform of a given length is the quickest.
//
// Three ways: directly (a power of two), by two shorter lengths (splitTransform.ts), by a convolution of power-of-two
// length (chirpTransform.ts). Long ones are split even where they are powers of two: short transforms stay in the
// processor's cache. The costs are in units of about a nanosecond, measured on Node 20 with fft.js.
import type { Samples } from './complex.ts';

/** A forward transform of one length, unscaled, between buffers of its own. Numbers go in pairs: re, im, re, im, … */
export interface TransformPlan {
  readonly length: number;
  /** Shape [2·length]; its content is lost by `run`. */
  readonly input: Samples;
  /** Shape [2·length]; holds until the next `run` of this length. */
  readonly output: Samples;
  readonly run: () => void;
}

export type Recipe =
  | { readonly kind: 'powerOfTwo' }
  | { readonly kind: 'split'; readonly columnLength: number; readonly rowLength: number }
  | { readonly kind: 'chirp'; readonly convolutionLength: number };

interface PricedRecipe {
  readonly recipe: Recipe;
  readonly cost: number;
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

/** From here on a direct transform leaves the cache; each doubling then costs this much more per point. */
const CACHED_BITS = 16;
const GROWTH_PER_DOUBLING = 0.3;
/** Copying, turning and calling, per point. */
const SPLIT_COST = 16;
const CHIRP_COST = 8;
const CALL_COST = 40;

const known = new Map<number, PricedRecipe>();

/** The quickest recipe for a length. */
export function recipeFor(length: number): Recipe {
  return priced(length).recipe;
}

function priced(length: number): PricedRecipe {
  let best = known.get(length);
  if (best !== undefined) return best;
  best = isPowerOfTwo(length)
    ? { recipe: { kind: 'powerOfTwo' }, cost: directCost(length) }
    : { recipe: { kind: 'chirp', convolutionLength: nextPowerOfTwo(2 * length - 1) }, cost: chirpCost(length) };
  for (let columnLength = 2; columnLength * columnLength <= length; columnLength++) {
    if (length % columnLength !== 0) continue;
    const rowLength = length / columnLength;
    const parts = rowLength * priced(columnLength).cost + columnLength * priced(rowLength).cost;
    const cost = parts + SPLIT_COST * length;
    if (cost < best.cost) best = { recipe: { kind: 'split', columnLength, rowLength }, cost };
  }
  known.set(length, best);
  return best;
}

function directCost(length: number): number {
  const bits = Math.log2(length);
  return CALL_COST + length * bits * (1 + GROWTH_PER_DOUBLING * Math.max(0, bits - CACHED_BITS));
}

function chirpCost(length: number): number {
  return 2 * directCost(nextPowerOfTwo(2 * length - 1)) + CHIRP_COST * length;
}
