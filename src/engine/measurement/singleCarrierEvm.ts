// Symbols of one single carrier: the record through the matched root-raised-cosine filter, at the symbols' own instants.
//
// X, the transform of the whole periodic record, times H(f) of the pulse, folded onto one symbol rate:
//   Y[m] = Σ_i X[c + m + i·N]·H((m + i·N)/N),  N symbols a record, c the carrier's cycles,
// and back over N bins: sample s of the result is symbol s, exactly, whatever the samples per symbol. Nothing passes
// beyond (1 + α)/2 symbol rates: carriers that do not overlap are rejected by the filter itself. (TS 25.104 clause 6.8.1,
// roll-off 0.22, from memory; EN 302 307-1.)
import type { BurstGeometry, SingleCarrierGeometry } from '../../../shared/schema/geometry.ts';
import { isWhollyOn } from '../dsp/burst.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { fft, inverseFft } from '../dsp/fft.ts';
import { rootRaisedCosine } from '../dsp/rootRaisedCosine.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { pickRows } from './evmWindow.ts';

/** Symbols of the carrier that count, a multiple of its data for a clean waveform. Shape [symbol]. */
export function matchedSymbols(
  x: ComplexSignal,
  waveform: Waveform,
  carrierIndex: number,
  single: SingleCarrierGeometry,
): ComplexSignal {
  const length = x.re.length;
  const { symbolCount, rollOffRatio } = single;
  const cycles = Math.round((waveform.carriers[carrierIndex].offsetHz * length) / waveform.sampleRateHz);
  const spectrum = fft(x);
  const folded = zeros(symbolCount);
  const reach = Math.min(Math.floor((symbolCount * (1 + rollOffRatio)) / 2), Math.floor((length - 1) / 2));
  for (let k = -reach; k <= reach; k++) {
    const gain = rootRaisedCosine(k / symbolCount, rollOffRatio);
    const bin = (((cycles + k) % length) + length) % length;
    const m = ((k % symbolCount) + symbolCount) % symbolCount;
    folded.re[m] += gain * spectrum.re[bin];
    folded.im[m] += gain * spectrum.im[bin];
  }
  return pickRows(inverseFft(folded), countedSingleSymbols(waveform.burst, single), 1);
}

/**
 * Symbols this many roll-off periods from a burst's edge count. A pulse is long: what the edge cuts off it reaches its
 * neighbours. Four of them, 16 symbols at a roll-off of 0.25, leave below 0.1 % of error.
 */
const GUARD_ROLL_OFFS = 4;

/** Which symbols count: those clear of a burst's edges; null when all do. */
export function countedSingleSymbols(
  burst: BurstGeometry | null,
  { symbolCount, samplesPerSymbol, rollOffRatio }: SingleCarrierGeometry,
): readonly number[] | null {
  if (burst === null) return null;
  const guard = Math.ceil(GUARD_ROLL_OFFS / rollOffRatio) * samplesPerSymbol;
  const counted: number[] = [];
  for (let s = 0; s < symbolCount; s++) {
    const at = s * samplesPerSymbol;
    if (isWhollyOn(burst, at - guard, at + guard)) counted.push(s);
  }
  return counted;
}
