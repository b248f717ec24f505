// Crest-factor reduction by subtracting a stored pulse at every peak, in rounds.
//
// One round: y ← y − Σ_p (|y_p| − A)·y_p/|y_p|·p[n − n_p] over the peaks n_p of |y| above A, A the target over the rms of
// the current y. The pulse p is the reduction filter over its centre value, so it is band-limited and takes a lone peak
// just down to A. Of peaks nearer than the pulse's first zero only the highest is handled in a round: their pulses would
// add up. Peaks within 0.04 dB of A are left: the level at the probability stays within 0.1 dB, and no EVM is spent on
// them. (Common practice, no source; the recipe's numbers are our own.)
import { type ComplexSignal, copy, meanPower, scale, zeros } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import type { SparseSignal } from '../dsp/fir.ts';
import { centreOf, type ReductionFilter, subtractFiltered } from './reductionFilter.ts';

export interface CancellationRecipe {
  readonly targetPaprDb: number;
  readonly roundCount: number;
}

/** Subtracts the stored pulse at the peaks of `signal` (periodic). Result has unit mean power; the input is left alone. */
export function cancelPeaks(
  signal: ComplexSignal,
  filter: ReductionFilter,
  { targetPaprDb, roundCount }: CancellationRecipe,
): { readonly signal: ComplexSignal; readonly roundsUsed: number } {
  const y = copy(signal);
  const centre = centreOf(filter);
  // The sinc of the filter's bandwidth has its first zero 1/centre samples off its middle.
  const leastDistance = Math.max(1, Math.round(1 / centre));
  const ratio = dbToPowerRatio(targetPaprDb);
  let roundsUsed = 0;
  while (roundsUsed < roundCount) {
    const peaks = findPeaks(y, meanPower(y) * ratio, leastDistance);
    if (peaks.count === 0) break;
    subtractFiltered(y, peaks, filter, 1 / centre);
    roundsUsed++;
  }
  return { signal: scale(y, 1 / Math.sqrt(meanPower(y))), roundsUsed };
}

/** Share of A² that a peak's power must pass to be handled. */
const HANDLED_ABOVE = dbToPowerRatio(0.04);

/** Excess (|y| − A)·y/|y| at the highest of each cluster of peaks of |y| above A = √limitPower; the record wraps. */
function findPeaks(y: ComplexSignal, limitPower: number, leastDistance: number): SparseSignal {
  const { re, im } = y;
  const length = re.length;
  const handledPower = HANDLED_ABOVE * limitPower;
  const places: number[] = [];
  let lastPower = 0;
  let before = re[length - 1] * re[length - 1] + im[length - 1] * im[length - 1];
  let power = re[0] * re[0] + im[0] * im[0];
  for (let n = 0; n < length; n++) {
    const next = n + 1 < length ? n + 1 : 0;
    const after = re[next] * re[next] + im[next] * im[next];
    if (power > handledPower && power >= before && power > after) {
      const isNear = places.length > 0 && n - places[places.length - 1] < leastDistance;
      if (!isNear) places.push(n);
      else if (power > lastPower) places[places.length - 1] = n;
      if (!isNear || power > lastPower) lastPower = power;
    }
    before = power;
    power = after;
  }
  return excessAt(y, places, limitPower);
}

function excessAt(y: ComplexSignal, places: readonly number[], limitPower: number): SparseSignal {
  const values = zeros(places.length);
  places.forEach((n, i) => {
    const share = 1 - Math.sqrt(limitPower / (y.re[n] * y.re[n] + y.im[n] * y.im[n]));
    values.re[i] = share * y.re[n];
    values.im[i] = share * y.im[n];
  });
  return { indices: Int32Array.from(places), values, count: places.length };
}
