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
import type { Issue } from '../../../shared/schema/issue.ts';
import type { FilterNonlinearityFilterSettings } from '../../../shared/schema/scenario.ts';
import { wrap } from '../basis/memoryPolynomial.ts';
import { type Complex, type ComplexSignal, fromPairs, type Samples, zeros } from '../dsp/complex.ts';
import { createEnvelopeGainTable, type EnvelopeGainTable, NUMBERS_PER_PART } from './envelopeGainTable.ts';
import { kneeGain } from './knee.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';

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
  /** Knee and AM/PM against the envelope power. */
  readonly table: EnvelopeGainTable;
}

/** The amplifier of these settings with its taps and its bias pole at `rateHz`; issues when taps pass no carrier. */
export function filterNonlinearityFilterCore(settings: FilterNonlinearityFilterSettings, rateHz: number): CoreOutcome {
  const issues = [...tapIssues('inputTaps', settings.inputTaps), ...tapIssues('outputTaps', settings.outputTaps)];
  return issues.length > 0 ? { kind: 'invalid', issues } : { kind: 'core', core: coreOf(settings, rateHz) };
}

/** Taps whose sum is below this pass no carrier; a sum of rounding errors does not count. */
const LEAST_TAP_SUM = 1e-9;

function tapIssues(field: 'inputTaps' | 'outputTaps', taps: FilterNonlinearityFilterSettings['inputTaps']): Issue[] {
  const { re, im } = sumOf(fromPairs(taps));
  const gain = Math.sqrt(re * re + im * im);
  if (Number.isFinite(gain) && gain > LEAST_TAP_SUM) return [];
  return [
    {
      path: `amplifier.model.${field}`,
      rule: 'must have a finite sum that is not zero: it is the filter’s gain at the carrier',
      value: `taps that sum to ${gain}`,
      remedy: 'write [ { "re": 1 } ] for no filter',
    },
  ];
}

function coreOf(settings: FilterNonlinearityFilterSettings, rateHz: number): ModelCore {
  const { kneeSharpness, amPmHalfPower } = settings;
  const amPmRad = settings.amPmDeg * RAD_PER_DEG;
  const parameters: Parameters = {
    inputTaps: fromPairs(settings.inputTaps),
    outputTaps: fromPairs(settings.outputTaps),
    biasDepthRatio: settings.biasDepthRatio,
    biasPole: settings.biasTimeConstantS > 0 ? Math.exp(-1 / (settings.biasTimeConstantS * rateHz)) : 0,
    table: createEnvelopeGainTable((u) => saturationGain(u, kneeSharpness, amPmRad, amPmHalfPower), kneeSharpness),
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
  saturateInPlace(v, parameters.table);
  return filterPeriodic(v, parameters.outputTaps);
}

/** Convolution with short taps around the wrapped ends of a periodic record. A new record. */
function filterPeriodic(x: ComplexSignal, taps: ComplexSignal): ComplexSignal {
  const out = zeros(x.re.length);
  for (let m = 0; m < taps.re.length; m += 3) addThreeTaps(x, taps, m, out);
  return out;
}

/** out[n] += Σ h[m+i]·x[n−m−i], i = 0, 1, 2; taps beyond the last are zero. Written out: a third of a loop's time. */
function addThreeTaps(x: ComplexSignal, taps: ComplexSignal, m: number, out: ComplexSignal): void {
  const length = x.re.length;
  const [aRe, bRe = 0, cRe = 0] = taps.re.subarray(m, m + 3);
  const [aIm, bIm = 0, cIm = 0] = taps.im.subarray(m, m + 3);
  const { re, im } = x;
  let p = wrap(-m - 1, length);
  let q = wrap(-m - 2, length);
  for (let n = 0; n < length; n++) {
    const r = p + 1 === length ? 0 : p + 1;
    out.re[n] += aRe * re[r] - aIm * im[r] + bRe * re[p] - bIm * im[p] + cRe * re[q] - cIm * im[q];
    out.im[n] += aRe * im[r] + aIm * re[r] + bRe * im[p] + bIm * re[p] + cRe * im[q] + cIm * re[q];
    q = p;
    p = r;
  }
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

/** Knee and AM/PM as one complex gain at envelope power u. */
function saturationGain(u: number, sharpness: number, amPmRad: number, amPmHalfPower: number): Complex {
  const gain = kneeGain(u, sharpness);
  const phase = (amPmRad * u) / (amPmHalfPower + u);
  return { re: gain * Math.cos(phase), im: gain * Math.sin(phase) };
}

/** Logarithms are taken a block at a time: a loop of its own keeps the other free of calls, a block stays in cache. */
const BLOCK = 1024;

/** v ← v·G(|v|²). The table replaces four transcendental functions of five. */
function saturateInPlace(v: ComplexSignal, table: EnvelopeGainTable): void {
  const places = new Float64Array(BLOCK);
  for (let start = 0; start < v.re.length; start += BLOCK) {
    const end = Math.min(start + BLOCK, v.re.length);
    saturateBlock(v.re.subarray(start, end), v.im.subarray(start, end), places, table);
  }
}

function saturateBlock(re: Samples, im: Samples, places: Samples, table: EnvelopeGainTable): void {
  const { coefficients: c, lowestLog, partsPerUnit, partCount, gainAt } = table;
  const length = re.length;
  for (let n = 0; n < length; n++) {
    places[n] = (Math.log(re[n] * re[n] + im[n] * im[n]) - lowestLog) * partsPerUnit;
  }
  for (let n = 0; n < length; n++) {
    const place = places[n];
    const vRe = re[n];
    const vIm = im[n];
    if (!(place >= 0 && place < partCount)) {
      const gain = gainAt(vRe * vRe + vIm * vIm);
      re[n] = vRe * gain.re - vIm * gain.im;
      im[n] = vRe * gain.im + vIm * gain.re;
      continue;
    }
    const part = place | 0;
    const t = 2 * (place - part) - 1;
    const i = (NUMBERS_PER_PART * part) | 0;
    const gRe = c[i] + t * (c[i + 1] + t * (c[i + 2] + t * (c[i + 3] + t * (c[i + 4] + t * c[i + 5]))));
    const gIm = c[i + 6] + t * (c[i + 7] + t * (c[i + 8] + t * (c[i + 9] + t * (c[i + 10] + t * c[i + 11]))));
    re[n] = vRe * gRe - vIm * gIm;
    im[n] = vRe * gIm + vIm * gRe;
  }
}

function staticOutput(parameters: Parameters, amplitude: number): Complex {
  const { inputTaps, outputTaps, biasDepthRatio, table } = parameters;
  const filtered = sumOf(inputTaps);
  const v = { re: amplitude * filtered.re, im: amplitude * filtered.im };
  const sag = 1 - biasDepthRatio * limitedPower(v.re, v.im);
  const w = { re: sag * v.re, im: sag * v.im };
  return multiply(multiply(w, table.gainAt(w.re * w.re + w.im * w.im)), sumOf(outputTaps));
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
