// What the samples of a record say without a spectrum, gathered in pieces: powers, DC, clipped samples.
import type { ComplexSignal } from '../dsp/complex.ts';

export interface RecordStatistics {
  readonly sampleCount: number;
  /** Mean and largest |x|². */
  readonly meanPower: number;
  readonly peakPower: number;
  /** |mean x|². */
  readonly dcPower: number;
  /** Samples with a component at an end of the converter's range; null for floating point. */
  readonly clippedSampleCount: number | null;
  readonly hasFiniteSamples: boolean;
}

export interface StatisticsGatherer {
  readonly push: (samples: ComplexSignal) => void;
  readonly finish: () => RecordStatistics;
}

/** `fullScale`: stored units per 1.0 of fixed-point samples, or null: signed codes go from −1 to 1 − 1/fullScale. */
export function gatherStatistics(fullScale: number | null): StatisticsGatherer {
  const highest = fullScale === null ? Infinity : 1 - 1 / fullScale;
  const lowest = fullScale === null ? -Infinity : -1;
  let [count, power, peak, sumRe, sumIm, clipped] = [0, 0, 0, 0, 0, 0];
  const push = ({ re, im }: ComplexSignal) => {
    // Sums of one piece at a time keep the rounding of long records down.
    let [piecePower, pieceRe, pieceIm] = [0, 0, 0];
    for (let n = 0; n < re.length; n++) {
      const [r, i] = [re[n], im[n]];
      const p = r * r + i * i;
      piecePower += p;
      if (p > peak) peak = p;
      pieceRe += r;
      pieceIm += i;
      if (r >= highest || r <= lowest || i >= highest || i <= lowest) clipped++;
    }
    count += re.length;
    power += piecePower;
    sumRe += pieceRe;
    sumIm += pieceIm;
  };
  const finish = () => ({
    sampleCount: count,
    meanPower: count === 0 ? 0 : power / count,
    peakPower: peak,
    dcPower: count === 0 ? 0 : (sumRe / count) ** 2 + (sumIm / count) ** 2,
    clippedSampleCount: fullScale === null ? null : clipped,
    hasFiniteSamples: Number.isFinite(power),
  });
  return { push, finish };
}

/** The same of a whole record. */
export function statisticsOf(signal: ComplexSignal, fullScale: number | null): RecordStatistics {
  const { push, finish } = gatherStatistics(fullScale);
  push(signal);
  return finish();
}
