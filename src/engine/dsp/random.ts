// The only source of randomness: seeded, so that the same seed gives the same record.
import alea from 'seedrandom/lib/alea.js';

export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Whole number in [0, limit). */
  integer(limit: number): number;
  /** Standard normal. */
  normal(): number;
}

/** A generator for one purpose; the same seed and purpose give the same sequence. */
export function createRandom(seed: number, purpose = ''): Random {
  const next = alea(`${seed}/${purpose}`);
  let spare: number | null = null;
  return {
    uniform: () => next(),
    integer: (limit) => Math.floor(next() * limit),
    normal: () => {
      if (spare !== null) {
        const value = spare;
        spare = null;
        return value;
      }
      // Box–Muller: two uniforms give two independent normals.
      const radius = Math.sqrt(-2 * Math.log(1 - next()));
      const angle = 2 * Math.PI * next();
      spare = radius * Math.sin(angle);
      return radius * Math.cos(angle);
    },
  };
}
