// Sums of a sequence against all powers of another: Σ_k w[k]·u[k]^q, q = 0, 1, 2, …
//
// One pass multiplies its way up through four or five powers: more running sums than that no longer fit the processor's
// registers (in V8 ten take 1.7 times as long as twice five).
import type { Samples } from '../dsp/complex.ts';

/** Scratch for sequences that go on to the next pass; grows to the longest block seen. */
let raised = new Float64Array(0);

/** sums[at + q] += Σ_{k < count} w[k]·u[start + k]^q for q = 0 … powerCount − 1; w stays as it is. */
export function addPowerSums(
  w: Samples,
  u: Samples,
  start: number,
  count: number,
  sums: Samples,
  at: number,
  powerCount: number,
): void {
  let from = w;
  let q = 0;
  for (; powerCount - q > 5; q += 4) {
    addFour(from, u, start, count, 4, sums, at + q);
    if (raised.length < count) raised = new Float64Array(count);
    raiseByFour(from, u, start, count, raised);
    from = raised;
  }
  if (powerCount - q === 5) addFive(from, u, start, count, sums, at + q);
  else addFour(from, u, start, count, powerCount - q, sums, at + q);
}

/** w[k] ← w[k]·u[start + k]. */
export function multiplyInto(w: Samples, u: Samples, start: number, count: number): void {
  for (let k = 0; k < count; k++) w[k] *= u[start + k];
}

/** out[k] ← w[k]·u[start + k]⁴; `out` may be `w`. */
function raiseByFour(w: Samples, u: Samples, start: number, count: number, out: Samples): void {
  for (let k = 0; k < count; k++) {
    const square = u[start + k] * u[start + k];
    out[k] = w[k] * square * square;
  }
}

/** The first `wanted` of four powers. */
function addFour(
  w: Samples,
  u: Samples,
  start: number,
  count: number,
  wanted: number,
  sums: Samples,
  at: number,
): void {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  for (let k = 0; k < count; k++) {
    const step = u[start + k];
    let value = w[k];
    s0 += value;
    value *= step;
    s1 += value;
    value *= step;
    s2 += value;
    value *= step;
    s3 += value;
  }
  sums[at] += s0;
  if (wanted > 1) sums[at + 1] += s1;
  if (wanted > 2) sums[at + 2] += s2;
  if (wanted > 3) sums[at + 3] += s3;
}

function addFive(w: Samples, u: Samples, start: number, count: number, sums: Samples, at: number): void {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let s4 = 0;
  for (let k = 0; k < count; k++) {
    const step = u[start + k];
    let value = w[k];
    s0 += value;
    value *= step;
    s1 += value;
    value *= step;
    s2 += value;
    value *= step;
    s3 += value;
    value *= step;
    s4 += value;
  }
  sums[at] += s0;
  sums[at + 1] += s1;
  sums[at + 2] += s2;
  sums[at + 3] += s3;
  sums[at + 4] += s4;
}
