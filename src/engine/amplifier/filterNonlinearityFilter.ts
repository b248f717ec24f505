// Filter–nonlinearity–filter amplifier, the default: never a memory polynomial, so that a predistorter never has the
// amplifier's own structure.
//
//   v = x ⋆ inputTaps
//   e = one-pole average of min(|v|², 4), pole a = exp(−1/(τ·fs)):  e[n] = a·e[n−1] + (1−a)·min(|v[n]|², 4)
//   v ← v·(1 − depth·e)                                             gain sag of the bias network
//   w = v·G(|v|²)                                                   knee, bumps and AM/PM: saturationCurve.ts
//   y = w ⋆ outputTaps
//
// Records are periodic: filters wrap and the average is in its periodic steady state. |w| never exceeds the curve's
// bound, which is 1 without bumps, so |y| ≤ bound·Σ|outputTaps|.
// The scale is as written: |y| = 1 is amplitude 1.000 whatever the taps. With one unit tap, no sag and no AM/PM it is
// the Rapp model. Source: our own reference amplifier; the order of its blocks is common practice.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { FilterNonlinearityFilterSettings } from '../../../shared/schema/scenario.ts';
import { type Complex, type ComplexSignal, fromPairs, type Samples } from '../dsp/complex.ts';
import { filterPeriodic } from '../dsp/fir.ts';
import { createEnvelopeGainTable, type EnvelopeGainTable, NUMBERS_PER_PART } from './envelopeGainTable.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';
import { saturationCurve } from './saturationCurve.ts';

/** Envelope power at which the bias network stops sagging: the supply limits the current drawn. */
const SAG_POWER_LIMIT = 4;
/** exp(−45) is far below double precision: history older than this many time constants has no digit left. */
const SETTLING_TIME_CONSTANTS = 45;

interface Parameters {
  readonly inputTaps: ComplexSignal;
  readonly outputTaps: ComplexSignal;
  readonly biasDepthRatio: number;
  readonly biasPole: number;
  /** Knee, bumps and AM/PM against the envelope power. */
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
  const curve = saturationCurve(settings);
  const parameters: Parameters = {
    inputTaps: fromPairs(settings.inputTaps),
    outputTaps: fromPairs(settings.outputTaps),
    biasDepthRatio: settings.biasDepthRatio,
    biasPole: settings.biasTimeConstantS > 0 ? Math.exp(-1 / (settings.biasTimeConstantS * rateHz)) : 0,
    table: createEnvelopeGainTable(curve.gainAt, curve.equivalentSharpness),
  };
  const { inputTaps, outputTaps } = parameters;
  return {
    label: `Filter–nonlinearity–filter, knee ${settings.kneeSharpness}`,
    source: null,
    modelRateHz: settings.modelRateHz === 'any' ? null : settings.modelRateHz,
    driveRange: null,
    guarded: true,
    outputBound:
      curve.bound * settings.outputTaps.reduce((sum, tap) => sum + Math.sqrt(tap.re * tap.re + tap.im * tap.im), 0),
    smallSignalGain: multiply(multiply(sumOf(inputTaps), curve.gainAt(0)), sumOf(outputTaps)),
    ownUnits: { drive: 1, output: 1 },
    memorySpanSamples: inputTaps.re.length + outputTaps.re.length - 1,
    apply: (drive) => amplify(parameters, drive),
    staticOutput: (amplitude) => staticOutput(parameters, amplitude),
  };
}

function amplify(parameters: Parameters, drive: ComplexSignal): ComplexSignal {
  const v = filterPeriodic(drive, parameters.inputTaps, 0);
  saturateInPlace(v, parameters);
  return filterPeriodic(v, parameters.outputTaps, 0);
}

/** Samples of a block, which three short loops pass through: one long loop has more at hand than there are registers. */
const BLOCK = 1024;

/** v ← v·(1 − depth·e)·G, e the one-pole average of v in its periodic steady state, G the curve behind the sag. */
function saturateInPlace(v: ComplexSignal, { biasDepthRatio, biasPole, table }: Parameters): void {
  const powers = new Float64Array(BLOCK);
  const parts = new Int32Array(BLOCK);
  let average = biasDepthRatio > 0 ? settledAverage(v, biasPole) : 0;
  for (let start = 0; start < v.re.length; start += BLOCK) {
    const end = Math.min(start + BLOCK, v.re.length);
    const re = v.re.subarray(start, end);
    const im = v.im.subarray(start, end);
    average = sagBlock(re, im, average, biasDepthRatio, biasPole, powers);
    findParts(powers, re.length, table, parts);
    saturateBlock(re, im, powers, parts, table);
  }
}

/** v ← v·(1 − depth·e); |v|² behind it goes to `powers`. Returns the average after the last sample. */
function sagBlock(
  re: Samples,
  im: Samples,
  averageBefore: number,
  depth: number,
  pole: number,
  powers: Samples,
): number {
  const rest = 1 - pole;
  let average = averageBefore;
  for (let n = 0; n < re.length; n++) {
    const power = re[n] * re[n] + im[n] * im[n];
    average = pole * average + rest * Math.min(power, SAG_POWER_LIMIT);
    const sag = 1 - depth * average;
    re[n] *= sag;
    im[n] *= sag;
    powers[n] = power * sag * sag;
  }
  return average;
}

/** Where in the table the gain at each power begins, −1 outside: see envelopeGainTable.ts. */
function findParts(powers: Samples, count: number, table: EnvelopeGainTable, parts: Int32Array): void {
  const { highestPower, lowestPlace, placesPerPower, octaveBits } = table;
  for (let n = 0; n < count; n++) {
    const u = powers[n];
    const place = u < highestPower ? (u * placesPerPower) | 0 : 0;
    const octave = 31 - Math.clz32(place) - octaveBits;
    parts[n] = place < lowestPlace ? -1 : NUMBERS_PER_PART * ((octave << octaveBits) + (place >> octave) - lowestPlace);
  }
}

/** v ← v·G. */
function saturateBlock(re: Samples, im: Samples, powers: Samples, parts: Int32Array, table: EnvelopeGainTable): void {
  const { coefficients: c, gainAt } = table;
  for (let n = 0; n < re.length; n++) {
    const i = parts[n];
    const vRe = re[n];
    const vIm = im[n];
    if (i < 0) {
      const gain = gainAt(powers[n]);
      re[n] = vRe * gain.re - vIm * gain.im;
      im[n] = vRe * gain.im + vIm * gain.re;
      continue;
    }
    const t = powers[n] - c[i];
    // In pairs: the additions of Horner's rule would wait for each other.
    const tt = t * t;
    const gRe = c[i + 1] + t * c[i + 2] + tt * (c[i + 3] + t * c[i + 4] + tt * (c[i + 5] + t * c[i + 6]));
    const gIm = c[i + 7] + t * c[i + 8] + tt * (c[i + 9] + t * c[i + 10] + tt * (c[i + 11] + t * c[i + 12]));
    re[n] = vRe * gRe - vIm * gIm;
    im[n] = vRe * gIm + vIm * gRe;
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
