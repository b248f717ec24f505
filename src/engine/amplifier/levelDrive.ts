// Finds the drive that gives a wanted mean output power: the real scale s with mean |device(s·x)|² = wanted.
//
// Solved in dB, where a linear amplifier has slope 1 and compression lowers it: secant steps up to the first two levels
// that enclose the wanted one, then regula falsi (Illinois), each evaluation being one pass of the device. A device whose
// output folds back (a polynomial near its range) is searched for its largest output before the answer "out of reach".
import { type ComplexSignal, meanPower, scale } from '../dsp/complex.ts';
import { FLOOR_DB } from '../dsp/decibels.ts';
import type { Device } from '../dsp/waveformTypes.ts';

export interface LevelRequest {
  readonly device: Device;
  readonly waveform: ComplexSignal;
  /** Wanted mean |y|². */
  readonly wantedMeanPower: number;
  /** Largest scale tried. */
  readonly maximumScale: number;
  /** First scale tried; without it the one that a device of unit gain would need. */
  readonly startScale?: number;
  /** Slope of the first step in dB of output per dB of drive: that of a similar search; 1 by default. */
  readonly startSlope?: number;
  /** Accepted error of the mean output power, ±; 0.002 dB by default. */
  readonly toleranceDb?: number;
}

export interface Levelled {
  readonly kind: 'levelled';
  readonly driveScale: number;
  /** driveScale·waveform. */
  readonly drive: ComplexSignal;
  readonly output: ComplexSignal;
  /** Mean |output|². */
  readonly meanPower: number;
  /** Slope of the last step taken, or of the start: dB of output per dB of drive. */
  readonly slope: number;
}

export interface OutOfReach {
  readonly kind: 'outOfReach';
  readonly mostMeanPower: number;
  readonly atDriveScale: number;
}

export type LevelOutcome = Levelled | OutOfReach;

const MOST_STEPS = 60;
const LARGEST_STEP_DB = 6;
/** Bounds of the local slope (dB of output per dB of drive) that a step is computed with. */
const SLOPE_LIMITS = { least: 0.01, most: 1.5 };
const SEARCH_STEP_DB = 1.5;
const SEARCH_BELOW_DB = 12;
/** A maximum is flat: its place to this precision gives its level to better than 0.001 dB. */
const PEAK_PLACE_DB = 0.02;

/** One pass of the device. `level` is the mean output power in dB, floored; +∞ when the output overflows. */
interface Evaluation {
  readonly scaleDb: number;
  readonly level: number;
  readonly drive: ComplexSignal;
  readonly output: ComplexSignal;
  readonly meanPower: number;
}

/** What a search remembers of an evaluation: records are long. */
type Place = Pick<Evaluation, 'scaleDb' | 'level' | 'meanPower'>;

type Evaluate = (scaleDb: number) => Evaluation;

/**
 * The drive with the wanted mean output power within the tolerance: the least one, where several give it and the search
 * starts below. Otherwise the most power up to maximumScale.
 * Throws RangeError for a waveform without power, or limits that are not positive.
 */
export function levelDrive(request: LevelRequest): LevelOutcome {
  const { waveform, wantedMeanPower, maximumScale, toleranceDb = 0.002 } = request;
  const inputPower = meanPower(waveform);
  if (!(inputPower > 0) || !(wantedMeanPower > 0) || !(maximumScale > 0)) {
    throw new RangeError(
      `levelDrive: waveform power ${inputPower}, wanted power ${wantedMeanPower} and largest scale ${maximumScale} must be positive`,
    );
  }
  const start = request.startScale ?? Math.sqrt(wantedMeanPower / inputPower);
  const search: Search = {
    evaluate: (scaleDb) => evaluationAt(request, scaleDb),
    wantedLevel: toDb(wantedMeanPower),
    highestScaleDb: 2 * toDb(maximumScale),
    toleranceDb,
  };
  return enclose(search, Math.min(2 * toDb(start), search.highestScaleDb), request.startSlope ?? 1);
}

interface Search {
  readonly evaluate: Evaluate;
  readonly wantedLevel: number;
  readonly highestScaleDb: number;
  readonly toleranceDb: number;
}

function toDb(ratio: number): number {
  return 10 * Math.log10(ratio);
}

function evaluationAt({ device, waveform }: LevelRequest, scaleDb: number): Evaluation {
  const drive = scale(waveform, 10 ** (scaleDb / 20));
  const output = device(drive);
  const power = meanPower(output);
  // A polynomial without a guard may overflow: that is more than any wanted power.
  const level = Number.isFinite(power) ? Math.max(toDb(power), FLOOR_DB) : Number.POSITIVE_INFINITY;
  return { scaleDb, level, drive, output, meanPower: power };
}

function isClose(search: Search, at: Evaluation): boolean {
  return Math.abs(search.wantedLevel - at.level) <= search.toleranceDb;
}

function levelled({ scaleDb, drive, output, meanPower: power }: Evaluation, slope = 1): Levelled {
  return { kind: 'levelled', driveScale: 10 ** (scaleDb / 20), drive, output, meanPower: power, slope };
}

/** The evaluation where it is close enough, otherwise its place alone. */
function attempt(search: Search, scaleDb: number): Evaluation | Place {
  const at = search.evaluate(scaleDb);
  return isClose(search, at) ? at : { scaleDb, level: at.level, meanPower: at.meanPower };
}

/** Steps from the start until two scales enclose the wanted level. */
function enclose(search: Search, startDb: number, startSlope: number): LevelOutcome {
  let at = attempt(search, startDb);
  let last: Place | null = null;
  let slope = clampSlope(startSlope);
  for (let step = 0; step < MOST_STEPS; step++) {
    if (last !== null) slope = slopeBetween(last, at);
    if ('output' in at) return levelled(at, slope);
    const missing = search.wantedLevel - at.level;
    if (last !== null && missing > 0 !== search.wantedLevel > last.level) return narrow(search, last, at);
    const folds = last !== null && missing > 0 && at.scaleDb > last.scaleDb && at.level <= last.level;
    if (missing > 0 && (folds || at.scaleDb >= search.highestScaleDb)) return searchPeak(search, last ?? at);
    const stepDb = Math.max(-LARGEST_STEP_DB, Math.min(LARGEST_STEP_DB, missing / slope));
    last = at;
    at = attempt(search, Math.min(at.scaleDb + stepDb, search.highestScaleDb));
  }
  return { kind: 'outOfReach', mostMeanPower: at.meanPower, atDriveScale: 10 ** (at.scaleDb / 20) };
}

function slopeBetween(a: Place, b: Place): number {
  if (!Number.isFinite(a.level) || !Number.isFinite(b.level)) return 1;
  return clampSlope((b.level - a.level) / (b.scaleDb - a.scaleDb));
}

function clampSlope(slope: number): number {
  return Math.min(SLOPE_LIMITS.most, Math.max(SLOPE_LIMITS.least, slope));
}

/** Regula falsi between a scale that gives too little and one that gives too much (either order). */
function narrow(search: Search, first: Place, second: Place): LevelOutcome {
  let a = first;
  let b = second;
  let errorA = a.level - search.wantedLevel;
  let errorB = b.level - search.wantedLevel;
  const slope = slopeBetween(first, second);
  for (let step = 0; step < MOST_STEPS; step++) {
    const finite = Number.isFinite(errorA) && Number.isFinite(errorB);
    const weight = finite && step < MOST_STEPS / 2 ? errorA / (errorA - errorB) : 0.5;
    const at = attempt(search, a.scaleDb + weight * (b.scaleDb - a.scaleDb));
    if ('output' in at) return levelled(at, slope);
    const error = at.level - search.wantedLevel;
    if (error > 0 === errorB > 0) {
      // Illinois: the end that stays counts half, so that it cannot stay for ever.
      errorA /= 2;
    } else {
      a = b;
      errorA = errorB;
    }
    b = at;
    errorB = error;
  }
  // Only a device that jumps over the wanted level gets here.
  const best = Math.abs(errorA) < Math.abs(errorB) ? a : b;
  return { kind: 'outOfReach', mostMeanPower: best.meanPower, atDriveScale: 10 ** (best.scaleDb / 20) };
}

/** Looks for the largest output up to the highest scale; ends at the first scale where the wanted level is passed. */
function searchPeak(search: Search, from: Place): LevelOutcome {
  const lowest = risingStart(search, Math.min(from.scaleDb, search.highestScaleDb - SEARCH_BELOW_DB) - SEARCH_STEP_DB);
  const stepCount = Math.ceil((search.highestScaleDb - lowest) / SEARCH_STEP_DB);
  const grid: Evaluation[] = [];
  let best: Evaluation | null = null;
  for (let i = 0; i <= stepCount; i++) {
    const at = search.evaluate(lowest + ((search.highestScaleDb - lowest) * i) / stepCount);
    if (isClose(search, at)) return levelled(at);
    const previous = grid.at(-1) ?? at;
    const below = grid.at(-2) ?? previous;
    if (at.level > search.wantedLevel && previous !== at) return narrow(search, previous, at);
    grid.push(at);
    const isPeak = at.level < previous.level && below.level <= previous.level;
    if (!isPeak && i < stepCount) continue;
    // At the last point the output may still be rising, or have turned within the last step.
    const peak = isPeak ? climb(search, below, previous, at) : climb(search, previous, at, at);
    if (isClose(search, peak)) return levelled(peak);
    if (peak.level > search.wantedLevel) return narrow(search, isPeak ? below : previous, peak);
    if (best === null || peak.level > best.level) best = peak;
  }
  const most = best ?? from;
  return { kind: 'outOfReach', mostMeanPower: most.meanPower, atDriveScale: 10 ** (most.scaleDb / 20) };
}

/** A scale at or below `scaleDb` where the output is too low and rises with the drive. */
function risingStart(search: Search, scaleDb: number): number {
  for (let step = 0; step < MOST_STEPS; step++) {
    const at = search.evaluate(scaleDb);
    const isLow = at.level < search.wantedLevel;
    if (isLow && search.evaluate(scaleDb + SEARCH_STEP_DB).level > at.level) break;
    scaleDb -= LARGEST_STEP_DB;
  }
  return scaleDb;
}

/** Golden-section search between two neighbours of the best point so far; stops once the wanted level is passed. */
function climb(search: Search, below: Evaluation, top: Evaluation, above: Evaluation): Evaluation {
  const golden = (3 - Math.sqrt(5)) / 2;
  let [low, best, high] = [below.scaleDb, top, above.scaleDb];
  while (high - low > PEAK_PLACE_DB && best.level <= search.wantedLevel) {
    const upper = high - best.scaleDb > best.scaleDb - low;
    const at = search.evaluate(
      upper ? best.scaleDb + golden * (high - best.scaleDb) : best.scaleDb - golden * (best.scaleDb - low),
    );
    if (at.level > best.level) {
      if (upper) low = best.scaleDb;
      else high = best.scaleDb;
      best = at;
    } else if (upper) high = at.scaleDb;
    else low = at.scaleDb;
  }
  return best;
}
