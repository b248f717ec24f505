// The smallest output back-off at which one output of a scenario meets all limits, found with few runs.
//
// A coarse grid first: its runs do not depend on each other, so every worker has something to do, and the last crossing
// is sought, as in the ladder. Then root search in one gap. The grid's points are points of the ladder's grid, so a
// ladder run before has paid for them.
import type { OutputReport } from '../../../shared/schema/report.ts';
import type { LimitSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { NearestMiss, RunReadings } from '../../../shared/schema/studyReport.ts';
import { crossingOf } from './ladder.ts';
import type { Lookup } from './lookup.ts';
import { limitName, marginDb, outputOf } from './margins.ts';
import { atBackoff, gridOf } from './variation.ts';

/** One output of one scenario: a rejected correction leaves the uncorrected one. */
export type CleanSubject = 'uncorrected' | 'corrected';

export type CleanPoint =
  | { readonly kind: 'pending' }
  | {
      readonly kind: 'found';
      readonly outputBackoffDb: number;
      /** False when even the smallest back-off tried meets all limits. */
      readonly bracketed: boolean;
      readonly readings: RunReadings;
      readonly output: OutputReport;
    }
  /** No back-off within the range; null when none of its runs could be judged. */
  | { readonly kind: 'none'; readonly miss: NearestMiss | null };

interface BackoffRange {
  readonly fromDb: number;
  readonly toDb: number;
  readonly stepDb: number;
}

/**
 * Least step of the coarse grid. Margins fall steadily over 3 dB on every amplifier of the hand-outs, and five runs a
 * search cover the usual range.
 */
const COARSE_STEP_DB = 3;

/** Every n-th point of the ladder's grid, at least 3 dB apart, and the last one. */
export function coarseGridOf(range: BackoffRange): number[] {
  const every = Math.max(1, Math.ceil(COARSE_STEP_DB / range.stepDb - 1e-9));
  return gridOf({ ...range, stepDb: every * range.stepDb });
}

/** What is run to read one output: without correction there is nothing to learn, which takes a third of the time. */
export function variantFor(base: Scenario, subject: CleanSubject): Scenario {
  return subject === 'corrected' ? base : { ...base, predistorter: null };
}

/** Smallest output back-off in dB within the range at which this output meets all limits of the scenario. */
export function findCleanPoint(base: Scenario, subject: CleanSubject, range: BackoffRange, lookup: Lookup): CleanPoint {
  const variant = variantFor(base, subject);
  const grid = coarseGridOf(range);
  const crossing = crossingOf(variant, grid, subject, base.limits, lookup);
  if (crossing.kind === 'pending') return crossing;
  if (crossing.kind === 'none') return { kind: 'none', miss: nearestMiss(variant, subject, grid, lookup) };
  const readings = lookup.readings(atBackoff(variant, crossing.x));
  if (readings === null) throw new RangeError(`findCleanPoint: no readings at the crossing ${crossing.x} dB`);
  const { x: outputBackoffDb, bracketed } = crossing;
  return { kind: 'found', outputBackoffDb, bracketed, readings, output: outputOf(readings, subject) };
}

/** The grid point that misses least, and the limit it misses most. */
function nearestMiss(
  variant: Scenario,
  subject: CleanSubject,
  grid: readonly number[],
  lookup: Lookup,
): NearestMiss | null {
  let best: NearestMiss | null = null;
  for (const x of grid) {
    const readings = lookup.readings(atBackoff(variant, x));
    const worst = readings && worstLimit(readings, subject, variant.limits);
    if (worst !== null && (best === null || worst.marginDb > best.marginDb)) best = worst;
  }
  return best;
}

/** The limit with the smallest margin; null when none can be judged. */
export function worstLimit(
  readings: RunReadings,
  subject: CleanSubject,
  limits: readonly LimitSettings[],
): NearestMiss | null {
  let worst: NearestMiss | null = null;
  for (const limit of limits) {
    const margin = marginDb(readings, subject, [limit]);
    if (margin !== null && (worst === null || margin < worst.marginDb)) {
      worst = { limit: limitName(limit), marginDb: margin };
    }
  }
  return worst;
}

/** Readings of the first grid point of a variant that is known: for what does not depend on the back-off. */
export function anyReadings(
  base: Scenario,
  subject: CleanSubject,
  range: BackoffRange,
  lookup: Lookup,
): RunReadings | null {
  const variant = variantFor(base, subject);
  for (const x of coarseGridOf(range)) {
    const readings = lookup.readings(atBackoff(variant, x));
    if (readings !== null) return readings;
  }
  return null;
}
