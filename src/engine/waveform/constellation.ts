// Modulation mappings of TS 38.211 clause 5.1 (the same as TS 36.211 clause 7.1 up to 256QAM).
//
// With s_i = 1 − 2b_i and M = 2^bits points, one axis of bits/2 decisions is nested:
// s0(2^(m−1) − s2(2^(m−2) − … s_last)), m = bits/2; even bits make the real part, odd bits the imaginary part.
// Scale 1/√(2(M − 1)/3): √2, √10, √42, √170, √682. Mean power 1, Gray coded.
import type { OfdmGeometry } from '../../../shared/schema/geometry.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';

export type Modulation = OfdmGeometry['modulation'];

const BITS_PER_SYMBOL: Readonly<Record<Modulation, number>> = {
  QPSK: 2,
  '16QAM': 4,
  '64QAM': 6,
  '256QAM': 8,
  '1024QAM': 10,
};

/**
 * All points of a modulation, indexed by the bit word with b0 as its most significant bit. Mean power 1.
 * Length 2^bits, bits per symbol 2, 4, 6, 8 or 10.
 */
export function constellation(modulation: Modulation): ComplexSignal {
  const bits = BITS_PER_SYMBOL[modulation];
  const size = 1 << bits;
  const scale = 1 / Math.sqrt((2 * (size - 1)) / 3);
  const points = zeros(size);
  for (let word = 0; word < size; word++) {
    points.re[word] = scale * axisLevel(word, bits, 0);
    points.im[word] = scale * axisLevel(word, bits, 1);
  }
  return points;
}

/** Odd whole number of one axis, from bits first, first + 2, … of the word. */
function axisLevel(word: number, bits: number, first: 0 | 1): number {
  // Innermost decision outwards: s_last, then s·(2 − …), s·(4 − …).
  let level = 0;
  let magnitude = 1;
  for (let i = bits - 2 + first; i >= first; i -= 2) {
    const sign = 1 - 2 * ((word >> (bits - 1 - i)) & 1);
    level = sign * (magnitude - level);
    magnitude *= 2;
  }
  return level;
}
