// Delay, gain and phase of an observation against its drive, through an amplifier that bends it.
//
// Aligned against the drive alone, the amplifier's distortion would count as noise of the delay. So a static curve is
// fitted, the receiver's leak and image are taken out, and the delay is found again against what the curve gives; in
// turns, each starting from the delay before. For a static amplifier what is left is the receiver's noise, and the spread
// of the delay its bound (see dsp/align). Memory and delay cannot be told apart by any record: the delay is that of the
// best static curve, and memory counts from there.
import type { SampleWindow } from '../basis/gram.ts';
import { memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { alignRecords, delayPeriodic } from '../dsp/align.ts';
import { type Complex, type ComplexSignal, leastSquaresGain, rotate, zeros } from '../dsp/complex.ts';
import { type ReceiverErrors, removeReceiverErrors, separateReceiverErrors } from './receiverErrors.ts';
import { gather, sampleCountOf } from './samplePart.ts';

export interface PairAlignment {
  readonly delaySamples: number;
  /** One standard deviation that the residual of the static curve explains. */
  readonly delayDeviationSamples: number;
  /** Of the observation without the receiver's errors against the drive; least squares over all samples. */
  readonly gain: Complex;
  /** Of the observation as it came against the drive: near 0 for records that do not belong together. */
  readonly correlationRatio: number;
  /** Image and leak at the aligned phase, found with the static curve over the windows. */
  readonly receiver: ReceiverErrors;
  /** The observation with delay and phase taken out; its level is left as recorded. */
  readonly aligned: ComplexSignal;
}

const STATIC_ORDERS = [1, 3, 5, 7, 9];
const TURNS = 3;

/**
 * Both records equally long and at one rate, neither silent. windows: samples that count, all but the ends of records
 * that are not one period. Throws RangeError for unequal or silent records (alignRecords).
 */
export function alignPair(
  drive: ComplexSignal,
  observed: ComplexSignal,
  windows: readonly SampleWindow[],
): PairAlignment {
  const first = alignRecords(drive, observed);
  const curve = memoryPolynomialStructure(STATIC_ORDERS, 1);
  let delaySamples = first.delaySamples;
  let delayDeviationSamples = first.delayDeviationSamples;
  let separated = separateReceiverErrors(curve, drive, delayPeriodic(observed, -delaySamples), windows);
  for (let turn = 0; turn < TURNS && separated !== null; turn++) {
    const again = alignRecords(inWindows(separated.output, windows), inWindows(separated.clean, windows));
    delaySamples += again.delaySamples;
    delayDeviationSamples = again.delayDeviationSamples;
    separated = separateReceiverErrors(curve, drive, delayPeriodic(observed, -delaySamples), windows);
  }
  const clean = separated?.clean ?? first.aligned;
  const gain = leastSquaresGain(gather(drive, windows), gather(clean, windows));
  const magnitude = Math.sqrt(gain.re * gain.re + gain.im * gain.im);
  const backwards = { re: gain.re / magnitude, im: -gain.im / magnitude };
  const aligned = rotate(delayPeriodic(observed, -delaySamples), backwards);
  const receiver = turnErrors(separated?.errors ?? null, backwards);
  return { delaySamples, delayDeviationSamples, gain, correlationRatio: first.correlationRatio, receiver, aligned };
}

/** For y·r in place of y, |r| = 1: the constant turns with it, the share of the conjugate by r². */
function turnErrors(errors: ReceiverErrors | null, r: Complex): ReceiverErrors {
  if (errors === null) return { image: { re: 0, im: 0 }, leak: { re: 0, im: 0 } };
  return { image: times(times(errors.image, r), r), leak: times(errors.leak, r) };
}

function times(a: Complex, b: Complex): Complex {
  return { re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re };
}

const LONGEST_FADE = 1024;

/**
 * The record in the windows, faded in and out at their ends, zero elsewhere: what a transform would wrap into the ends of a
 * record that is not one period stays out. The record itself where the windows hold all of it.
 */
function inWindows(x: ComplexSignal, windows: readonly SampleWindow[]): ComplexSignal {
  if (sampleCountOf(windows) === x.re.length) return x;
  const out = zeros(x.re.length);
  for (const { startSample, sampleCount } of windows) {
    const fade = Math.min(LONGEST_FADE, sampleCount >> 4);
    for (let k = 0; k < sampleCount; k++) {
      const inside = Math.min(k + 0.5, sampleCount - k - 0.5);
      const weight = inside < fade ? 0.5 - 0.5 * Math.cos((Math.PI * inside) / fade) : 1;
      out.re[startSample + k] = weight * x.re[startSample + k];
      out.im[startSample + k] = weight * x.im[startSample + k];
    }
  }
  return out;
}

export interface OutputAlignment {
  readonly delaySamples: number;
  /** Of the observation against the model's output. */
  readonly gain: Complex;
  readonly correlationRatio: number;
  readonly receiver: ReceiverErrors;
  /** The observation at time, level and phase of the output, without the receiver's errors. */
  readonly clean: ComplexSignal;
}

/** The same against a model's output: delay, one complex gain, leak and image are the receiver's and are taken out. */
export function alignWithOutput(
  output: ComplexSignal,
  observed: ComplexSignal,
  windows: readonly SampleWindow[],
): OutputAlignment {
  const first = alignRecords(output, observed);
  let delaySamples = first.delaySamples;
  let gain = first.gain;
  let found = cleanAgainst(output, observed, delaySamples, gain, windows);
  for (let turn = 0; turn < TURNS; turn++) {
    const again = alignRecords(inWindows(output, windows), inWindows(found.clean, windows));
    delaySamples += again.delaySamples;
    gain = times(gain, again.gain);
    found = cleanAgainst(output, observed, delaySamples, gain, windows);
  }
  return { delaySamples, gain, correlationRatio: first.correlationRatio, ...found };
}

function cleanAgainst(
  output: ComplexSignal,
  observed: ComplexSignal,
  delaySamples: number,
  gain: Complex,
  windows: readonly SampleWindow[],
) {
  const power = gain.re * gain.re + gain.im * gain.im;
  const inverse = { re: gain.re / power, im: -gain.im / power };
  const aligned = rotate(delayPeriodic(observed, -delaySamples), inverse);
  const receiver = separateErrors(output, aligned, windows);
  return { receiver, clean: removeReceiverErrors(aligned, output, receiver) };
}

function separateErrors(output: ComplexSignal, aligned: ComplexSignal, windows: readonly SampleWindow[]) {
  // A basis of the output alone: its gain is fitted with the errors, so that none of them leans on it.
  const separated = separateReceiverErrors(memoryPolynomialStructure([1], 1), output, aligned, windows);
  return separated?.errors ?? { image: { re: 0, im: 0 }, leak: { re: 0, im: 0 } };
}
