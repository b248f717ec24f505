// A record against the record of what was sent: delay, gain, phase, NMSE over the whole rate, and EVM in the channel.
//
// Without knowing symbols, EVM here is the error in the own channel's bandwidth after one complex gain fitted there,
// over the reference in the same band: EVM = √(Σ|Y − g·X|² / Σ|g·X|²), sums over the channel's bins of the whole record.
// Records that are not one period, or not equally long, are compared where they overlap (recordOverlap); all sums then
// go over samples that the faded ends do not reach.
import type { Warning } from '../../../shared/schema/issue.ts';
import { alignRecords } from '../dsp/align.ts';
import { type ComplexSignal, leastSquaresGain, meanPower, peakPower, rotate, zeros } from '../dsp/complex.ts';
import { amplitudeRatioToDb, FLOOR_DB, powerRatioToDb } from '../dsp/decibels.ts';
import { fft, inverseFft } from '../dsp/fft.ts';
import type { RecordChannels } from './recordChannels.ts';
import { type Overlap, overlapOf, wholePeriod } from './recordOverlap.ts';

/** EVM against a record: no symbols are known, so none are counted. */
export interface RecordEvmReading {
  readonly rmsPercent: number;
  readonly peakPercent: number;
  readonly equalizer: 'oneGain';
  readonly reference: 'record';
  readonly symbolCount: null;
  readonly bandwidthHz: number;
}

export interface RecordComparison {
  /** Delay of the record against the reference. */
  readonly delaySamples: number;
  readonly delayS: number;
  /** One standard deviation of the delay that the residual explains. */
  readonly delayDeviationS: number;
  /** EVM that a delay wrong by that deviation would leave. */
  readonly delayErrorPercent: number;
  readonly gainDb: number;
  readonly phaseDeg: number;
  readonly nmseDb: number;
  /** 1 for a perfect copy, near 0 for records that have nothing in common. */
  readonly correlationRatio: number;
  readonly evm: RecordEvmReading;
  /** Samples compared: all of one period, or those of the overlap that its faded ends do not reach. */
  readonly comparedSampleCount: number;
}

/** Under this share the largest correlation may be chance, and the figures would be of nothing. */
const LEAST_CORRELATION = 0.3;

interface Compared {
  readonly comparison: RecordComparison | null;
  readonly warnings: readonly Warning[];
}

/**
 * Null, with a warning, when the two have too little in common. One rate; `isOnePeriod`: of the observed record. Equal
 * lengths of one period are compared round the end.
 */
export function compareRecords(
  reference: ComplexSignal,
  observed: ComplexSignal,
  sampleRateHz: number,
  channels: RecordChannels,
  isOnePeriod: boolean,
): Compared {
  const isWhole = isOnePeriod && reference.re.length === observed.re.length;
  const overlap = isWhole ? wholePeriod(reference, observed) : overlapOf(reference, observed);
  if (overlap === null) return unlike('overlap in too few samples to be compared');
  const found = alignRecords(overlap.reference, overlap.observed);
  if (found.correlationRatio < LEAST_CORRELATION) {
    return unlike(`correlate by ${found.correlationRatio.toFixed(3)} of 1 at best`);
  }
  const delaySamples = overlap.wholeDelaySamples + found.delaySamples;
  const { gainDb, phaseDeg } = polar(found.gain);
  const comparison: RecordComparison = {
    delaySamples,
    delayS: delaySamples / sampleRateHz,
    delayDeviationS: found.delayDeviationSamples / sampleRateHz,
    delayErrorPercent: found.delayErrorPercent,
    gainDb,
    phaseDeg,
    nmseDb: isWhole ? found.residualDb : residualDb(overlap, found.aligned),
    correlationRatio: found.correlationRatio,
    evm: evmInChannel(overlap, found.aligned, sampleRateHz, channels),
    comparedSampleCount: overlap.to - overlap.from,
  };
  return { comparison, warnings: [] };
}

function unlike(reason: string): Compared {
  const message = `Record and reference ${reason}: they do not belong together, so delay, gain and EVM are not given.`;
  return { comparison: null, warnings: [{ code: 'reference-unlike', message }] };
}

function polar({ re, im }: { readonly re: number; readonly im: number }) {
  return {
    gainDb: amplitudeRatioToDb(Math.sqrt(re * re + im * im)),
    phaseDeg: (180 / Math.PI) * Math.atan2(im, re),
  };
}

function part({ re, im }: ComplexSignal, { from, to }: Overlap): ComplexSignal {
  return { re: re.subarray(from, to), im: im.subarray(from, to) };
}

function difference(a: ComplexSignal, b: ComplexSignal): ComplexSignal {
  const error = zeros(a.re.length);
  for (let n = 0; n < error.re.length; n++) {
    error.re[n] = a.re[n] - b.re[n];
    error.im[n] = a.im[n] - b.im[n];
  }
  return error;
}

/** Error over wanted power after one gain, where the ends do not reach. */
function residualDb(overlap: Overlap, aligned: ComplexSignal): number {
  const [wanted, seen] = [part(overlap.reference, overlap), part(aligned, overlap)];
  const scaled = rotate(wanted, leastSquaresGain(wanted, seen));
  const ratio = meanPower(difference(seen, scaled)) / meanPower(scaled);
  return ratio > 0 ? powerRatioToDb(ratio) : FLOOR_DB;
}

function evmInChannel(
  overlap: Overlap,
  aligned: ComplexSignal,
  sampleRateHz: number,
  channels: RecordChannels,
): RecordEvmReading {
  const wanted = part(channelOnly(overlap.reference, sampleRateHz, channels), overlap);
  const seen = part(channelOnly(aligned, sampleRateHz, channels), overlap);
  const scaled = rotate(wanted, leastSquaresGain(wanted, seen));
  const error = difference(seen, scaled);
  const power = meanPower(scaled);
  return {
    rmsPercent: 100 * Math.sqrt(meanPower(error) / power),
    peakPercent: 100 * Math.sqrt(peakPower(error) / power),
    equalizer: 'oneGain',
    reference: 'record',
    symbolCount: null,
    bandwidthHz: channels.ownBandwidthHz,
  };
}

/** The record with every bin outside the own channel taken out. */
function channelOnly(x: ComplexSignal, sampleRateHz: number, channels: RecordChannels): ComplexSignal {
  const bins = fft(x);
  const length = x.re.length;
  const half = channels.ownBandwidthHz / 2;
  for (let k = 0; k < length; k++) {
    const frequencyHz = ((2 * k < length ? k : k - length) * sampleRateHz) / length;
    if (Math.abs(frequencyHz - channels.centreHz) <= half) continue;
    bins.re[k] = 0;
    bins.im[k] = 0;
  }
  return inverseFft(bins);
}
