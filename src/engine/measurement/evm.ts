// Error vector magnitude of one OFDM carrier against known symbols.
//
// The carrier is shifted to zero by its exact offset, other carriers are filtered off (carrierSelection.ts), then
// Z = transform of each symbol, its window centred on the cyclic prefix (TS 38.104 Annex B measures at both ends of a
// window about that centre), phases referred to the end of the prefix. With reference R and equalized z:
// EVM = √(Σ|z − R|²/Σ|R|²) over all symbols and subcarriers; peak = max|z − R| over rms R.
// Equalizers: none       z = Z·rms(R)/rms(Z), phase untouched
//             oneGain    z = Z/g,   g = Σ R*Z/Σ|R|² over everything
//             perSubcarrier z = Z/g_k, the same sum over the symbols of subcarrier k
import type { OfdmGeometry } from '../../../shared/schema/geometry.ts';
import type { EvmReading } from '../../../shared/schema/report.ts';
import { blockTransform } from '../dsp/blockTransform.ts';
import {
  type ComplexSignal,
  leastSquaresGain,
  meanPower,
  requireEqualLength,
  rotate,
  scale,
  zeros,
} from '../dsp/complex.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { selectCarrier } from './carrierSelection.ts';

export interface EvmRequest {
  /** Record to measure, aligned with the waveform sample by sample; any scale. */
  readonly output: ComplexSignal;
  readonly waveform: Waveform;
  readonly carrierIndex: number;
  readonly equalizer: EvmReading['equalizer'];
  readonly reference: EvmReading['reference'];
  /** Moves the transform window from the centre of the prefix; within ± half the prefix. */
  readonly windowOffsetSamples?: number;
}

export interface EvmResult {
  readonly reading: EvmReading;
  /** Row by row [symbol][subcarrier], on the scale of `ideal`. */
  readonly equalized: ComplexSignal;
  /** The reference symbols: the data, or the shaped waveform's symbols at the data's rms. */
  readonly ideal: ComplexSignal;
}

/**
 * EVM of one carrier in percent, with the symbols it was read from.
 * @throws RangeError for a carrier without symbols, a record of another length, or a window that leaves the prefix.
 */
export function measureEvm(request: EvmRequest): EvmResult {
  const { output, waveform, carrierIndex, equalizer, reference, windowOffsetSamples = 0 } = request;
  const { ofdm, data } = symbolsOf(waveform, carrierIndex);
  requireEqualLength('measureEvm', output, waveform.signal);
  const transform = (x: ComplexSignal) => demodulate(x, waveform, carrierIndex, ofdm, windowOffsetSamples);
  const measured = transform(output);
  const ideal = reference === 'data' ? data : atRmsOf(data, transform(waveform.signal));
  const equalized = equalize(measured, ideal, equalizer, ofdm.subcarriers.length);
  const { rmsPercent, peakPercent } = errorVector(equalized, ideal);
  return {
    reading: {
      rmsPercent,
      peakPercent,
      equalizer,
      reference,
      windowPosition: 'centre',
      symbolCount: ofdm.symbolCount,
      biasRatio: equalizer === 'perSubcarrier' ? evmBiasRatio(ofdm.symbolCount) : 1,
      carrierIndex,
    },
    equalized,
    ideal,
  };
}

/**
 * How much of the true EVM a per-subcarrier equalizer shows when it learns from the n symbols it is judged on:
 * √(1 − 1/n), because one complex gain per subcarrier takes one of n degrees of freedom.
 * @throws RangeError when n is not a whole number of at least 1.
 */
export function evmBiasRatio(symbolCount: number): number {
  if (!Number.isInteger(symbolCount) || symbolCount < 1) {
    throw new RangeError(`evmBiasRatio: symbolCount ${symbolCount} must be a whole number of at least 1`);
  }
  return Math.sqrt(1 - 1 / symbolCount);
}

function symbolsOf(waveform: Waveform, carrierIndex: number): { ofdm: OfdmGeometry; data: ComplexSignal } {
  const ofdm = waveform.carriers[carrierIndex]?.ofdm;
  const data = waveform.data[carrierIndex];
  if (!ofdm || !data) {
    throw new RangeError(`measureEvm: carrier ${carrierIndex} of ${waveform.carriers.length} carries no symbols`);
  }
  return { ofdm, data };
}

/** Symbols of a record about one carrier: shape [symbol][subcarrier], a clean waveform gives a multiple of its data. */
function demodulate(
  x: ComplexSignal,
  waveform: Waveform,
  carrierIndex: number,
  ofdm: OfdmGeometry,
  windowOffsetSamples: number,
): ComplexSignal {
  const prefix = ofdm.cyclicPrefixSamples;
  const start = Math.floor(prefix / 2) + windowOffsetSamples;
  if (!Number.isInteger(start) || start < 0 || start > prefix) {
    throw new RangeError(
      `measureEvm: a window offset of ${windowOffsetSamples} samples leaves the cyclic prefix of ${prefix} samples`,
    );
  }
  const cycles = Math.round((waveform.carriers[carrierIndex].offsetHz * x.re.length) / waveform.sampleRateHz);
  const centred = cycles === 0 ? x : shiftByCycles(x, -cycles);
  return blockTransform(selectCarrier(centred, waveform.carriers, carrierIndex, waveform.sampleRateHz), {
    blockLength: ofdm.fftLength,
    start,
    spacing: ofdm.symbolSamples,
    blockCount: ofdm.symbolCount,
    bins: ofdm.subcarriers,
    phaseOrigin: prefix - start,
  });
}

/** y scaled to the rms of x; silence stays silence. */
function atRmsOf(x: ComplexSignal, y: ComplexSignal): ComplexSignal {
  const power = meanPower(y);
  return scale(y, power > 0 ? Math.sqrt(meanPower(x) / power) : 0);
}

function equalize(
  measured: ComplexSignal,
  ideal: ComplexSignal,
  equalizer: EvmReading['equalizer'],
  subcarrierCount: number,
): ComplexSignal {
  if (equalizer === 'none') return atRmsOf(ideal, measured);
  if (equalizer === 'oneGain') return rotate(measured, inverse(leastSquaresGain(ideal, measured)));
  return equalizeEach(measured, ideal, subcarrierCount);
}

/** 1/g; a gain of zero (nothing of the reference found) gives zero, so that the error is the whole reference. */
function inverse(g: { readonly re: number; readonly im: number }): { re: number; im: number } {
  const power = g.re * g.re + g.im * g.im;
  return power > 0 ? { re: g.re / power, im: -g.im / power } : { re: 0, im: 0 };
}

function equalizeEach(measured: ComplexSignal, ideal: ComplexSignal, count: number): ComplexSignal {
  const out = zeros(measured.re.length);
  for (let k = 0; k < count; k++) {
    let re = 0;
    let im = 0;
    let power = 0;
    for (let i = k; i < measured.re.length; i += count) {
      re += ideal.re[i] * measured.re[i] + ideal.im[i] * measured.im[i];
      im += ideal.re[i] * measured.im[i] - ideal.im[i] * measured.re[i];
      power += ideal.re[i] * ideal.re[i] + ideal.im[i] * ideal.im[i];
    }
    const g = inverse(power > 0 ? { re: re / power, im: im / power } : { re: 0, im: 0 });
    for (let i = k; i < measured.re.length; i += count) {
      out.re[i] = g.re * measured.re[i] - g.im * measured.im[i];
      out.im[i] = g.re * measured.im[i] + g.im * measured.re[i];
    }
  }
  return out;
}

function errorVector(z: ComplexSignal, r: ComplexSignal): { rmsPercent: number; peakPercent: number } {
  let sum = 0;
  let peak = 0;
  for (let i = 0; i < z.re.length; i++) {
    const re = z.re[i] - r.re[i];
    const im = z.im[i] - r.im[i];
    const power = re * re + im * im;
    sum += power;
    if (power > peak) peak = power;
  }
  const reference = meanPower(r);
  return {
    rmsPercent: 100 * Math.sqrt(sum / z.re.length / reference),
    peakPercent: 100 * Math.sqrt(peak / reference),
  };
}
