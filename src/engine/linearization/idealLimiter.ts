// The ideal limiter: a perfect inverse up to saturation and a hard stop beyond it.
//   y[n] = x[n]·min(1, A/|x[n]|)
// Under a peak limit clipping is the nearest point, so its total error is a strict bound for any correction; for ACLR
// it is indicative only, since shaping trades in-band error for emission. Source: checks GA-04, GA-13 (Ochiai and
// Imai 2002 for the Gaussian case, from memory).
import type { ComplexSignal } from '../dsp/complex.ts';
import { holdAmplitude } from '../dsp/hold.ts';

export { heldRatio, holdAmplitude } from '../dsp/hold.ts';

/** Saturates at |y| = 1. */
export function idealLimiter(x: ComplexSignal): ComplexSignal {
  return holdAmplitude(x, 1);
}
