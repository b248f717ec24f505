// Transforms of equally spaced blocks of a periodic record, of which some bins are kept.
import { type ComplexSignal, zeros } from './complex.ts';
import { fftInto, isPowerOfTwo } from './fft.ts';

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
  const block = zeros(size);
  const rotation = binRotation(bins, size, phaseOrigin);
  const out = zeros(blockCount * bins.length);
  for (let s = 0; s < blockCount; s++) {
    let at = (start + s * spacing) % length;
    if (at < 0) at += length;
    for (let n = 0; n < size; n++) {
      block.re[n] = x.re[at];
      block.im[n] = x.im[at];
      at = at + 1 === length ? 0 : at + 1;
    }
    fftInto(block, block);
    for (let i = 0; i < bins.length; i++) {
      const bin = bins[i] < 0 ? bins[i] + size : bins[i];
      const o = s * bins.length + i;
      out.re[o] = block.re[bin] * rotation.re[i] - block.im[bin] * rotation.im[i];
      out.im[o] = block.re[bin] * rotation.im[i] + block.im[bin] * rotation.re[i];
    }
  }
  return out;
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
