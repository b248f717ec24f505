// A record against the record of what was sent: delay, gain, phase, NMSE over the whole rate, and EVM in the channel.
//
// Without knowing symbols, EVM here is the error in the own channel's bandwidth after one complex gain fitted there,
// over the reference in the same band: EVM = √(Σ|Y − g·X|² / Σ|g·X|²), sums over the channel's bins of the whole record.
import type { Warning } from '../../../shared/schema/issue.ts';
import { alignRecords } from '../dsp/align.ts';
import { type ComplexSignal, leastSquaresGain, meanPower, peakPower, rotate, zeros } from '../dsp/complex.ts';
import { amplitudeRatioToDb } from '../dsp/decibels.ts';
import { fft, inverseFft } from '../dsp/fft.ts';
import type { RecordChannels } from './recordChannels.ts';

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
}

/** Under this share the largest correlation may be chance, and the figures would be of nothing. */
const LEAST_CORRELATION = 0.3;

/** Null, with a warning, when the two have too little in common. Equal lengths, one period, one rate. */
export function compareRecords(
  reference: ComplexSignal,
  observed: ComplexSignal,
  sampleRateHz: number,
  channels: RecordChannels,
): { readonly comparison: RecordComparison | null; readonly warnings: readonly Warning[] } {
  const found = alignRecords(reference, observed);
  if (found.correlationRatio < LEAST_CORRELATION) {
    const message = `Record and reference correlate by ${found.correlationRatio.toFixed(3)} of 1 at best: they do not belong together, so delay, gain and EVM are not given.`;
    return { comparison: null, warnings: [{ code: 'reference-unlike', message }] };
  }
  const comparison: RecordComparison = {
    delaySamples: found.delaySamples,
    delayS: found.delaySamples / sampleRateHz,
    delayDeviationS: found.delayDeviationSamples / sampleRateHz,
    delayErrorPercent: found.delayErrorPercent,
    gainDb: amplitudeRatioToDb(Math.sqrt(found.gain.re * found.gain.re + found.gain.im * found.gain.im)),
    phaseDeg: (180 / Math.PI) * Math.atan2(found.gain.im, found.gain.re),
    nmseDb: found.residualDb,
    correlationRatio: found.correlationRatio,
    evm: evmInChannel(reference, found.aligned, sampleRateHz, channels),
  };
  return { comparison, warnings: [] };
}

function evmInChannel(
  reference: ComplexSignal,
  aligned: ComplexSignal,
  sampleRateHz: number,
  channels: RecordChannels,
): RecordEvmReading {
  const wanted = channelOnly(reference, sampleRateHz, channels);
  const seen = channelOnly(aligned, sampleRateHz, channels);
  const scaled = rotate(wanted, leastSquaresGain(wanted, seen));
  const error = zeros(seen.re.length);
  for (let n = 0; n < error.re.length; n++) {
    error.re[n] = seen.re[n] - scaled.re[n];
    error.im[n] = seen.im[n] - scaled.im[n];
  }
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
