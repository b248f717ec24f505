// A ratio of two rates in lowest terms.

/** Largest denominator that still counts as a simple ratio. */
const LARGEST_DENOMINATOR = 1e6;

/** Denominator q of the ratio p/q in lowest terms, or null when no q up to a million gives it. Continued fraction. */
export function denominatorOf(ratio: number): number | null {
  let previous = 0;
  let denominator = 1;
  let rest = ratio;
  for (let step = 0; step < 40 && denominator <= LARGEST_DENOMINATOR; step++) {
    const numerator = Math.round(ratio * denominator);
    // Double precision leaves about 1e-16 of relative error in a quotient of two rates.
    if (Math.abs(numerator / denominator - ratio) <= 1e-15 * ratio) return denominator;
    rest = 1 / (rest - Math.floor(rest));
    [previous, denominator] = [denominator, Math.floor(rest) * denominator + previous];
  }
  return null;
}

export function greatestCommonDivisor(a: number, b: number): number {
  while (b > 0) [a, b] = [b, a % b];
  return a;
}
