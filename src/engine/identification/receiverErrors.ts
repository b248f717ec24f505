// What the observing receiver adds of its own: a constant (its carrier leaks into the mixer) and an image of the signal
// (its two branches differ in gain and phase, so a share of the conjugate appears).
//   y[n] = f[n] + a·conj(f[n]) + b,   f the amplifier's output
// Given f, a and b follow from least squares on y − f with the columns conj(f) and 1. f in turn is fitted to y without
// them, so both are found in turns; each turn shrinks the error by about |a| and by how much of conj(f) a basis in x can
// imitate, so a few turns end at rounding. Source: common practice; the conjugate as a model of branch mismatch in
// Schenk 2008, "RF Imperfections in High-rate Wireless Systems", chapter 5 (from memory).
import type { SampleWindow } from '../basis/gram.ts';
import { applyBasis, type BasisStructure } from '../basis/memoryPolynomial.ts';
import { type Complex, type ComplexSignal, meanPower, zeros } from '../dsp/complex.ts';
import { solveByQr } from '../dsp/leastSquares.ts';
import { fitOver } from './partEquations.ts';
import { gather } from './samplePart.ts';

export interface ReceiverErrors {
  /** a: share of the conjugate. */
  readonly image: Complex;
  /** b: the constant, in units of the record. */
  readonly leak: Complex;
}

const NO_RECEIVER_ERRORS: ReceiverErrors = { image: { re: 0, im: 0 }, leak: { re: 0, im: 0 } };

const TURNS = 4;
/** −160 dB: below every receiver's noise. */
const SETTLED_RATIO = 1e-8;

/** a and b of `observed` over the windows, when `output` is what the amplifier gave. */
function estimateReceiverErrors(
  output: ComplexSignal,
  observed: ComplexSignal,
  windows: readonly SampleWindow[],
): ReceiverErrors {
  const f = gather(output, windows);
  const y = gather(observed, windows);
  const count = f.re.length;
  const conjugate = { re: f.re.slice(), im: f.im.map((value) => -value) };
  const constant = { re: new Float64Array(count).fill(1), im: new Float64Array(count) };
  for (let n = 0; n < count; n++) {
    y.re[n] -= f.re[n];
    y.im[n] -= f.im[n];
  }
  const solution = solveByQr([conjugate, constant], y);
  if (solution === null) return NO_RECEIVER_ERRORS;
  const { re, im } = solution;
  return { image: { re: re[0], im: im[0] }, leak: { re: re[1], im: im[1] } };
}

/** y − a·conj(f) − b. */
export function removeReceiverErrors(
  observed: ComplexSignal,
  output: ComplexSignal,
  { image, leak }: ReceiverErrors,
): ComplexSignal {
  const clean = zeros(observed.re.length);
  for (let n = 0; n < clean.re.length; n++) {
    clean.re[n] = observed.re[n] - image.re * output.re[n] - image.im * output.im[n] - leak.re;
    clean.im[n] = observed.im[n] - image.im * output.re[n] + image.re * output.im[n] - leak.im;
  }
  return clean;
}

export interface SeparatedOutput {
  readonly errors: ReceiverErrors;
  /** The observation without them. */
  readonly clean: ComplexSignal;
  /** What the structure makes of the drive. */
  readonly output: ComplexSignal;
}

/**
 * Fits the structure and the receiver's errors in turns over the windows; the observation is aligned with the drive.
 * Null when the structure's terms cannot be told apart.
 */
export function separateReceiverErrors(
  structure: BasisStructure,
  drive: ComplexSignal,
  observed: ComplexSignal,
  windows: readonly SampleWindow[],
): SeparatedOutput | null {
  let separated: SeparatedOutput | null = null;
  for (let turn = 0; turn < TURNS; turn++) {
    const coefficients = fitOver(structure, drive, separated?.clean ?? observed, windows);
    if (coefficients === null) return null;
    const output = applyBasis(structure, coefficients, drive);
    const errors = estimateReceiverErrors(output, observed, windows);
    const isSettled = separated !== null && distance(separated.errors, errors, output) < SETTLED_RATIO;
    separated = { errors, clean: removeReceiverErrors(observed, output, errors), output };
    if (isSettled) break;
  }
  return separated;
}

/** How far two readings are apart, over the output's rms: what a change of them would do to the observation. */
function distance(a: ReceiverErrors, b: ReceiverErrors, output: ComplexSignal): number {
  const image = Math.hypot(a.image.re - b.image.re, a.image.im - b.image.im);
  const leak = Math.hypot(a.leak.re - b.leak.re, a.leak.im - b.leak.im);
  return image + leak / Math.sqrt(meanPower(output));
}
