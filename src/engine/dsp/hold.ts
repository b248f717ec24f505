// Amplitudes held at a ceiling, phase kept: y[n] = x[n]·min(1, A/|x[n]|).
import { type ComplexSignal, peakPower, zeros } from './complex.ts';

/** Holds the amplitude at `ceiling`, phase kept; the record itself when no sample lies above. */
export function holdAmplitude(x: ComplexSignal, ceiling: number): ComplexSignal {
  const limit = ceiling * ceiling;
  if (peakPower(x) <= limit) return x;
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    const power = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    const factor = power > limit ? ceiling / Math.sqrt(power) : 1;
    out.re[n] = x.re[n] * factor;
    out.im[n] = x.im[n] * factor;
  }
  return out;
}

/** Share of samples whose amplitude is above the ceiling. */
export function heldRatio(x: ComplexSignal, ceiling: number): number {
  const limit = ceiling * ceiling;
  let held = 0;
  for (let n = 0; n < x.re.length; n++) {
    if (x.re[n] * x.re[n] + x.im[n] * x.im[n] > limit) held++;
  }
  return held / x.re.length;
}
