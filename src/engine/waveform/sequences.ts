// Pseudo-random bit sequences.
//
// PN9 x⁹ + x⁵ + 1, PN15 x¹⁵ + x¹⁴ + 1, PN23 x²³ + x¹⁸ + 1 (ITU-T O.150, from memory; not inverted): a bit is the sum
// modulo 2 of those `order` and `tap` bits before it. Gold sequence: TS 38.211 clause 5.2.1.
import type { OfdmCarrierSettings } from '../../../shared/schema/scenario.ts';
import type { Random } from '../dsp/random.ts';

export type PseudoNoise = 'PN9' | 'PN15' | 'PN23';

const POLYNOMIALS: Readonly<Record<PseudoNoise, { readonly order: number; readonly tap: number }>> = {
  PN9: { order: 9, tap: 5 },
  PN15: { order: 15, tap: 14 },
  PN23: { order: 23, tap: 18 },
};

/** The endless sequence after `state`, the last bits before it (latest bit lowest); period 2^order − 1. */
export function pseudoNoiseBits(kind: PseudoNoise, state: number): () => number {
  const { order, tap } = POLYNOMIALS[kind];
  const mask = 2 ** order - 1;
  if (!Number.isInteger(state) || state < 1 || state > mask) {
    throw new RangeError(`pseudoNoiseBits: state ${state} of ${kind} must be a whole number from 1 to ${mask}`);
  }
  let register = state;
  return () => {
    const bit = ((register >> (order - 1)) ^ (register >> (tap - 1))) & 1;
    register = ((register << 1) | bit) & mask;
    return bit;
  };
}

const GOLD_DISCARDED = 1600;

/**
 * c(n) = x1(n + 1600) + x2(n + 1600) modulo 2, n = 0 … count − 1, with x1(n+31) = x1(n+3) + x1(n),
 * x2(n+31) = x2(n+3) + x2(n+2) + x2(n+1) + x2(n), x1 beginning 1, 0, 0, … and x2 with the bits of `start`, lowest first.
 */
export function goldSequence(start: number, count: number): Uint8Array {
  if (!Number.isInteger(start) || start < 0 || start > 2 ** 31 - 1) {
    throw new RangeError(`goldSequence: start ${start} must be a whole number from 0 to 2^31 − 1`);
  }
  const bits = new Uint8Array(count);
  let x1 = 1;
  let x2 = start;
  for (let n = 0; n < GOLD_DISCARDED + count; n++) {
    if (n >= GOLD_DISCARDED) bits[n - GOLD_DISCARDED] = (x1 ^ x2) & 1;
    x1 = (x1 >>> 1) | (((x1 ^ (x1 >>> 3)) & 1) << 30);
    x2 = (x2 >>> 1) | (((x2 ^ (x2 >>> 1) ^ (x2 >>> 2) ^ (x2 >>> 3)) & 1) << 30);
  }
  return bits;
}

/**
 * Bit words for the symbols of a carrier, b0 as the most significant bit. "random" draws each word; "pn23" cuts PN23 into
 * words, begun at state 1 + ⌊u·(2²³ − 1)⌋ with u the generator's first number: another seed begins elsewhere.
 */
export function wordSource(payload: OfdmCarrierSettings['payload'], bitCount: number, random: Random): () => number {
  if (payload === 'random') return () => random.integer(1 << bitCount);
  const next = pseudoNoiseBits('PN23', 1 + random.integer(2 ** 23 - 1));
  return () => {
    let word = 0;
    for (let i = 0; i < bitCount; i++) word = (word << 1) | next();
    return word;
  };
}
