// Noise of the transmit and observation paths. A record's noise is its own: the seed is drawn from the phases of the
// signal it is added to, so that other records, passes and outputs have other noise, the same signal the same noise
// in whatever order things are computed, and a change of level leaves it.
import { type ComplexSignal, zeros } from './complex.ts';
import { createRandom } from './random.ts';

/** Samples whose phases tell records apart. */
const PHASES_TAKEN = 8;
/** Steps of a turn; rounding noise of a scaled copy stays far inside one. */
const STEPS = 1e5;

/** Text that differs between records and not between levels of one record. */
export function phasesOf({ re, im }: ComplexSignal): string {
  const step = Math.max(1, Math.floor(re.length / PHASES_TAKEN));
  const phases: number[] = [];
  for (let n = 0; n < re.length && phases.length < PHASES_TAKEN; n += step) {
    phases.push(Math.round((STEPS * Math.atan2(im[n], re[n])) / (2 * Math.PI)));
  }
  return phases.join(',');
}

/** Complex white Gaussian noise of unit power in expectation. */
export function whiteNoise(length: number, seed: number, purpose: string): ComplexSignal {
  const random = createRandom(seed, purpose);
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    out.re[n] = Math.SQRT1_2 * random.normal();
    out.im[n] = Math.SQRT1_2 * random.normal();
  }
  return out;
}

/** x·phase-preserving conjugate image and constant: x + image·x* + leak. Amplitude ratios; leak in amplitude. */
export function addImageAndLeak(x: ComplexSignal, image: number, leak: number): ComplexSignal {
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = (1 + image) * x.re[n] + leak;
    out.im[n] = (1 - image) * x.im[n];
  }
  return out;
}
