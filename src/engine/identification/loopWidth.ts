// Width of the AM/AM and AM/PM loops: how far the gain of single samples scatters round the mean gain at its amplitude.
//   G[n] = y[n]/x[n],  mean Ḡ(r) = Σ conj(x)·y/Σ|x|² per amplitude bin,  e = y − Ḡ(|x|)·x
//   width² = Σ|e|²/Σ|Ḡx|² over samples above half the largest amplitude's bin; half of it is radial, half tangential
// A delay of one sample widens them as heavy memory would: only aligned loops tell of the amplifier.
import type { ComplexSignal } from '../dsp/complex.ts';

export interface LoopWidth {
  /** One standard deviation of the gain, as 20·log10(1 + σ). */
  readonly gainDb: number;
  /** One standard deviation of the phase. */
  readonly phaseDeg: number;
}

const BINS = 64;
/** Amplitudes below this share of the peak are left out: there the noise, not the loop, makes the width. */
const LOWEST_RATIO = 0.25;

/** Signals equally long; drive not silent. */
export function measureLoopWidth(x: ComplexSignal, y: ComplexSignal): LoopWidth {
  const length = x.re.length;
  let peak = 0;
  for (let n = 0; n < length; n++) peak = Math.max(peak, Math.hypot(x.re[n], x.im[n]));
  const [drive, re, im, output] = [0, 1, 2, 3].map(() => new Float64Array(BINS + 1));
  for (let n = 0; n < length; n++) {
    const u = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    const bin = Math.floor((BINS * Math.sqrt(u)) / peak);
    drive[bin] += u;
    re[bin] += x.re[n] * y.re[n] + x.im[n] * y.im[n];
    im[bin] += x.re[n] * y.im[n] - x.im[n] * y.re[n];
    output[bin] += y.re[n] * y.re[n] + y.im[n] * y.im[n];
  }
  let [wanted, error] = [0, 0];
  for (let bin = Math.ceil(LOWEST_RATIO * BINS); bin <= BINS; bin++) {
    if (drive[bin] === 0) continue;
    const mean = (re[bin] * re[bin] + im[bin] * im[bin]) / drive[bin];
    wanted += mean;
    error += Math.max(0, output[bin] - mean);
  }
  const sigma = Math.sqrt(error / 2 / wanted);
  return { gainDb: 20 * Math.log10(1 + sigma), phaseDeg: (180 / Math.PI) * Math.atan(sigma) };
}
