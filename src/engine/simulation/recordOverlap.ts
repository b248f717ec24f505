// What two records of one transmission have in common in time, when neither is one period of the other.
//
// The whole part of the delay is the largest sample of the correlation of both records with zeros behind them, where
// nothing wraps. The samples that both cover are cut out, and their ends fade in and out by a raised cosine: the faded
// cuts are as good as periodic, so that a fraction of a sample can be turned out of them by their transforms. Where the
// fade does not reach, a cut is the record itself.
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { fft, inverseFft, nextPowerOfTwo } from '../dsp/fft.ts';

export interface Overlap {
  /** Equally long; observed[n] ≈ g·reference[n − a fraction]. */
  readonly reference: ComplexSignal;
  readonly observed: ComplexSignal;
  /** Delay that the cut took out. */
  readonly wholeDelaySamples: number;
  /** Samples from … to−1 of both stand for the comparison. */
  readonly from: number;
  readonly to: number;
}

/** Fewer common samples say nothing. */
const FEWEST_SAMPLES = 256;
const FADE_RATIO = 1 / 16;
const LONGEST_FADE = 4096;

/** Both records as they are: one period, compared round the end. */
export function wholePeriod(reference: ComplexSignal, observed: ComplexSignal): Overlap {
  return { reference, observed, wholeDelaySamples: 0, from: 0, to: reference.re.length };
}

/** The common samples of two records of any length, or null when there are too few. */
export function overlapOf(reference: ComplexSignal, observed: ComplexSignal): Overlap | null {
  const delay = wholeDelayOf(reference, observed);
  const start = Math.max(0, -delay);
  const end = Math.min(reference.re.length, observed.re.length - delay);
  const length = end - start;
  if (length < FEWEST_SAMPLES) return null;
  const fade = Math.min(LONGEST_FADE, Math.floor(length * FADE_RATIO));
  return {
    reference: fadedCut(reference, start, length, fade),
    observed: fadedCut(observed, start + delay, length, fade),
    wholeDelaySamples: delay,
    // A fade's own width more: what its transforms spread is gone there.
    from: 2 * fade,
    to: length - 2 * fade,
  };
}

/** Delay d of the largest |Σ_n y[n + d]·conj(x[n])|, from −(length of x − 1) to length of y − 1. */
function wholeDelayOf(x: ComplexSignal, y: ComplexSignal): number {
  const size = nextPowerOfTwo(x.re.length + y.re.length);
  const [a, b] = [fft(padded(x, size)), fft(padded(y, size))];
  for (let k = 0; k < size; k++) {
    const re = b.re[k] * a.re[k] + b.im[k] * a.im[k];
    b.im[k] = b.im[k] * a.re[k] - b.re[k] * a.im[k];
    b.re[k] = re;
  }
  const correlation = inverseFft(b);
  let [best, bestPower] = [0, -1];
  for (let n = 0; n < size; n++) {
    const power = correlation.re[n] * correlation.re[n] + correlation.im[n] * correlation.im[n];
    if (power > bestPower) [best, bestPower] = [n, power];
  }
  return best < y.re.length ? best : best - size;
}

function padded(x: ComplexSignal, size: number): ComplexSignal {
  const out = zeros(size);
  out.re.set(x.re);
  out.im.set(x.im);
  return out;
}

function fadedCut(x: ComplexSignal, start: number, length: number, fade: number): ComplexSignal {
  const out = { re: x.re.slice(start, start + length), im: x.im.slice(start, start + length) };
  for (let n = 0; n < fade; n++) {
    const factor = 0.5 - 0.5 * Math.cos((Math.PI * (n + 0.5)) / fade);
    for (const at of [n, length - 1 - n]) {
      out.re[at] *= factor;
      out.im[at] *= factor;
    }
  }
  return out;
}
