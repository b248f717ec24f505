// Numbers that TypeScript and Python make bit by bit the same: s ← (1664525·s + 1013904223) mod 2^32, u = s/2^32 − 0.5.
// Source: the test vector of reference check ME-01 (the constants are the usual 32-bit ones).
import { type ComplexSignal, zeros } from '../../src/engine/dsp/complex.ts';

/** `count` numbers in [−0.5, 0.5). */
export function lcgUniform(count: number, seed = 12345): Float64Array {
  const out = new Float64Array(count);
  let state = seed;
  for (let i = 0; i < count; i++) {
    // 1664525·2^32 < 2^53: the product is exact.
    state = (1664525 * state + 1013904223) % 2 ** 32;
    out[i] = state / 2 ** 32 - 0.5;
  }
  return out;
}

/** u[2n] + j·u[2n+1]. */
export function lcgSignal(length: number, seed = 12345): ComplexSignal {
  const u = lcgUniform(2 * length, seed);
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = u[2 * n];
    x.im[n] = u[2 * n + 1];
  }
  return x;
}
