// Interval for a share seen in a sample.
//
// Wilson's score interval for k of n at confidence z (1.959964 for 95 %), from memory of E. B. Wilson, "Probable
// inference, the law of succession, and statistical inference", J. Am. Stat. Assoc. 22 (1927):
//   (p + z²/2n ± z·sqrt(p(1−p)/n + z²/4n²)) / (1 + z²/n),  p = k/n
// It stays inside 0 … 1 and is not empty when all or none pass. Tested against the roots of (p − π)² = z²·π(1−π)/n.

/** Two-sided 95 % point of the standard normal distribution. */
const Z_95 = 1.959963984540054;

export interface ShareInterval {
  readonly low: number;
  readonly high: number;
}

/** 95 % interval, in 0 … 1, of the share behind `passCount` of `count`. Throws for a count below 1 or too many passes. */
export function wilsonInterval(passCount: number, count: number): ShareInterval {
  if (!(count >= 1 && passCount >= 0 && passCount <= count)) {
    throw new RangeError(`wilsonInterval: ${passCount} of ${count}`);
  }
  const share = passCount / count;
  const square = (Z_95 * Z_95) / count;
  const middle = share + square / 2;
  const half = Math.sqrt(square * share * (1 - share) + (square * square) / 4);
  const low = passCount === 0 ? 0 : (middle - half) / (1 + square);
  const high = passCount === count ? 1 : (middle + half) / (1 + square);
  return { low, high };
}
