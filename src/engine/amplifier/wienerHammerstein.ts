// Wiener–Hammerstein amplifier: rational filter, memoryless polynomial, rational filter.
//
//   H(z) = Σ b_k·z^−k / (1 + Σ a_k·z^−k)      v = h ⋆ x,  w = Σ c_k·v·|v|^2k,  y = g ⋆ w
//
// Impulse responses are cut 260 dB down, and records are periodic: the filters wrap. The drive is held
// where |h|₁·|x| reaches the polynomial's range R, so that |v| ≤ R and |y| ≤ |g|₁·max_{r ≤ R}|P(r)| for any drive.
import { type Complex, type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import { filterPeriodic } from '../dsp/fir.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { ModelCore } from './modelCore.ts';

/** Coefficients of z^0, z^−1, …; the denominator's first is 1. */
export interface RationalFilter {
  readonly numerator: readonly number[];
  readonly denominator: readonly number[];
}

export interface WienerHammerstein {
  readonly label: string;
  readonly source: string;
  readonly inputFilter: RationalFilter;
  /** c_k of v·|v|^2k, k = 0, 1, … */
  readonly coefficients: readonly Complex[];
  readonly outputFilter: RationalFilter;
  /** Largest |v| the polynomial holds for. */
  readonly innerRange: number;
}

/** 260 dB below the first tap: the taps left out are as many roundings. */
const LEAST_TAP = 1e-13;
const MOST_TAPS = 4096;

/** The amplifier in the scale of the operating point: its largest CW output within the range is 1, its gain 1. */
export function wienerHammersteinCore(own: WienerHammerstein): ModelCore {
  const inputTaps = impulseResponse(own.inputFilter);
  const outputTaps = impulseResponse(own.outputFilter);
  const [inputSum, outputSum] = [sum(inputTaps), sum(outputTaps)];
  const innerPeak = largestOnInterval((r) => magnitude(polynomialAt(own.coefficients, r)), 0, own.innerRange).value;
  const rawRange = own.innerRange / absoluteSum(inputTaps);
  const rawOutput = (r: number) => {
    const w = polynomialAt(own.coefficients, inputSum * r);
    return { re: outputSum * w.re, im: outputSum * w.im };
  };
  const saturated = largestOnInterval((r) => magnitude(rawOutput(r)), 0, rawRange).value;
  const [linear] = own.coefficients;
  const gain = { re: linear.re * inputSum * outputSum, im: linear.im * inputSum * outputSum };
  const drive = saturated / magnitude(gain);
  const arriving = { re: inputTaps.map((tap) => drive * tap), im: new Float64Array(inputTaps.length) };
  const leaving = { re: outputTaps.map((tap) => tap / saturated), im: new Float64Array(outputTaps.length) };
  return {
    label: own.label,
    source: own.source,
    modelRateHz: null,
    driveRange: rawRange / drive,
    guarded: true,
    outputBound: (absoluteSum(outputTaps) * innerPeak) / saturated,
    smallSignalGain: { re: gain.re / magnitude(gain), im: gain.im / magnitude(gain) },
    ownUnits: { drive, output: saturated },
    memorySpanSamples: inputTaps.length + outputTaps.length - 1,
    apply: (x) => filterPeriodic(applyPolynomial(own.coefficients, filterPeriodic(x, arriving, 0)), leaving, 0),
    staticOutput: (amplitude) => {
      const y = rawOutput(drive * amplitude);
      return { re: y.re / saturated, im: y.im / saturated };
    },
  };
}

/** Response to a unit impulse, up to where nothing is left. */
export function impulseResponse({ numerator, denominator }: RationalFilter): Samples {
  const taps: number[] = [];
  const settled = Math.max(numerator.length, denominator.length);
  for (let n = 0; n < MOST_TAPS; n++) {
    let tap = numerator[n] ?? 0;
    for (let k = 1; k < denominator.length && k <= n; k++) tap -= denominator[k] * taps[n - k];
    taps.push(tap);
    if (n >= settled && taps.slice(1 - denominator.length).every((last) => Math.abs(last) < LEAST_TAP)) break;
  }
  return Float64Array.from(taps);
}

function sum(values: Samples): number {
  return values.reduce((total, value) => total + value, 0);
}

function absoluteSum(values: Samples): number {
  return values.reduce((total, value) => total + Math.abs(value), 0);
}

function magnitude({ re, im }: Complex): number {
  return Math.sqrt(re * re + im * im);
}

/** Σ c_k·r^(2k + 1). */
function polynomialAt(coefficients: readonly Complex[], r: number): Complex {
  const { re, im } = gainAt(coefficients, r * r);
  return { re: re * r, im: im * r };
}

/** Σ c_k·u^k. */
function gainAt(coefficients: readonly Complex[], u: number): Complex {
  let re = 0;
  let im = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) {
    re = re * u + coefficients[k].re;
    im = im * u + coefficients[k].im;
  }
  return { re, im };
}

function applyPolynomial(coefficients: readonly Complex[], v: ComplexSignal): ComplexSignal {
  const out = zeros(v.re.length);
  for (let n = 0; n < v.re.length; n++) {
    const gain = gainAt(coefficients, v.re[n] * v.re[n] + v.im[n] * v.im[n]);
    out.re[n] = v.re[n] * gain.re - v.im[n] * gain.im;
    out.im[n] = v.re[n] * gain.im + v.im[n] * gain.re;
  }
  return out;
}
