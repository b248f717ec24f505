// Flat band-limited complex Gaussian noise on exact bins of the record: theory for Gaussian signals holds exactly.
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { inverseFftInPlace } from '../dsp/fft.ts';
import type { Random } from '../dsp/random.ts';
import type { NotchLines } from './notch.ts';

/**
 * Independent complex normal values on the bins −halfBinCount … +halfBinCount about DC, nothing elsewhere and nothing on
 * the lines of a notch; periodic with `length` samples. Mean power about (2·halfBinCount + 1)/length² without a notch
 * (the caller scales). A notch changes none of the other bins.
 * @throws RangeError when the band does not fit into the record's bins.
 */
export function bandLimitedNoise(
  length: number,
  halfBinCount: number,
  random: Random,
  notch: NotchLines | null = null,
): ComplexSignal {
  if (!(halfBinCount >= 0 && 2 * halfBinCount + 1 <= length)) {
    throw new RangeError(
      `bandLimitedNoise: ${2 * halfBinCount + 1} bins do not fit into a record of ${length} samples`,
    );
  }
  const spectrum = zeros(length);
  for (let bin = -halfBinCount; bin <= halfBinCount; bin++) {
    const at = bin < 0 ? bin + length : bin;
    spectrum.re[at] = Math.SQRT1_2 * random.normal();
    spectrum.im[at] = Math.SQRT1_2 * random.normal();
  }
  for (let bin = notch?.first ?? 1; bin <= (notch?.last ?? 0); bin++) {
    const at = bin < 0 ? bin + length : bin;
    spectrum.re[at] = 0;
    spectrum.im[at] = 0;
  }
  return inverseFftInPlace(spectrum);
}
