// A single carrier with root-raised-cosine pulses on a periodic record of N samples and K symbols.
//
// The pulse is applied on the record's bins: S[b] = D[b mod K]·√RC(b/K), D the K-point transform of the symbols,
//   RC(f) = 1                                          |f| ≤ (1 − α)/2
//         = ½(1 + cos(π/α·(|f| − (1 − α)/2)))          between
//         = 0                                          |f| ≥ (1 + α)/2     (f in symbol rates)
// so nothing lies outside (1 + α)·symbol rate but rounding, and a filter of the same response gives the symbols back
// exactly at samples s·N/K: RC(f) + RC(1 − f) = 1 (Nyquist's first criterion). No truncated pulse, whole K only.
import type { SingleCarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { SingleCarrierSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { fft, inverseFftInPlace } from '../dsp/fft.ts';
import type { Random } from '../dsp/random.ts';
import { rootRaisedCosine } from '../dsp/rootRaisedCosine.ts';
import { bitsPerSymbol, constellation } from './constellation.ts';
import { wordSource } from './sequences.ts';

/** Equiprobable symbols, mean power of the constellation 1; every second one of π/2-BPSK is turned by π/2. */
export function drawSingleCarrierSymbols(
  geometry: SingleCarrierGeometry,
  payload: SingleCarrierSettings['payload'],
  random: Random,
): ComplexSignal {
  const { modulation, symbolCount, ringRatios } = geometry;
  const points = constellation(modulation, ringRatios);
  const nextWord = wordSource(payload, bitsPerSymbol(modulation), random);
  const data = zeros(symbolCount);
  const turns = modulation === 'pi/2-BPSK';
  for (let i = 0; i < symbolCount; i++) {
    const word = nextWord();
    const isTurned = turns && (i & 1) === 1;
    data.re[i] = isTurned ? -points.im[word] : points.re[word];
    data.im[i] = isTurned ? points.re[word] : points.im[word];
  }
  return data;
}

/** Bins on either side of the centre inside the pulse's band: the edge itself carries nothing. */
export function rootRaisedCosineHalfBins(symbolCount: number, rollOffRatio: number): number {
  return Math.ceil(((1 + rollOffRatio) * symbolCount) / 2 - 1e-9) - 1;
}

/**
 * The record of the given symbols about its own centre; length `sampleCount`. Mean power about
 * symbolCount/sampleCount² × symbolCount (the caller scales).
 * @throws RangeError when the band does not fit into the record's bins.
 */
export function shapePulses(data: ComplexSignal, rollOffRatio: number, sampleCount: number): ComplexSignal {
  const symbolCount = data.re.length;
  const half = rootRaisedCosineHalfBins(symbolCount, rollOffRatio);
  if (2 * half + 1 > sampleCount) {
    throw new RangeError(`shapePulses: ${2 * half + 1} bins do not fit into a record of ${sampleCount} samples`);
  }
  const symbols = fft(data);
  const spectrum = zeros(sampleCount);
  for (let bin = -half; bin <= half; bin++) {
    const gain = rootRaisedCosine(bin / symbolCount, rollOffRatio);
    const from = bin < 0 ? (bin + symbolCount) % symbolCount : bin % symbolCount;
    const to = bin < 0 ? bin + sampleCount : bin;
    spectrum.re[to] = gain * symbols.re[from];
    spectrum.im[to] = gain * symbols.im[from];
  }
  return inverseFftInPlace(spectrum);
}
