// Signs in two records that they were given in the wrong order, or that a converter was overdriven.
import type { ComplexSignal } from '../dsp/complex.ts';
import { measureOccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';
import { estimateSpectrum, type PowerSpectrum } from '../dsp/spectrum.ts';

export interface OrderSigns {
  /** Out-of-band share of the observation over that of the drive, in dB: an amplifier widens a spectrum. */
  readonly widenedDb: number;
  /** Quietest tenth of the observation's bins over the drive's, in dB of their levels: a receiver adds noise. */
  readonly noisierDb: number;
}

/** The carrier’s own skirts stay inside this many occupied bandwidths; an amplifier’s products reach three. */
const BAND_RATIO = 1.2;
/** Never a ratio of zeros: a computed drive may hold nothing at all out of band. */
const LEAST_SHARE = 1e-15;

export function orderSigns(drive: ComplexSignal, observed: ComplexSignal, sampleRateHz: number): OrderSigns {
  const [sent, seen] = [drive, observed].map((signal) => spectrumOf(signal, sampleRateHz)) as [
    PowerSpectrum,
    PowerSpectrum,
  ];
  const occupied = measureOccupiedBandwidth(sent);
  const middle = (occupied.lowerHz + occupied.upperHz) / 2;
  const half = (BAND_RATIO / 2) * occupied.occupiedBandwidthHz;
  const shareOf = ({ frequencyHz, power }: PowerSpectrum) => {
    let [outside, total] = [0, 0];
    power.forEach((value, b) => {
      total += value;
      if (Math.abs(frequencyHz[b] - middle) > half) outside += value;
    });
    return Math.max(LEAST_SHARE, outside / total);
  };
  return {
    widenedDb: 10 * Math.log10(shareOf(seen) / shareOf(sent)),
    noisierDb: 10 * Math.log10(quietest(seen) / quietest(sent)),
  };
}

function spectrumOf(signal: ComplexSignal, sampleRateHz: number): PowerSpectrum {
  const segmentLength = Math.min(1024, 2 ** Math.floor(Math.log2(signal.re.length / 4)));
  return estimateSpectrum(signal, {
    sampleRateHz,
    method: 'segments',
    window: 'blackmanHarris',
    segmentLength,
    overlapRatio: 0.5,
    periodic: false,
  });
}

function quietest({ power }: PowerSpectrum): number {
  const total = power.reduce((sum, value) => sum + value, 0);
  return Math.max(LEAST_SHARE, power.slice().sort()[Math.floor(power.length / 10)] / total);
}

/** Signals repeat their largest value this rarely unless something stopped them there. */
const FEWEST_AT_AN_END = 8;
/** Of a signal in few steps the largest is rarer than the next below it; what is stopped piles up. */
const PILED_RATIO = 2;

/**
 * Samples with a component at the record's own largest or smallest value, when so many stand there that a converter or a
 * limiter must have stopped them; 0 otherwise.
 */
export function clippedSampleCount(x: ComplexSignal): number {
  const highest = endOf(x, 1);
  const lowest = endOf(x, -1);
  const isAt = (value: number) =>
    (highest.isPiled && value === highest.value) || (lowest.isPiled && value === lowest.value);
  let count = 0;
  for (let n = 0; n < x.re.length; n++) if (isAt(x.re[n]) || isAt(x.im[n])) count++;
  return highest.value > lowest.value ? count : 0;
}

/** The largest (side 1) or smallest (side −1) value of the components, and whether they pile up there. */
function endOf({ re, im }: ComplexSignal, side: 1 | -1): { readonly value: number; readonly isPiled: boolean } {
  // Values and counts of the two outermost, in order.
  let [first, second, firstCount, secondCount] = [-Infinity, -Infinity, 0, 0];
  for (const part of [re, im]) {
    for (let n = 0; n < part.length; n++) {
      const value = side * part[n];
      if (value > first) [second, secondCount, first, firstCount] = [first, firstCount, value, 1];
      else if (value === first) firstCount++;
      else if (value > second) [second, secondCount] = [value, 1];
      else if (value === second) secondCount++;
    }
  }
  return { value: side * first, isPiled: firstCount >= FEWEST_AT_AN_END && firstCount > PILED_RATIO * secondCount };
}
