// Filter–nonlinearity–filter amplifier, the default: never a memory polynomial, so that a predistorter never has the
// amplifier's own structure.
//
//   v = x ⋆ inputTaps
//   e = one-pole average of min(|v|², 4), pole a = exp(−1/(τ·fs)):  e[n] = a·e[n−1] + (1−a)·min(|v[n]|², 4)
//   v ← v·(1 − depth·e)                                             gain sag of the bias network
//   w = v·(1 + u^p)^(−1/2p)·exp(j·amPm·u/(h + u)),  u = |v|²        knee of Rapp 1991, saturating AM/PM
//   y = w ⋆ outputTaps
//
// Records are periodic: filters wrap and the average is in its periodic steady state. |w| < 1, so |y| ≤ Σ|outputTaps|.
// The scale is as written: |y| = 1 is amplitude 1.000 whatever the taps. With one unit tap, no sag and no AM/PM it is
// the Rapp model. Source: our own reference amplifier; the order of its blocks is common practice.
import type { FilterNonlinearityFilterSettings } from '../../../shared/schema/scenario.ts';
import { type Complex, type ComplexSignal, fromPairs, zeros } from '../dsp/complex.ts';
import { kneeGain, LARGEST_KNEE_EXPONENT } from './knee.ts';
import type { ModelCore } from './modelCore.ts';

/** Envelope power at which the bias network stops sagging: the supply limits the current drawn. */
const SAG_POWER_LIMIT = 4;
const RAD_PER_DEG = Math.PI / 180;
/** exp(−45) is far below double precision: history older than this many time constants has no digit left. */
const SETTLING_TIME_CONSTANTS = 45;

interface Parameters {
  readonly inputTaps: ComplexSignal;
  readonly outputTaps: ComplexSignal;
  readonly biasDepthRatio: number;
  readonly biasPole: number;
  readonly sharpness: number;
  readonly amPmRad: number;
  readonly amPmHalfPower: number;
}

/** The amplifier of these settings with its taps and its bias pole at `rateHz`. */
export function filterNonlinearityFilterCore(settings: FilterNonlinearityFilterSettings, rateHz: number): ModelCore {
  const parameters: Parameters = {
    inputTaps: fromPairs(settings.inputTaps),
    outputTaps: fromPairs(settings.outputTaps),
    biasDepthRatio: settings.biasDepthRatio,
    biasPole: settings.biasTimeConstantS > 0 ? Math.exp(-1 / (settings.biasTimeConstantS * rateHz)) : 0,
    sharpness: settings.kneeSharpness,
    amPmRad: settings.amPmDeg * RAD_PER_DEG,
    amPmHalfPower: settings.amPmHalfPower,
  };
  const { inputTaps, outputTaps } = parameters;
  return {
    label: `Filter–nonlinearity–filter, knee ${settings.kneeSharpness}`,
    source: null,
    modelRateHz: settings.modelRateHz === 'any' ? null : settings.modelRateHz,
    driveRange: null,
    guarded: true,
    outputBound: settings.outputTaps.reduce((sum, tap) => sum + Math.sqrt(tap.re * tap.re + tap.im * tap.im), 0),
    smallSignalGain: multiply(sumOf(inputTaps), sumOf(outputTaps)),
    ownUnits: { drive: 1, output: 1 },
    memorySpanSamples: inputTaps.re.length + outputTaps.re.length - 1,
    apply: (drive) => amplify(parameters, drive),
    staticOutput: (amplitude) => staticOutput(parameters, amplitude),
  };
}

function amplify(parameters: Parameters, drive: ComplexSignal): ComplexSignal {
  const v = filterPeriodic(drive, parameters.inputTaps);
  if (parameters.biasDepthRatio > 0) sagInPlace(v, parameters.biasDepthRatio, parameters.biasPole);
  saturateInPlace(v, parameters);
  return filterPeriodic(v, parameters.outputTaps);
}

/** Convolution with short taps around the wrapped ends of a periodic record. A new record. */
function filterPeriodic(x: ComplexSignal, taps: ComplexSignal): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  for (let m = 0; m < taps.re.length; m++) {
    const hRe = taps.re[m];
    const hIm = taps.im[m];
    for (let n = 0; n < m; n++) {
      out.re[n] += hRe * x.re[n - m + length] - hIm * x.im[n - m + length];
      out.im[n] += hRe * x.im[n - m + length] + hIm * x.re[n - m + length];
    }
    for (let n = m; n < length; n++) {
      out.re[n] += hRe * x.re[n - m] - hIm * x.im[n - m];
      out.im[n] += hRe * x.im[n - m] + hIm * x.re[n - m];
    }
  }
  return out;
}

/** v ← v·(1 − depth·e), e the one-pole average in its periodic steady state. */
function sagInPlace(v: ComplexSignal, depth: number, pole: number): void {
  let average = settledAverage(v, pole);
  for (let n = 0; n < v.re.length; n++) {
    average = pole * average + (1 - pole) * limitedPower(v.re[n], v.im[n]);
    const gain = 1 - depth * average;
    v.re[n] *= gain;
    v.im[n] *= gain;
  }
}

/** The average just before sample 0 of a record that has repeated for ever. */
function settledAverage(v: ComplexSignal, pole: number): number {
  if (pole === 0) return 0;
  const length = v.re.length;
  const settlingSamples = Math.ceil(-SETTLING_TIME_CONSTANTS / Math.log(pole));
  const start = Math.max(0, length - settlingSamples);
  let average = 0;
  for (let n = start; n < length; n++) average = pole * average + (1 - pole) * limitedPower(v.re[n], v.im[n]);
  // A period shorter than the settling time adds its own echoes: 1 + a^N + a^2N + … = 1/(1 − a^N).
  return average / (1 - pole ** length);
}

function limitedPower(re: number, im: number): number {
  const power = re * re + im * im;
  return Math.min(power, SAG_POWER_LIMIT);
}

/** Knee and AM/PM. The gain is kneeGain's formula, written out: this loop is the amplifier's cost. */
function saturateInPlace(v: ComplexSignal, { sharpness, amPmRad, amPmHalfPower }: Parameters): void {
  const { re, im } = v;
  const rootExponent = -0.5 / sharpness;
  for (let n = 0; n < re.length; n++) {
    const u = re[n] * re[n] + im[n] * im[n];
    const logPower = Math.log(u);
    const exponent = sharpness * logPower;
    const gain =
      exponent > LARGEST_KNEE_EXPONENT
        ? Math.exp(-0.5 * logPower)
        : Math.exp(rootExponent * Math.log(1 + Math.exp(exponent)));
    const phase = (amPmRad * u) / (amPmHalfPower + u);
    const c = gain * Math.cos(phase);
    const s = gain * Math.sin(phase);
    const vRe = re[n];
    re[n] = vRe * c - im[n] * s;
    im[n] = vRe * s + im[n] * c;
  }
}

function staticOutput(parameters: Parameters, amplitude: number): Complex {
  const { inputTaps, outputTaps, biasDepthRatio, sharpness, amPmRad, amPmHalfPower } = parameters;
  const filtered = sumOf(inputTaps);
  const vRe = amplitude * filtered.re;
  const vIm = amplitude * filtered.im;
  const sag = 1 - biasDepthRatio * limitedPower(vRe, vIm);
  const u = (vRe * vRe + vIm * vIm) * sag * sag;
  const gain = sag * kneeGain(u, sharpness);
  const phase = (amPmRad * u) / (amPmHalfPower + u);
  const rotation = { re: gain * Math.cos(phase), im: gain * Math.sin(phase) };
  return multiply(multiply({ re: vRe, im: vIm }, rotation), sumOf(outputTaps));
}

/** Gain of the taps at zero frequency. */
function sumOf(taps: ComplexSignal): Complex {
  let re = 0;
  let im = 0;
  for (let m = 0; m < taps.re.length; m++) {
    re += taps.re[m];
    im += taps.im[m];
  }
  return { re, im };
}

function multiply(a: Complex, b: Complex): Complex {
  return { re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re };
}
