// The receiver's noise told apart from what the model cannot describe.
//
// A model error comes from the signal and lies where the signal and its low-order products lie; a receiver's noise lies
// everywhere. So the density of the residual in the outer tenths of the sample rate is taken for the noise's, and the
// noise for white:   N = fs·median(|E|² density, |f| > 0.4·fs)/ln 2
// (the median of exponentially distributed powers is ln 2 of their mean, and lines do not move it). What is left of the
// residual is the model's. Where products of order FREE_ORDER reach into the outer tenths, no reading is given.
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { measureOccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';
import { estimateSpectrum } from '../dsp/spectrum.ts';

const OUTER_RATIO = 0.4;
const FREE_ORDER = 5;

export interface NoiseReading {
  /** Σ|noise|² over Σ|output|². */
  readonly noiseRatio: number;
  readonly fromHz: number;
}

/** residual and output: equally long; null when the signal's products reach the band that is read. */
export function readNoiseFloor(
  residual: ComplexSignal,
  output: ComplexSignal,
  sampleRateHz: number,
): NoiseReading | null {
  const length = residual.re.length;
  const options = {
    sampleRateHz,
    method: 'wholeRecord',
    window: 'rectangular',
    segmentLength: length,
    overlapRatio: 0,
  } as const;
  const occupied = measureOccupiedBandwidth(estimateSpectrum(output, options));
  const reach = (FREE_ORDER / 2) * occupied.occupiedBandwidthHz;
  const middle = (occupied.lowerHz + occupied.upperHz) / 2;
  const fromHz = OUTER_RATIO * sampleRateHz;
  if (Math.abs(middle) + reach > fromHz) return null;
  const { frequencyHz, power } = estimateSpectrum(residual, options);
  const outer = power.filter((_, b) => Math.abs(frequencyHz[b]) > fromHz).sort();
  const noise = (outer[outer.length >> 1] / Math.LN2) * length;
  return { noiseRatio: noise / meanPower(output), fromHz };
}
