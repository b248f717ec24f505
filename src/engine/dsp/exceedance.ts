// The envelope power that a stated share of the samples exceeds.
import type { ComplexSignal, Samples } from './complex.ts';

/** Fewer samples beyond a level than this say nothing about its probability (relative spread 1/√10 ≈ 30 %). */
export const LEAST_SAMPLES_BEYOND = 10;

/**
 * Power |x|² (not relative to the mean) exceeded by floor(probability·N) samples, or null when that is fewer than
 * LEAST_SAMPLES_BEYOND.
 * @throws RangeError when the probability is outside (0, 1).
 */
export function exceededPower(x: ComplexSignal, probability: number): number | null {
  return exceededPowers(x, [probability])[0];
}

/** The same for several probabilities at once, in their order. */
export function exceededPowers(x: ComplexSignal, probabilities: readonly number[]): (number | null)[] {
  for (const probability of probabilities) {
    if (!(probability > 0 && probability < 1)) {
      throw new RangeError(`exceededPower: probability ${probability} must lie between 0 and 1`);
    }
  }
  const length = x.re.length;
  const powers = powersOf(x);
  const found = new Map<number, number>();
  // From the most probable on: above a selected rank lie only larger values, so the next search begins there.
  let low = 0;
  for (const probability of [...probabilities].sort((a, b) => b - a)) {
    const beyond = Math.floor(probability * length);
    if (beyond < LEAST_SAMPLES_BEYOND) break;
    const rank = length - 1 - beyond;
    found.set(probability, selectRank(powers, low, rank));
    low = rank;
  }
  return probabilities.map((probability) => found.get(probability) ?? null);
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
