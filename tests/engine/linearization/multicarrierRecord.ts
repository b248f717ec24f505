// The records of the published worked examples (reference checks DI-02, LI-09): random 64QAM symbols straight on
// neighbouring bins of a periodic record, crest factor limited on those bins.
import { type ComplexSignal, meanPower, peakPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import type { AclrCarrier, AclrChannel } from '../../../src/engine/measurement/aclr.ts';
import { constellation } from '../../../src/engine/waveform/constellation.ts';
import { clipAndFilter, exactBinRecipe } from '../../../src/engine/waveform/crestFactorReduction.ts';

export interface MulticarrierRecord {
  /** Unit mean power, periodic. */
  readonly signal: ComplexSignal;
  readonly peakToAverageDb: number;
  /** One cycle per record is 1 Hz. */
  readonly sampleRateHz: number;
  readonly carriers: readonly AclrCarrier[];
  readonly channels: readonly AclrChannel[];
}

/** `occupiedBins` is odd, DC in the middle; channels as wide as the carrier at 1 and 2 times `spacingBins`. */
export function multicarrierRecord(
  length: number,
  occupiedBins: number,
  spacingBins: number,
  targetPaprDb: number | null,
  seed: number,
): MulticarrierRecord {
  const random = createRandom(seed, 'multicarrier');
  const points = constellation('64QAM');
  const spectrum = zeros(length);
  const kept = new Uint8Array(length);
  const half = (occupiedBins - 1) / 2;
  for (let bin = -half; bin <= half; bin++) {
    const at = bin < 0 ? bin + length : bin;
    const word = random.integer(64);
    spectrum.re[at] = points.re[word];
    spectrum.im[at] = points.im[word];
    kept[at] = 1;
  }
  const raw = inverseFft(spectrum);
  const signal =
    targetPaprDb === null
      ? scale(raw, 1 / Math.sqrt(meanPower(raw)))
      : clipAndFilter(raw, { kind: 'occupiedBins', kept }, exactBinRecipe(targetPaprDb)).signal;
  return {
    signal,
    peakToAverageDb: powerRatioToDb(peakPower(signal) / meanPower(signal)),
    sampleRateHz: length,
    carriers: [{ offsetHz: 0, occupiedBandwidthHz: occupiedBins, channelBandwidthHz: spacingBins }],
    channels: [
      { name: 'adjacent', offsetHz: spacingBins, bandwidthHz: occupiedBins },
      { name: 'alternate', offsetHz: 2 * spacingBins, bandwidthHz: occupiedBins },
    ],
  };
}
