// The envelope power that a stated share of the samples exceeds.
import type { ComplexSignal, Samples } from './complex.ts';

/** Fewer samples beyond a level than this say nothing about its probability (relative spread 1/√10 ≈ 30 %). */
export const LEAST_SAMPLES_BEYOND = 10;

/** The envelope power exceeded with a probability, and how far the record pins it down. */
export interface Exceedance {
  /** |x|², not relative to the mean. */
  readonly power: number;
  /** Powers exceeded by one standard deviation more and fewer samples: where the level may as well lie. */
  readonly lowPower: number;
  readonly highPower: number;
}

/**
 * Levels with their spread. Neighbouring samples of an oversampled record are one peak: with r = sample rate over
 * occupied bandwidth, b = floor(probability·N) samples beyond are b/r independent ones, of which the number scatters by
 * √(b/r) (Poisson), that is by √(b·r) samples; the level is read again at these ranks. Null when fewer than
 * LEAST_SAMPLES_BEYOND samples, or less than one independent one, lie beyond. A level on one or two peaks is shown, with
 * a spread that says so.
 * @throws RangeError when a probability is outside (0, 1) or r is below 1.
 */
export function exceedancesOf(
  x: ComplexSignal,
  probabilities: readonly number[],
  oversamplingRatio: number,
): (Exceedance | null)[] {
  if (!(oversamplingRatio >= 1)) {
    throw new RangeError(`exceedancesOf: oversampling ratio ${oversamplingRatio} must be at least 1`);
  }
  requireProbabilities(probabilities);
  const length = x.re.length;
  const ranksOf = (probability: number) => {
    const beyond = Math.floor(probability * length);
    if (beyond < Math.max(LEAST_SAMPLES_BEYOND, oversamplingRatio)) return null;
    const scatter = Math.round(Math.sqrt(beyond * oversamplingRatio));
    return [beyond + scatter, beyond, beyond - scatter].map((count) => Math.min(length, Math.max(1, count + 1)));
  };
  const wanted = probabilities.map(ranksOf);
  const levels = levelsBeyond(
    x,
    wanted.flatMap((ranks) => ranks ?? []),
  );
  return wanted.map((ranks) => {
    if (ranks === null) return null;
    const [lowPower, power, highPower] = ranks.map((rank) => levels.get(rank) as number);
    return { power, lowPower, highPower };
  });
}

/**
 * Power |x|² (not relative to the mean) exceeded by floor(probability·N) samples, or null when that is fewer than
 * LEAST_SAMPLES_BEYOND.
 * @throws RangeError when the probability is outside (0, 1).
 */
export function exceededPower(x: ComplexSignal, probability: number): number | null {
  requireProbabilities([probability]);
  const beyond = Math.floor(probability * x.re.length);
  return beyond < LEAST_SAMPLES_BEYOND ? null : (levelsBeyond(x, [beyond + 1]).get(beyond + 1) ?? null);
}

function requireProbabilities(probabilities: readonly number[]): void {
  for (const probability of probabilities) {
    if (!(probability > 0 && probability < 1)) {
      throw new RangeError(`exceededPower: probability ${probability} must lie between 0 and 1`);
    }
  }
}

/** The k-th largest powers, k = 1 the largest, by k. */
function levelsBeyond(x: ComplexSignal, places: readonly number[]): Map<number, number> {
  const length = x.re.length;
  const powers = powersOf(x);
  const found = new Map<number, number>();
  // From the smallest on: above a selected rank lie only larger values, so the next search begins there.
  let low = 0;
  for (const place of [...new Set(places)].sort((a, b) => b - a)) {
    const rank = length - place;
    found.set(place, selectRank(powers, low, rank));
    low = rank;
  }
  return found;
}

function powersOf({ re, im }: ComplexSignal): Samples {
  const powers = new Float64Array(re.length);
  for (let n = 0; n < re.length; n++) powers[n] = re[n] * re[n] + im[n] * im[n];
  return powers;
}

/** Value of the given rank (0 is the smallest) by partition (Hoare 1961) from `low` on, below which all are smaller. */
function selectRank(values: Samples, low: number, rank: number): number {
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1];
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i <= j) {
        const swapped = values[i];
        values[i] = values[j];
        values[j] = swapped;
        i++;
        j--;
      }
    }
    if (rank <= j) high = j;
    else if (rank >= i) low = i;
    else break;
  }
  return values[rank];
}
