// Where the transform of a symbol is taken, and which symbols count.
//
// A window that starts anywhere in the cyclic prefix sees the whole symbol; phases are referred to the end of the
// prefix, so the start does not turn them. TS 38.104 Annex B.5 and TS 36.104 Annex E.5 (text read, formulas from memory)
// take two starts about the prefix's centre, W samples of the table apart: early at α − ⌊W/2⌋, late at ⌊W/2⌋,
// α = 1 for an even W and 0 for an odd one. The signal is aligned with its reference: no timing is estimated.
import type { BurstGeometry, OfdmGeometry } from '../../../shared/schema/geometry.ts';
import { blockTransform } from '../dsp/blockTransform.ts';
import { isWhollyOn } from '../dsp/burst.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { selectCarrier } from './carrierSelection.ts';

/** Both starts of the standards' window against the prefix's centre, in samples. W of at least 1. */
export function standardOffsets(windowSamples: number): { readonly early: number; readonly late: number } {
  const half = Math.floor(windowSamples / 2);
  return { early: (windowSamples % 2 === 0 ? 1 : 0) - half, late: half };
}

/** Takes a record to the symbols of one carrier: first what does not depend on the window, then the transform. */
export type Demodulator = (windowOffsetSamples: number, bins?: Int32Array) => ComplexSignal;

/**
 * Symbols of a record about one carrier, shape [symbol][bin], only those that count: a clean waveform gives a multiple
 * of its data. `bins` are the carrier's subcarriers unless others are named.
 * @throws RangeError for a window that leaves the prefix.
 */
export function createDemodulator(
  x: ComplexSignal,
  waveform: Waveform,
  carrierIndex: number,
  ofdm: OfdmGeometry,
): Demodulator {
  const cycles = Math.round((waveform.carriers[carrierIndex].offsetHz * x.re.length) / waveform.sampleRateHz);
  const centred = cycles === 0 ? x : shiftByCycles(x, -cycles);
  const own = selectCarrier(centred, waveform.carriers, carrierIndex, waveform.sampleRateHz);
  const counted = countedSymbols(waveform.burst, ofdm);
  const prefix = ofdm.cyclicPrefixSamples;
  return (windowOffsetSamples, bins = ofdm.subcarriers) => {
    const start = Math.floor(prefix / 2) + windowOffsetSamples;
    if (!Number.isInteger(start) || start < 0 || start > prefix) {
      throw new RangeError(
        `measureEvm: a window offset of ${windowOffsetSamples} samples leaves the cyclic prefix of ${prefix} samples`,
      );
    }
    const all = blockTransform(own, {
      blockLength: ofdm.fftLength,
      start,
      spacing: ofdm.symbolSamples,
      blockCount: ofdm.symbolCount,
      bins,
      phaseOrigin: prefix - start,
    });
    return pickRows(all, counted, bins.length);
  };
}

/** Which symbols of a carrier count: those that lie wholly on; null when all do. */
export function countedSymbols(
  burst: BurstGeometry | null,
  { symbolSamples, symbolCount }: Pick<OfdmGeometry, 'symbolSamples' | 'symbolCount'>,
): readonly number[] | null {
  if (burst === null) return null;
  const counted: number[] = [];
  for (let s = 0; s < symbolCount; s++) {
    if (isWhollyOn(burst, s * symbolSamples, (s + 1) * symbolSamples)) counted.push(s);
  }
  return counted;
}

/** The rows named, each `width` long; the same signal when all are meant. */
export function pickRows(x: ComplexSignal, rows: readonly number[] | null, width: number): ComplexSignal {
  if (rows === null) return x;
  const out = zeros(rows.length * width);
  rows.forEach((row, i) => {
    out.re.set(x.re.subarray(row * width, (row + 1) * width), i * width);
    out.im.set(x.im.subarray(row * width, (row + 1) * width), i * width);
  });
  return out;
}
