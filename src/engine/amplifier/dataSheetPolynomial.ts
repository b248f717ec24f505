// A model said again as a memory polynomial: fitted on noise held at the declared range, judged on other noise.
import type { MemoryPolynomialSettings } from '../../../shared/schema/scenario.ts';
import { accumulateNormalEquations } from '../basis/gram.ts';
import { applyBasis, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { dbToAmplitudeRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { inverseFft } from '../dsp/fft.ts';
import { holdAmplitude } from '../dsp/hold.ts';
import { solveNormalEquations } from '../dsp/leastSquares.ts';
import { createRandom } from '../dsp/random.ts';
import { cwCharacteristics } from './cwCharacteristics.ts';
import type { AmplifierModel } from './model.ts';

/** Samples of the record the model must be made for. */
export const FIT_SAMPLES = 16384;

export interface PolynomialShape {
  readonly nonlinearOrders: readonly number[];
  readonly memoryDepth: number;
  /** Rate of the record the model was made for: the taps hold at it. */
  readonly sampleRateHz: number;
  /** Width of the noise that drives the fit. */
  readonly bandwidthHz: number;
}

export interface PolynomialFit {
  readonly settings: MemoryPolynomialSettings;
  /** Error over output on the record the fit saw, and on another one of the same kind. */
  readonly fitNmseDb: number;
  readonly heldOutNmseDb: number;
  /** Largest drive amplitude of the fit; the polynomial holds there. */
  readonly driveRange: number;
  readonly conditionNumber: number | null;
}

/** Peaks of the driving noise over its mean, held at the range. */
const CREST_DB = 9;
/** Without a range of its own a model is fitted up to this compression. */
const RANGE_COMPRESSION_DB = 6;
const SEED = 1;

/**
 * Least-squares memory polynomial of a model made for records of FIT_SAMPLES samples at the shape's rate. Null when the
 * orders and delays cannot be told apart, as for a drive band far below the rate.
 */
export function asMemoryPolynomial(model: AmplifierModel, shape: PolynomialShape): PolynomialFit | null {
  const driveRange = model.driveRange ?? rangeAt(model);
  const structure = memoryPolynomialStructure(shape.nonlinearOrders, shape.memoryDepth);
  const [fitting, other] = [0, 1].map((index) => {
    const drive = fitDrive(model, shape, index);
    return { drive, output: model.amplify(drive) };
  });
  const { gram, rightSide } = accumulateNormalEquations(structure, fitting.drive, fitting.output, 'whole');
  const solution = solveNormalEquations(gram, rightSide, 0);
  if (solution === null) return null;
  const { coefficients, conditionNumber } = solution;
  const nmseDb = ({ drive, output }: { drive: ComplexSignal; output: ComplexSignal }): number => {
    const predicted = applyBasis(structure, coefficients, drive);
    let error = 0;
    for (let n = 0; n < output.re.length; n++) {
      error += (output.re[n] - predicted.re[n]) ** 2 + (output.im[n] - predicted.im[n]) ** 2;
    }
    return powerRatioToDb(error / output.re.length / meanPower(output));
  };
  const settings: MemoryPolynomialSettings = {
    kind: 'memoryPolynomial',
    modelRateHz: shape.sampleRateHz,
    nonlinearOrders: [...shape.nonlinearOrders],
    memoryDepth: shape.memoryDepth,
    coefficients: Array.from(coefficients.re, (re, i) => ({ re, im: coefficients.im[i] })),
    driveRange,
    // The scale is the model's own: |y| = 1 stays saturated power.
    saturatedAmplitude: 1,
  };
  return { settings, fitNmseDb: nmseDb(fitting), heldOutNmseDb: nmseDb(other), driveRange, conditionNumber };
}

/** What the polynomial is fitted on (index 0) and judged on (1): noise over the shape's band, held at the range. */
export function fitDrive(model: AmplifierModel, shape: PolynomialShape, index = 0): ComplexSignal {
  const driveRange = model.driveRange ?? rangeAt(model);
  return holdAmplitude(driveOf(shape, driveRange, index), driveRange);
}

/** Drive at which the gain has fallen by RANGE_COMPRESSION_DB, or that of the largest output. */
function rangeAt(model: AmplifierModel): number {
  const { atLargestOutput } = cwCharacteristics(model, dbToAmplitudeRatio(RANGE_COMPRESSION_DB));
  return atLargestOutput.driveAmplitude;
}

/** Band-limited Gaussian noise CREST_DB below the range. */
function driveOf({ sampleRateHz, bandwidthHz }: PolynomialShape, driveRange: number, index: number): ComplexSignal {
  const random = createRandom(SEED + index, 'polynomial of a model');
  const spectrum = zeros(FIT_SAMPLES);
  const half = Math.max(1, Math.floor((bandwidthHz / 2 / sampleRateHz) * FIT_SAMPLES));
  for (let line = -half; line <= half; line++) {
    const at = (line + FIT_SAMPLES) % FIT_SAMPLES;
    spectrum.re[at] = random.normal();
    spectrum.im[at] = random.normal();
  }
  const drive = inverseFft(spectrum);
  return scale(drive, (driveRange * dbToAmplitudeRatio(-CREST_DB)) / Math.sqrt(meanPower(drive)));
}
