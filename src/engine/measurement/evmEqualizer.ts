// What a receiver does to demodulated symbols Z before their error against the reference R is read.
//
//   none          z = Z·rms(R)/rms(Z), phase untouched
//   oneGain       z = Z/g,   g = Σ R*Z/Σ|R|² over everything
//   perSubcarrier z = Z/g_k, the same sum over the symbols of subcarrier k
//   smoothed      z = Z/(a_k·exp(jφ_k)), as TS 38.104 Annex B.6 and TS 36.104 Annex E.6 (text read, formulas from
//     memory): at every second subcarrier amplitude and unwrapped phase of Z/R are averaged over time, each by itself;
//     both are averaged over 19 such subcarriers (fewer towards an edge: 17, 15 … 1) and joined by straight lines.
//     The standards' reference symbols all have one magnitude; ours are the data, so the averages over time are weighted
//     by |R|²: a = Σ|R|²·|Z/R|/Σ|R|², φ = Σ|R|²·arg(Z/R)/Σ|R|², which are the plain means for equal magnitudes.
//     TS 36.104 has a reference on every third subcarrier (from memory); every second is used for either.
import type { EvmReading } from '../../../shared/schema/report.ts';
import {
  type Complex,
  type ComplexSignal,
  leastSquaresGain,
  meanPower,
  rotate,
  type Samples,
  scale,
  zeros,
} from '../dsp/complex.ts';

/** Known subcarriers: every so many. */
const REFERENCE_STEP = 2;
/** References on either side of the one that is smoothed: 19 in all. */
const HALF_WINDOW = 9;

/** y scaled to the rms of x; silence stays silence. */
export function atRmsOf(x: ComplexSignal, y: ComplexSignal): ComplexSignal {
  const power = meanPower(y);
  return scale(y, power > 0 ? Math.sqrt(meanPower(x) / power) : 0);
}

/** z = Z/g with one least-squares gain over everything. */
export function equalizeByOneGain(measured: ComplexSignal, ideal: ComplexSignal): ComplexSignal {
  return rotate(measured, inverse(leastSquaresGain(ideal, measured)));
}

/**
 * Equalized symbols, shape as `measured`: [symbol][subcarrier].
 * @param subcarriers positions, rising; their number is the width of a row.
 */
export function equalize(
  measured: ComplexSignal,
  ideal: ComplexSignal,
  equalizer: EvmReading['equalizer'],
  subcarriers: Int32Array,
): ComplexSignal {
  switch (equalizer) {
    case 'none':
      return atRmsOf(ideal, measured);
    case 'oneGain':
      return equalizeByOneGain(measured, ideal);
    case 'perSubcarrier':
      return divideColumns(measured, columnGains(measured, ideal, subcarriers.length));
    case 'smoothed':
      return divideColumns(measured, smoothedGains(measured, ideal, subcarriers));
  }
}

/** 1/g; a gain of zero (nothing of the reference found) gives zero, so that the error is the whole reference. */
function inverse(g: Complex): Complex {
  const power = g.re * g.re + g.im * g.im;
  return power > 0 ? { re: g.re / power, im: -g.im / power } : { re: 0, im: 0 };
}

/** Each column divided by its gain. */
export function divideColumns(measured: ComplexSignal, gains: ComplexSignal): ComplexSignal {
  const count = gains.re.length;
  const out = zeros(measured.re.length);
  for (let k = 0; k < count; k++) {
    const g = inverse({ re: gains.re[k], im: gains.im[k] });
    for (let i = k; i < measured.re.length; i += count) {
      out.re[i] = g.re * measured.re[i] - g.im * measured.im[i];
      out.im[i] = g.re * measured.im[i] + g.im * measured.re[i];
    }
  }
  return out;
}

/** Least-squares gain of each column, g_k = Σ R*Z/Σ|R|². */
export function columnGains(measured: ComplexSignal, ideal: ComplexSignal, count: number): ComplexSignal {
  const gains = zeros(count);
  for (let k = 0; k < count; k++) {
    let re = 0;
    let im = 0;
    let power = 0;
    for (let i = k; i < measured.re.length; i += count) {
      re += ideal.re[i] * measured.re[i] + ideal.im[i] * measured.im[i];
      im += ideal.re[i] * measured.im[i] - ideal.im[i] * measured.re[i];
      power += ideal.re[i] * ideal.re[i] + ideal.im[i] * ideal.im[i];
    }
    gains.re[k] = power > 0 ? re / power : 0;
    gains.im[k] = power > 0 ? im / power : 0;
  }
  return gains;
}

function smoothedGains(measured: ComplexSignal, ideal: ComplexSignal, subcarriers: Int32Array): ComplexSignal {
  const references = referenceResponse(measured, ideal, subcarriers.length);
  unwrap(references.phase);
  const amplitude = movingAverage(references.amplitude, HALF_WINDOW);
  const phase = movingAverage(references.phase, HALF_WINDOW);
  const gains = zeros(subcarriers.length);
  for (let k = 0; k < subcarriers.length; k++) {
    const left = Math.min(Math.floor(k / REFERENCE_STEP), amplitude.length - 1);
    // Beyond the last reference its value holds.
    const right = Math.min(left + 1, amplitude.length - 1);
    const from = subcarriers[left * REFERENCE_STEP];
    const distance = subcarriers[right * REFERENCE_STEP] - from;
    const share = distance > 0 ? (subcarriers[k] - from) / distance : 0;
    const a = amplitude[left] + share * (amplitude[right] - amplitude[left]);
    const angle = phase[left] + share * (phase[right] - phase[left]);
    gains.re[k] = a * Math.cos(angle);
    gains.im[k] = a * Math.sin(angle);
  }
  return gains;
}

/** Amplitude and phase of Z/R at every reference subcarrier, averaged over time with weights |R|². */
function referenceResponse(measured: ComplexSignal, ideal: ComplexSignal, count: number) {
  const references = Math.ceil(count / REFERENCE_STEP);
  const amplitude = new Float64Array(references);
  const phase = new Float64Array(references);
  // Phases are counted from the mean gain's, so that none of them lies near the jump at ±180°.
  const mean = columnGains(measured, ideal, count);
  for (let r = 0; r < references; r++) {
    const k = r * REFERENCE_STEP;
    const about = Math.atan2(mean.im[k], mean.re[k]);
    const cosine = Math.cos(about);
    const sine = Math.sin(about);
    let weight = 0;
    let magnitude = 0;
    let turn = 0;
    for (let i = k; i < measured.re.length; i += count) {
      const re = ideal.re[i] * measured.re[i] + ideal.im[i] * measured.im[i];
      const im = ideal.re[i] * measured.im[i] - ideal.im[i] * measured.re[i];
      const power = ideal.re[i] * ideal.re[i] + ideal.im[i] * ideal.im[i];
      weight += power;
      magnitude += Math.sqrt(re * re + im * im);
      turn += power * Math.atan2(im * cosine - re * sine, re * cosine + im * sine);
    }
    amplitude[r] = weight > 0 ? magnitude / weight : 0;
    phase[r] = weight > 0 ? about + turn / weight : 0;
  }
  return { amplitude, phase };
}

/** Takes out jumps of more than half a turn between neighbours, in place. */
function unwrap(phase: Samples): void {
  for (let i = 1; i < phase.length; i++) {
    phase[i] -= 2 * Math.PI * Math.round((phase[i] - phase[i - 1]) / (2 * Math.PI));
  }
}

/** Mean over ±half neighbours; nearer the edge over as many as there are on the shorter side. */
function movingAverage(values: Samples, half: number): Samples {
  const out = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    const reach = Math.min(half, i, values.length - 1 - i);
    let sum = 0;
    for (let j = i - reach; j <= i + reach; j++) sum += values[j];
    out[i] = sum / (2 * reach + 1);
  }
  return out;
}
