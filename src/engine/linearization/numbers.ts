// A learned predistorter in the words of its logic: coefficients, gain tables and drive rounded.
//
//   word of b bits:  q(v) = Δ·round(v/Δ), held at −F and F − Δ,   Δ = 2F/2^b
//   gain table:      G_l(r) read at entries r_i = i·A/(M − 1), straight lines between them or the nearest
//
// F is the largest part of any coefficient or entry, and the drive ceiling for the drive. A, the last entry's amplitude,
// is `tableReach` times the rms of the waveform that was learned on. A drive of rms amplitude H dB below F has a noise of
// 6.02·b + 1.76 − H dB below it, spread over the sample rate: the variance Δ²/12 of each part (Widrow 1956, from memory).
import type { NumberFormatSettings } from '../../../shared/schema/scenario.ts';
import { placesOf } from '../basis/envelopeTable.ts';
import type { BasisStructure } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, wrap, zeros } from '../dsp/complex.ts';

type Rounding = NumberFormatSettings['rounding'];

/** Each part in a word of so many bits, full scale F: a new signal. RangeError unless F is positive. */
export function quantise(x: ComplexSignal, bitCount: number, fullScale: number, rounding: Rounding): ComplexSignal {
  if (!(fullScale > 0)) throw new RangeError(`quantise: full scale ${fullScale} must be positive`);
  const step = (2 * fullScale) / 2 ** bitCount;
  const half = rounding === 'nearest' ? 0.5 : 0;
  const least = -(2 ** (bitCount - 1));
  const most = -least - 1;
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = step * Math.min(most, Math.max(least, Math.floor(x.re[n] / step + half)));
    out.im[n] = step * Math.min(most, Math.max(least, Math.floor(x.im[n] / step + half)));
  }
  return out;
}

/** The drive in its word, full scale the ceiling; as it is where no word or no ceiling is stated. */
export function quantiseDrive(x: ComplexSignal, numbers: NumberFormatSettings, ceiling: number): ComplexSignal {
  if (numbers.dataBitCount === 'double' || !Number.isFinite(ceiling)) return x;
  return quantise(x, numbers.dataBitCount, ceiling, numbers.rounding);
}

/** Coefficients or entries in their word; the largest part is full scale, and stays what it is. */
export function quantiseCoefficients(c: ComplexSignal, numbers: NumberFormatSettings): ComplexSignal {
  const { coefficientBitCount: bitCount, rounding } = numbers;
  if (bitCount === 'double') return c;
  let largest = 0;
  for (let i = 0; i < c.re.length; i++) largest = Math.max(largest, Math.abs(c.re[i]), Math.abs(c.im[i]));
  if (largest === 0) return c;
  // Positive words end one step short of full scale.
  const most = 2 ** (bitCount - 1);
  return quantise(c, bitCount, (largest * most) / (most - 1), rounding);
}

/** A polynomial's gains against amplitude, one table for each delay pair. */
export interface GainTables {
  readonly pairs: readonly { readonly delaySamples: number; readonly envelopeDelaySamples: number }[];
  /** Entry i of pair p at p·entryCount + i. */
  readonly entries: ComplexSignal;
  readonly entryCount: number;
  readonly interpolation: 'linear' | 'nearest';
  /** Amplitude of the last entry. */
  readonly range: number;
}

/** G(r) = Σ_k c_k·r^(k−1) of each delay pair at equal steps from 0 to `range`. */
export function gainTablesOf(
  { terms }: BasisStructure,
  c: ComplexSignal,
  table: Pick<GainTables, 'entryCount' | 'interpolation' | 'range'>,
): GainTables {
  const { entryCount, range } = table;
  const keys = [...new Set(terms.map((term) => `${term.delaySamples}/${term.envelopeDelaySamples}`))];
  const entries = zeros(keys.length * entryCount);
  terms.forEach(({ delaySamples, envelopeDelaySamples, nonlinearOrder }, i) => {
    const first = keys.indexOf(`${delaySamples}/${envelopeDelaySamples}`) * entryCount;
    for (let entry = 0; entry < entryCount; entry++) {
      const power = ((entry * range) / (entryCount - 1)) ** (nonlinearOrder - 1);
      entries.re[first + entry] += c.re[i] * power;
      entries.im[first + entry] += c.im[i] * power;
    }
  });
  const pairs = keys.map((key) => {
    const [delaySamples, envelopeDelaySamples] = key.split('/').map(Number);
    return { delaySamples, envelopeDelaySamples };
  });
  return { ...table, pairs, entries };
}

/** y[n] = Σ_pairs x[n−l]·G(|x[n−l−m]|) over a periodic record; beyond the last entry that one is held. */
export function applyGainTables(tables: GainTables, x: ComplexSignal): ComplexSignal {
  const { pairs, entries, entryCount } = tables;
  const { lower, share } = placesOf(tables, x);
  const length = x.re.length;
  const out = zeros(length);
  pairs.forEach(({ delaySamples, envelopeDelaySamples }, p) => {
    const first = p * entryCount;
    let from = wrap(-delaySamples, length);
    let at = wrap(-delaySamples - envelopeDelaySamples, length);
    for (let n = 0; n < length; n++) {
      const entry = first + lower[at];
      let gRe = entries.re[entry];
      let gIm = entries.im[entry];
      if (share[at] > 0) {
        gRe += share[at] * (entries.re[entry + 1] - gRe);
        gIm += share[at] * (entries.im[entry + 1] - gIm);
      }
      out.re[n] += x.re[from] * gRe - x.im[from] * gIm;
      out.im[n] += x.re[from] * gIm + x.im[from] * gRe;
      if (++from === length) from = 0;
      if (++at === length) at = 0;
    }
  });
  return out;
}
