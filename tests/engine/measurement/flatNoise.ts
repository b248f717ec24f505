// Flat band-limited Gaussian noise on exact bins, for which the closed forms of the GA checks hold, and its channels:
// as wide as the noise and touching each other. One cycle per record is 1 Hz.
import { type ComplexSignal, meanPower, scale } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { bandPower, estimateSpectrum, type PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import type { Device } from '../../../src/engine/dsp/waveformTypes.ts';
import { bandLimitedNoise } from '../../../src/engine/waveform/noise.ts';

export interface NoiseRecord {
  readonly length: number;
  /** Odd; DC in the middle. */
  readonly bins: number;
}

/** 2^20 samples, ten bandwidths per sample rate: products up to the ninth order do not fold. */
export const LONG_RECORD: NoiseRecord = { length: 1 << 20, bins: 104857 };

/** A record of exactly this mean power. */
export function flatNoise(power: number, seed: number, { length, bins }: NoiseRecord = LONG_RECORD): ComplexSignal {
  const x = bandLimitedNoise(length, (bins - 1) / 2, createRandom(seed, 'flat noise'));
  return scale(x, Math.sqrt(power / meanPower(x)));
}

/** Touching channels leak through any window: whole-record bins. */
export function wholeRecord(y: ComplexSignal): PowerSpectrum {
  return estimateSpectrum(y, {
    sampleRateHz: y.re.length,
    method: 'wholeRecord',
    window: 'rectangular',
    segmentLength: y.re.length,
    overlapRatio: 0,
  });
}

/** Mean powers behind a device in the channels −reach … +reach, over records of seeds 1, 2 … */
export function channelPowers(device: Device, power: number, recordCount: number, reach: number, record: NoiseRecord) {
  const sums = new Float64Array(2 * reach + 1);
  let total = 0;
  for (let seed = 1; seed <= recordCount; seed++) {
    const y = device(flatNoise(power, seed, record));
    const spectrum = wholeRecord(y);
    for (let j = -reach; j <= reach; j++) sums[j + reach] += bandPower(spectrum, j * record.bins, record.bins);
    total += meanPower(y);
  }
  return { inChannel: (j: number) => sums[j + reach] / recordCount, total: total / recordCount };
}
