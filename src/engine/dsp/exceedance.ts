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
  if (!(probability > 0 && probability < 1)) {
    throw new RangeError(`exceededPower: probability ${probability} must lie between 0 and 1`);
  }
  const length = x.re.length;
  const beyond = Math.floor(probability * length);
  if (beyond < LEAST_SAMPLES_BEYOND) return null;
  const power = new Float64Array(length);
  for (let n = 0; n < length; n++) power[n] = x.re[n] * x.re[n] + x.im[n] * x.im[n];
  return selectRank(power, length - 1 - beyond);
}

/** Value of the given rank (0 is the smallest) by partition (Hoare 1961); reorders `values`. */
function selectRank(values: Samples, rank: number): number {
  let low = 0;
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
