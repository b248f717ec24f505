// Largest value of a smooth function of one variable on an interval.

const STEPS = 4096;
const GOLDEN = (Math.sqrt(5) - 1) / 2;
/** A maximum is flat: its place to 1e-8 of the interval gives its value to the last digit. */
const PLACE_TOLERANCE = 1e-9;

export interface Maximum {
  readonly at: number;
  readonly value: number;
}

/**
 * Scans `steps` equal parts and narrows every peak that the scan shows by golden section. Finds the global maximum when
 * no two stationary points lie within one part; polynomials of the orders a scenario allows have at most 49.
 */
export function largestOnInterval(f: (x: number) => number, from: number, to: number, steps = STEPS): Maximum {
  const values = Array.from({ length: steps + 1 }, (_, i) => f(from + ((to - from) * i) / steps));
  let best: Maximum = { at: from, value: values[0] };
  for (let i = 0; i <= steps; i++) {
    const isPeak = values[i] >= (values[i - 1] ?? -Infinity) && values[i] >= (values[i + 1] ?? -Infinity);
    if (!isPeak) continue;
    const at = (index: number) => from + ((to - from) * Math.min(Math.max(index, 0), steps)) / steps;
    for (const candidate of [
      { at: at(i), value: values[i] },
      narrow(f, at(i - 1), at(i + 1), PLACE_TOLERANCE * (to - from)),
    ]) {
      if (candidate.value > best.value) best = candidate;
    }
  }
  return best;
}

/** Golden-section search for the maximum of a function with one peak in [low, high]. */
function narrow(f: (x: number) => number, low: number, high: number, tolerance: number): Maximum {
  let left = high - GOLDEN * (high - low);
  let right = low + GOLDEN * (high - low);
  let fLeft = f(left);
  let fRight = f(right);
  while (high - low > tolerance) {
    if (fLeft >= fRight) {
      high = right;
      right = left;
      fRight = fLeft;
      left = high - GOLDEN * (high - low);
      fLeft = f(left);
    } else {
      low = left;
      left = right;
      fLeft = fRight;
      right = low + GOLDEN * (high - low);
      fRight = f(right);
    }
  }
  return fLeft >= fRight ? { at: left, value: fLeft } : { at: right, value: fRight };
}
