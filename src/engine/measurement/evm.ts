// Error vector magnitude of one carrier against known symbols.
//
// OFDM: the carrier is shifted to zero by its exact offset, other carriers are filtered off (carrierSelection.ts), each
// symbol is transformed (evmWindow.ts says where) and equalized (evmEqualizer.ts). A single carrier goes through its
// matched filter (singleCarrierEvm.ts) and one gain. With reference R and equalized z:
// EVM = √(Σ|z − R|²/Σ|R|²) over all symbols and subcarriers; peak = max|z − R| over rms R.
import type { CarrierGeometry, OfdmGeometry, SingleCarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { EvmReading } from '../../../shared/schema/report.ts';
import { type ComplexSignal, requireEqualLength } from '../dsp/complex.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { errorVector } from './errorVector.ts';
import { atRmsOf, equalize, equalizeByOneGain } from './evmEqualizer.ts';
import { countedSymbols, createDemodulator, pickRows, standardOffsets } from './evmWindow.ts';
import { countedSingleSymbols, matchedSymbols } from './singleCarrierEvm.ts';

export interface EvmRequest {
  /** Record to measure, aligned with the waveform sample by sample; any scale. */
  readonly output: ComplexSignal;
  readonly waveform: Waveform;
  readonly carrierIndex: number;
  /** A single carrier knows none and oneGain; any other is read with oneGain, and the reading says so. */
  readonly equalizer: EvmReading['equalizer'];
  readonly reference: EvmReading['reference'];
  /** "standard": at both ends of the table's window, the worse counts. "centre" by default. */
  readonly windowPosition?: 'centre' | 'standard';
  /** Moves a centred transform window; within ± half the prefix. */
  readonly windowOffsetSamples?: number;
}

export interface EvmResult {
  readonly reading: EvmReading;
  /** Row by row [symbol][subcarrier], on the scale of `ideal`; a single carrier symbol by symbol. */
  readonly equalized: ComplexSignal;
  /** The reference symbols: the data, or the shaped waveform's symbols at the data's rms. */
  readonly ideal: ComplexSignal;
}

/**
 * EVM of one carrier in percent, with the symbols it was read from.
 * @throws RangeError for a carrier without symbols that count, a record of another length, or a window that leaves the
 * prefix.
 */
export function measureEvm(request: EvmRequest): EvmResult {
  const { output, waveform, carrierIndex } = request;
  const carrier = waveform.carriers[carrierIndex];
  const data = waveform.data[carrierIndex];
  if (!data || countEvmSymbols(waveform, carrierIndex) === 0) {
    throw new RangeError(`measureEvm: carrier ${carrierIndex} of ${waveform.carriers.length} carries no symbols`);
  }
  requireEqualLength('measureEvm', output, waveform.signal);
  if (carrier.ofdm !== null) return measureOfdm(request, carrier.ofdm, data);
  if (carrier.singleCarrier !== null) return measureSingleCarrier(request, carrier.singleCarrier, data);
  throw new RangeError(`measureEvm: carrier ${carrierIndex}, ${carrier.kind}, has no symbols' geometry`);
}

/** Symbols of a carrier that an EVM reading averages: whole ones inside bursts. 0 where there is nothing to read. */
export function countEvmSymbols({ carriers, data, burst }: Waveform, carrierIndex: number): number {
  const carrier: CarrierGeometry | undefined = carriers[carrierIndex];
  if (!carrier || !data[carrierIndex]) return 0;
  const { ofdm, singleCarrier } = carrier;
  if (ofdm !== null) return countedSymbols(burst, ofdm)?.length ?? ofdm.symbolCount;
  if (singleCarrier !== null) return countedSingleSymbols(burst, singleCarrier)?.length ?? singleCarrier.symbolCount;
  return 0;
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

function measureOfdm(request: EvmRequest, ofdm: OfdmGeometry, data: ComplexSignal): EvmResult {
  const { output, waveform, carrierIndex, equalizer, reference } = request;
  const width = ofdm.subcarriers.length;
  const counted = countedSymbols(waveform.burst, ofdm);
  const known = pickRows(data, counted, width);
  const demodulate = createDemodulator(output, waveform, carrierIndex, ofdm);
  const shaped = reference === 'shaped' ? createDemodulator(waveform.signal, waveform, carrierIndex, ofdm) : null;
  const readAt = (windowPosition: EvmReading['windowPosition'], offset: number): EvmResult => {
    const ideal = shaped === null ? known : atRmsOf(known, shaped(offset));
    const equalized = equalize(demodulate(offset), ideal, equalizer, ofdm.subcarriers);
    const symbolCount = counted?.length ?? ofdm.symbolCount;
    const reading = {
      ...errorVector(equalized, ideal),
      equalizer,
      reference,
      windowPosition,
      symbolCount,
      // A smoothed tap comes from some 19·n symbols: what it hides where it learned, it adds in between, all in all
      // less than 1/(19·n) of the error's power.
      biasRatio: equalizer === 'perSubcarrier' ? evmBiasRatio(symbolCount) : 1,
      carrierIndex,
    };
    return { reading, equalized, ideal };
  };
  if (request.windowPosition !== 'standard') return readAt('centre', request.windowOffsetSamples ?? 0);
  const { early, late } = standardOffsets(ofdm.evmWindowSamples);
  const [first, second] = [readAt('early', early), readAt('late', late)];
  return first.reading.rmsPercent >= second.reading.rmsPercent ? first : second;
}

function measureSingleCarrier(request: EvmRequest, single: SingleCarrierGeometry, data: ComplexSignal): EvmResult {
  const { output, waveform, carrierIndex, reference } = request;
  const counted = countedSingleSymbols(waveform.burst, single);
  const known = pickRows(data, counted, 1);
  const symbolsOf = (x: ComplexSignal) => matchedSymbols(x, waveform, carrierIndex, single);
  const ideal = reference === 'data' ? known : atRmsOf(known, symbolsOf(waveform.signal));
  const equalizer = request.equalizer === 'none' ? 'none' : 'oneGain';
  const measured = symbolsOf(output);
  const equalized = equalizer === 'none' ? atRmsOf(ideal, measured) : equalizeByOneGain(measured, ideal);
  const reading = {
    ...errorVector(equalized, ideal),
    equalizer,
    reference,
    windowPosition: 'matchedFilter',
    symbolCount: known.re.length,
    biasRatio: 1,
    carrierIndex,
  } as const;
  return { reading, equalized, ideal };
}
