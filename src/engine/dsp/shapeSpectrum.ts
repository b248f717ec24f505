// Frequency responses on a whole periodic record, exactly on its bins, and its sampling at a lower rate.
import { type ComplexSignal, zeros } from './complex.ts';
import { fft, inverseFftInPlace } from './fft.ts';

/** Response at a frequency from −fs/2 up to fs/2: real and imaginary part, written into `out`. */
export type Response = (frequencyHz: number, out: { re: number; im: number }) => void;

/** Frequency of bin k of N, in (−fs/2, fs/2]. */
function frequencyOf(k: number, length: number, sampleRateHz: number): number {
  return ((2 * k <= length ? k : k - length) * sampleRateHz) / length;
}

/** The record behind a response: Y_k = H(f_k)·X_k. The bin at half an even length's rate counts as positive. */
export function shapeSpectrum(x: ComplexSignal, sampleRateHz: number, response: Response): ComplexSignal {
  const bins = fft(x);
  const length = x.re.length;
  const h = { re: 1, im: 0 };
  for (let k = 0; k < length; k++) {
    response(frequencyOf(k, length, sampleRateHz), h);
    const re = bins.re[k] * h.re - bins.im[k] * h.im;
    bins.im[k] = bins.re[k] * h.im + bins.im[k] * h.re;
    bins.re[k] = re;
  }
  return inverseFftInPlace(bins);
}

/**
 * Gain of a low-pass of `bandwidthHz` (two-sided) with a raised-cosine edge `transitionRatio`·bandwidth wide about half
 * the bandwidth; 0 is a brick wall, its edge included.
 */
export function lowpassGain(frequencyHz: number, bandwidthHz: number, transitionRatio: number): number {
  const f = Math.abs(frequencyHz);
  const half = bandwidthHz / 2;
  const wing = transitionRatio * half;
  // Half a micro-part beyond: a bin on the edge stays in, whatever its rounding.
  if (f <= half - wing || (wing === 0 && f <= half * (1 + 5e-7))) return 1;
  if (f >= half + wing) return 0;
  return 0.5 * (1 + Math.cos((Math.PI * (f - half + wing)) / (2 * wing)));
}

/**
 * The record's continuous waveform taken at `newLength` samples over the same period: what lies beyond half the new
 * rate folds in, X′_j = (N′/N)·Σ X_k over k ≡ j mod N′ with k in (−N/2, N/2].
 * @throws RangeError unless 1 ≤ newLength ≤ length.
 */
export function samplePeriodic(x: ComplexSignal, newLength: number): ComplexSignal {
  const length = x.re.length;
  if (!Number.isInteger(newLength) || newLength < 1 || newLength > length) {
    throw new RangeError(`samplePeriodic: ${newLength} samples of ${length}`);
  }
  const bins = fft(x);
  const folded = zeros(newLength);
  for (let k = 0; k < length; k++) {
    const cycle = 2 * k <= length ? k : k - length;
    const j = ((cycle % newLength) + newLength) % newLength;
    folded.re[j] += (bins.re[k] * newLength) / length;
    folded.im[j] += (bins.im[k] * newLength) / length;
  }
  return inverseFftInPlace(folded);
}
