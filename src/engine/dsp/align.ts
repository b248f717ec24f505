// Delay, complex gain and residual between two periodic records of one period: y[n] ≈ g·x[n − τ].
//
// With X, Y the transforms and Z_k = Y_k·conj(X_k)·e^{+j2πkτ/N}, the best fit maximises R(τ) = |Σ_k Z_k|². The whole
// part of τ is the largest sample of the circular correlation; the fraction follows by Newton's method on R, whose
// step is the slope of the phase of Z_k over k, weighted by |X_k|² (Knapp & Carter 1976, IEEE Trans. ASSP 24(4)).
// For white noise this is the maximum-likelihood estimate, so its spread reaches the Cramér–Rao bound
//   σ_τ = 1/√(2·N·s·(2π)²·f_rms²) samples, s the per-sample signal-to-noise ratio, f_rms² = B²/12 for a flat band B.
// A residual delay τ alone leaves an error of 20·log10(2π·f_rms·τ) dB.
import {
  type Complex,
  type ComplexSignal,
  leastSquaresGain,
  requireEqualLength,
  rotate,
  wrap,
  zeros,
} from './complex.ts';
import { FLOOR_DB, powerRatioToDb } from './decibels.ts';
import { fft, inverseFft } from './fft.ts';

export interface Alignment {
  /** Delay τ of the observed record against the reference, in (−N/2, N/2]: the records are periodic. */
  readonly delaySamples: number;
  /** Spread (one standard deviation) of τ that the residual explains. */
  readonly delayDeviationSamples: number;
  /** Error, in percent of the rms, that a delay wrong by that spread would leave. */
  readonly delayErrorPercent: number;
  /** g of y[n] ≈ g·x[n − τ]. */
  readonly gain: Complex;
  /** |y − g·x_τ|² over |g·x_τ|². */
  readonly residualDb: number;
  /** |⟨y, x_τ⟩| over |x|·|y|: 1 for a perfect copy, near 0 for records that have nothing in common. */
  readonly correlationRatio: number;
  /** The observed record with delay and gain taken out: same scale and time as the reference. */
  readonly aligned: ComplexSignal;
}

const NEWTON_STEPS = 30;
/** Where the fraction is looked for first: the top of R is within half a sample of its largest sample. */
const FRACTION_GRID = [-0.5, -0.375, -0.25, -0.125, 0, 0.125, 0.25, 0.375, 0.5];

/**
 * Finds delay and gain of `observed` against `reference` and takes them out. Both are one period of the same periodic
 * waveform, equally long and at one sample rate. Throws RangeError for unequal, empty or all-zero records.
 */
export function alignRecords(reference: ComplexSignal, observed: ComplexSignal): Alignment {
  requireEqualLength('alignRecords', reference, observed);
  const length = reference.re.length;
  const x = fft(reference);
  const y = fft(observed);
  const energyX = energy(x);
  const energyY = energy(y);
  if (!(energyX > 0 && energyY > 0)) throw new RangeError(`alignRecords: a record of ${length} samples holds no power`);
  const cross = crossSpectrum(x, y);
  const wholeSamples = largestSample(inverseFft(cross));
  advanceInPlace(cross, wholeSamples);
  const fraction = refineFraction(cross);
  const delaySamples = wrapDelay(wholeSamples + fraction, length);
  const advanced = delayPeriodic(observed, -delaySamples);
  const gain = leastSquaresGain(reference, advanced);
  const power = gain.re * gain.re + gain.im * gain.im;
  if (power === 0) throw new RangeError('alignRecords: the records are orthogonal at every delay');
  const aligned = rotate(advanced, { re: gain.re / power, im: -gain.im / power });
  const spread = delaySpread(x, fft(difference(aligned, reference)));
  return {
    delaySamples,
    ...spread,
    gain,
    residualDb: residualDb(reference, aligned),
    correlationRatio: Math.min(1, Math.sqrt((power * energyX) / energyY)),
    aligned,
  };
}

/**
 * x delayed by any number of samples, circularly: y[n] = x[n − d]. Whole delays are exact; fractions turn the phase of
 * each bin by −2πkd/N. For an even length the bin at half the rate is scaled by cos(πd), which keeps its two signs alike.
 */
export function delayPeriodic(x: ComplexSignal, delaySamples: number): ComplexSignal {
  const length = x.re.length;
  const whole = Math.round(delaySamples);
  const fraction = delaySamples - whole;
  const shifted = shiftWhole(x, whole);
  if (fraction === 0) return shifted;
  const bins = fft(shifted);
  for (let k = 0; k < length; k++) {
    const cycle = signedBin(k, length);
    if (2 * cycle === -length) {
      const factor = Math.cos(Math.PI * fraction);
      bins.re[k] *= factor;
      bins.im[k] *= factor;
      continue;
    }
    turn(bins, k, (-2 * Math.PI * cycle * fraction) / length);
  }
  return inverseFft(bins);
}

function shiftWhole(x: ComplexSignal, whole: number): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  let to = wrap(whole, length);
  for (let n = 0; n < length; n++) {
    out.re[to] = x.re[n];
    out.im[to] = x.im[n];
    if (++to === length) to = 0;
  }
  return out;
}

function wrapDelay(delay: number, length: number): number {
  const wrapped = wrap(delay, length);
  return wrapped > length / 2 ? wrapped - length : wrapped;
}

/** −N/2 … N/2 − 1 for bin 0 … N − 1. */
function signedBin(k: number, length: number): number {
  return 2 * k < length ? k : k - length;
}

function turn(x: ComplexSignal, k: number, angleRad: number): void {
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  const re = x.re[k] * c - x.im[k] * s;
  x.im[k] = x.re[k] * s + x.im[k] * c;
  x.re[k] = re;
}

function energy(x: ComplexSignal): number {
  let sum = 0;
  for (let n = 0; n < x.re.length; n++) sum += x.re[n] * x.re[n] + x.im[n] * x.im[n];
  return sum;
}

function difference(a: ComplexSignal, b: ComplexSignal): ComplexSignal {
  const out = zeros(a.re.length);
  for (let n = 0; n < a.re.length; n++) {
    out.re[n] = a.re[n] - b.re[n];
    out.im[n] = a.im[n] - b.im[n];
  }
  return out;
}

/** Y·conj(X). The bin at half the rate of an even record has no defined slope and is left out. */
function crossSpectrum(x: ComplexSignal, y: ComplexSignal): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  for (let k = 0; k < length; k++) {
    if (2 * k === length && length > 2) continue;
    out.re[k] = y.re[k] * x.re[k] + y.im[k] * x.im[k];
    out.im[k] = y.im[k] * x.re[k] - y.re[k] * x.im[k];
  }
  return out;
}

function largestSample(x: ComplexSignal): number {
  let best = 0;
  let bestPower = -1;
  for (let n = 0; n < x.re.length; n++) {
    const power = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    if (power > bestPower) {
      bestPower = power;
      best = n;
    }
  }
  return best;
}

/** Takes a whole delay out of a spectrum. k·delay is reduced by the length first, so that the angle stays exact. */
function advanceInPlace(x: ComplexSignal, wholeSamples: number): void {
  const length = x.re.length;
  let product = 0;
  for (let k = 0; k < length; k++) {
    turn(x, k, (2 * Math.PI * product) / length);
    product += wholeSamples;
    if (product >= length) product -= length;
  }
}

interface CorrelationTop {
  /** R, its slope and its curvature over τ. */
  readonly value: number;
  readonly slope: number;
  readonly curvature: number;
}

/** R(τ) = |S|² with S = Σ Z_k; S′ = Σ j2πk/N·Z_k, S″ = −Σ (2πk/N)²·Z_k. */
function correlationAt(cross: ComplexSignal, fraction: number): CorrelationTop {
  const length = cross.re.length;
  let [sRe, sIm, dRe, dIm, ddRe, ddIm] = [0, 0, 0, 0, 0, 0];
  for (let k = 0; k < length; k++) {
    const w = (2 * Math.PI * signedBin(k, length)) / length;
    const c = Math.cos(w * fraction);
    const s = Math.sin(w * fraction);
    const re = cross.re[k] * c - cross.im[k] * s;
    const im = cross.re[k] * s + cross.im[k] * c;
    sRe += re;
    sIm += im;
    dRe -= w * im;
    dIm += w * re;
    ddRe -= w * w * re;
    ddIm -= w * w * im;
  }
  return {
    value: sRe * sRe + sIm * sIm,
    slope: 2 * (sRe * dRe + sIm * dIm),
    curvature: 2 * (dRe * dRe + dIm * dIm + sRe * ddRe + sIm * ddIm),
  };
}

function refineFraction(cross: ComplexSignal): number {
  let best = 0;
  let bestValue = -1;
  for (const candidate of FRACTION_GRID) {
    const { value } = correlationAt(cross, candidate);
    if (value > bestValue) {
      bestValue = value;
      best = candidate;
    }
  }
  let fraction = best;
  for (let i = 0; i < NEWTON_STEPS; i++) {
    const { slope, curvature } = correlationAt(cross, fraction);
    if (!(curvature < 0)) break;
    // A step beyond the neighbouring grid points would leave the top that the grid found.
    const step = Math.max(-0.125, Math.min(0.125, -slope / curvature));
    fraction += step;
    if (Math.abs(step) < 1e-13) break;
  }
  return fraction;
}

function bandMoments(x: ComplexSignal): { mean: number; variance: number } {
  const length = x.re.length;
  let [total, first, second] = [0, 0, 0];
  for (let k = 0; k < length; k++) {
    const f = signedBin(k, length) / length;
    const power = x.re[k] * x.re[k] + x.im[k] * x.im[k];
    total += power;
    first += f * power;
    second += f * f * power;
  }
  const mean = first / total;
  return { mean, variance: Math.max(0, second / total - mean * mean) };
}

/**
 * First-order spread of the estimate for a residual E of any colour and random phase:
 * σ² = ½·Σ ω²|X|²|E|² / (Σ ω²|X|²)², ω counted from the band's centre, because a gain absorbs the phase there.
 */
function delaySpread(x: ComplexSignal, e: ComplexSignal): { delayDeviationSamples: number; delayErrorPercent: number } {
  const length = x.re.length;
  const { mean, variance } = bandMoments(x);
  let [weight, noise] = [0, 0];
  for (let k = 0; k < length; k++) {
    const w = 2 * Math.PI * (signedBin(k, length) / length - mean);
    const power = w * w * (x.re[k] * x.re[k] + x.im[k] * x.im[k]);
    weight += power;
    noise += power * (e.re[k] * e.re[k] + e.im[k] * e.im[k]);
  }
  const deviation = weight > 0 ? Math.sqrt(noise / 2) / weight : 0;
  return {
    delayDeviationSamples: deviation,
    delayErrorPercent: 100 * 2 * Math.PI * Math.sqrt(variance) * deviation,
  };
}

/** Error over wanted power; both records have the reference's scale, so the gain cancels. */
function residualDb(reference: ComplexSignal, aligned: ComplexSignal): number {
  const ratio = energy(difference(aligned, reference)) / energy(reference);
  return ratio > 0 ? powerRatioToDb(ratio) : FLOOR_DB;
}
