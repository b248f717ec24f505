// Transforms of equally spaced blocks of a periodic record, of which some bins are kept.
import { type ComplexSignal, type Samples, zeros } from './complex.ts';
import { isPowerOfTwo, transformOf } from './fft.ts';

export interface BlockLayout {
  /** Transform length, a power of two. */
  readonly blockLength: number;
  /** First sample of block 0; may be negative, wraps. */
  readonly start: number;
  /** From the start of a block to the start of the next. */
  readonly spacing: number;
  readonly blockCount: number;
  /** Bins kept, −blockLength/2 … blockLength/2 − 1. */
  readonly bins: Int32Array;
  /** Sample of each block, counted from its start, at which the bins' phases are taken. */
  readonly phaseOrigin: number;
}

/**
 * X[s][i] = Σ_n x[start + s·spacing + n]·exp(−j2π·bins[i]·(n − phaseOrigin)/blockLength) / √blockLength.
 * Result row by row, shape [blockCount × bins.length].
 * @throws RangeError when the length is not a power of two or a bin lies outside it.
 */
export function blockTransform(x: ComplexSignal, layout: BlockLayout): ComplexSignal {
  const { blockLength: size, start, spacing, blockCount, bins, phaseOrigin } = layout;
  if (!isPowerOfTwo(size)) throw new RangeError(`blockTransform: length ${size} is not a power of two`);
  const length = x.re.length;
  const { input, output, run } = transformOf(size);
  const rotation = binRotation(bins, size, phaseOrigin);
  const out = zeros(blockCount * bins.length);
  for (let s = 0; s < blockCount; s++) {
    const from = (start + s * spacing) % length;
    fillFrom(x, from < 0 ? from + length : from, input);
    run();
    pickInto(output, bins, rotation, out, s * bins.length);
  }
  return out;
}

/** As many samples as there are pairs, from `start` on, round the end of the record. */
function fillFrom(x: ComplexSignal, start: number, pairs: Samples): void {
  const { re, im } = x;
  let at = start;
  for (let i = 0; i < pairs.length; i += 2) {
    pairs[i] = re[at];
    pairs[i + 1] = im[at];
    at = at + 1 === re.length ? 0 : at + 1;
  }
}

function pickInto(pairs: Samples, bins: Int32Array, rotation: ComplexSignal, out: ComplexSignal, at: number): void {
  for (let i = 0; i < bins.length; i++) {
    const p = bins[i] < 0 ? 2 * bins[i] + pairs.length : 2 * bins[i];
    out.re[at + i] = pairs[p] * rotation.re[i] - pairs[p + 1] * rotation.im[i];
    out.im[at + i] = pairs[p] * rotation.im[i] + pairs[p + 1] * rotation.re[i];
  }
}

function binRotation(bins: Int32Array, size: number, phaseOrigin: number): ComplexSignal {
  const rotation = zeros(bins.length);
  const gain = 1 / Math.sqrt(size);
  for (let i = 0; i < bins.length; i++) {
    if (bins[i] < -size / 2 || bins[i] >= size / 2) {
      throw new RangeError(`blockTransform: bin ${bins[i]} lies outside a transform of ${size}`);
    }
    const angle = (2 * Math.PI * ((bins[i] * phaseOrigin) % size)) / size;
    rotation.re[i] = gain * Math.cos(angle);
    rotation.im[i] = gain * Math.sin(angle);
  }
  return rotation;
}
