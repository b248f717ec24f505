// Flat band-limited complex Gaussian noise on exact bins of the record: theory for Gaussian signals holds exactly.
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { inverseFft } from '../dsp/fft.ts';
import type { Random } from '../dsp/random.ts';

/**
 * Independent complex normal values on the bins −halfBinCount … +halfBinCount about DC, nothing elsewhere; periodic with
 * `length` samples. Mean power about (2·halfBinCount + 1)/length² (the caller scales).
 * @throws RangeError when the band does not fit into the record's bins.
 */
export function bandLimitedNoise(length: number, halfBinCount: number, random: Random): ComplexSignal {
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
  return inverseFft(spectrum);
}
