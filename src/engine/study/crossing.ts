// The smallest output back-off from which a margin stays non-negative, by root search between grid points.
//
// The grid is scanned from large output back-off down to the first point that fails: more of it does not always help,
// so the crossing sought is the last one, above which everything passes. Between that point and its passing neighbour
// regula falsi (Illinois) closes in until the margin is within 0.01 dB or the bracket within 0.01 dB.

/** Value at x: a number, null when it cannot be had, or 'pending'. */
export type Probe = (x: number) => number | null | 'pending';

export type Crossing =
  | { readonly kind: 'found'; readonly x: number; readonly bracketed: boolean }
  | { readonly kind: 'none'; readonly best: number }
  /** `near`: where the search looks next, once the points that pass and fail beside it are known. */
  | { readonly kind: 'pending'; readonly near: number | null };

const TOLERANCE_DB = 0.01;
const MOST_STEPS = 12;

/** grid: rising. A grid point without a value counts as failing. */
export function findCrossing(grid: readonly number[], probe: Probe): Crossing {
  const values = grid.map(probe);
  if (values.some((value) => value === 'pending')) return { kind: 'pending', near: nearOf(grid, values) };
  const known = values.map((value) => (typeof value === 'number' ? value : Number.NEGATIVE_INFINITY));
  if (!(known[known.length - 1] >= 0)) return { kind: 'none', best: Math.max(...known) };
  let fail = known.length - 1;
  while (fail >= 0 && known[fail] >= 0) fail--;
  if (fail < 0) return { kind: 'found', x: grid[0], bracketed: false };
  return narrow([grid[fail], known[fail]], [grid[fail + 1], known[fail + 1]], probe);
}

function narrow(failing: [number, number], passing: [number, number], probe: Probe): Crossing {
  let [low, weightLow] = failing;
  let [high, atHigh] = passing;
  // An end kept twice in a row counts half, so that the line turns towards it; its margin stays what it is.
  let weightHigh = atHigh;
  let kept = 0;
  for (let step = 0; step < MOST_STEPS && high - low > TOLERANCE_DB && atHigh > TOLERANCE_DB; step++) {
    const x = between(low, weightLow, high, weightHigh);
    const value = probe(x);
    if (value === 'pending') return { kind: 'pending', near: x };
    if (value !== null && value >= 0) {
      [high, atHigh, weightHigh] = [x, value, value];
      if (kept > 0) weightLow /= 2;
      kept = Math.max(1, kept + 1);
    } else {
      [low, weightLow] = [x, value ?? Number.NEGATIVE_INFINITY];
      if (kept < 0) weightHigh /= 2;
      kept = Math.min(-1, kept - 1);
    }
  }
  return { kind: 'found', x: high, bracketed: true };
}

/** Where a straight line through a failing and a passing point meets zero, kept off both ends by what ends the search. */
function between(low: number, atLow: number, high: number, atHigh: number): number {
  const share = Number.isFinite(atLow) ? atLow / (atLow - atHigh) : 0.5;
  const least = Math.min(0.5, Math.max(0.05, TOLERANCE_DB / (high - low)));
  return low + Math.min(1 - least, Math.max(least, share)) * (high - low);
}

/** The crossing between grid points when all points above it are known, whatever is missing below; else null. */
function nearOf(grid: readonly number[], values: readonly (number | null | 'pending')[]): number | null {
  for (let i = grid.length - 1; i > 0; i--) {
    const [below, above] = [values[i - 1], values[i]];
    if (below === 'pending' || above === 'pending' || above === null || above < 0) return null;
    if (below === null || below < 0) return between(grid[i - 1], below ?? Number.NEGATIVE_INFINITY, grid[i], above);
  }
  return null;
}
