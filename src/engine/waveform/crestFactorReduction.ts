// Crest-factor reduction to a target at a probability, by clipping and filtering in rounds or by peak cancellation
// (peakCancellation.ts).
//
// One round of clipping: y ← y − c·(excess ⋆ filter), excess = y·(1 − T/|y|) where |y| > T, T relative to the rms of the current y.
// The filter keeps the correction inside the channels; c a little above 1 makes up for what it spreads (our recipe; the
// method is Armstrong's repeated clipping and filtering, 2002, from memory).
import type { Warning } from '../../../shared/schema/issue.ts';
import type { CrestFactorReductionSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, copy, meanPower, peakPower, scale, zeros } from '../dsp/complex.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { exceededPower } from '../dsp/exceedance.ts';
import type { SparseSignal } from '../dsp/fir.ts';
import { cancelPeaks } from './peakCancellation.ts';
import { type ReductionFilter, subtractFiltered } from './reductionFilter.ts';

export interface ClipRecipe {
  readonly targetPaprDb: number;
  /** Clip this much below the target. */
  readonly clipBelowTargetDb: number;
  /** Factor c on the filtered excess. */
  readonly overcorrection: number;
  readonly roundCount: number;
  /** Stop once the record's peak is within this of the target; null does all rounds. */
  readonly stopWithinDb: number | null;
}

/** The recipe of a scenario: clip at the target, 15 % over-correction, all rounds. */
const SCENARIO_RECIPE = { clipBelowTargetDb: 0, overcorrection: 1.15, stopWithinDb: null };

/**
 * The shaper of the ideal-limiter table (reference check LI-09): clip 0.15 dB under the target, keep the occupied bins,
 * until peak over mean ≤ target + 0.02 dB.
 */
export function exactBinRecipe(targetPaprDb: number, roundCount = 100): ClipRecipe {
  return { targetPaprDb, clipBelowTargetDb: 0.15, overcorrection: 1, roundCount, stopWithinDb: 0.02 };
}

/** Clips and filters `signal` (periodic) by a recipe. Result has unit mean power; the input is left alone. */
export function clipAndFilter(
  signal: ComplexSignal,
  filter: ReductionFilter,
  recipe: ClipRecipe,
): { readonly signal: ComplexSignal; readonly roundsUsed: number } {
  const y = copy(signal);
  const room: Excess = { indices: new Int32Array(y.re.length), values: zeros(y.re.length), count: 0 };
  let roundsUsed = 0;
  while (roundsUsed < recipe.roundCount) {
    const mean = meanPower(y);
    if (
      recipe.stopWithinDb !== null &&
      peakPower(y) <= mean * dbToPowerRatio(recipe.targetPaprDb + recipe.stopWithinDb)
    ) {
      break;
    }
    collectExcess(y, mean * dbToPowerRatio(recipe.targetPaprDb - recipe.clipBelowTargetDb), room);
    if (room.count === 0) break;
    subtractFiltered(y, room, filter, recipe.overcorrection);
    roundsUsed++;
  }
  return { signal: scale(y, 1 / Math.sqrt(meanPower(y))), roundsUsed };
}

interface Excess extends SparseSignal {
  count: number;
}

/** Entries of y·(1 − √(limit/|y|²)) where |y|² is above the limit. */
function collectExcess(y: ComplexSignal, limitPower: number, room: Excess): void {
  const { re, im } = y;
  let count = 0;
  for (let n = 0; n < re.length; n++) {
    const power = re[n] * re[n] + im[n] * im[n];
    if (power > limitPower) {
      const share = 1 - Math.sqrt(limitPower / power);
      room.indices[count] = n;
      room.values.re[count] = share * re[n];
      room.values.im[count] = share * im[n];
      count++;
    }
  }
  room.count = count;
}

export interface ReductionRequest {
  /** Periodic record before reduction. */
  readonly signal: ComplexSignal;
  /** Null when no carrier may take any correction. */
  readonly filter: ReductionFilter | null;
  readonly settings: CrestFactorReductionSettings;
  /** EVM of every carrier of a shaped record against `signal`, in percent. */
  readonly evmPercentsOf: (shaped: ComplexSignal) => readonly number[];
}

export interface ReductionOutcome {
  /** Unit mean power; the input itself when nothing had to be done. */
  readonly signal: ComplexSignal;
  readonly notes: readonly Warning[];
  readonly roundsUsed: number;
  /** Worst carrier. */
  readonly evmPercent: number;
  /** One per carrier; empty when nothing was done. */
  readonly evmPerCarrierPercent: readonly number[];
}

/**
 * Reduces the crest factor to the target of the settings. Warnings: `crest-target-above-natural` and `crest-no-share`
 * (nothing done), `crest-evm-over-budget` (with the smallest target that fits), `crest-target-missed` (rounds did not
 * suffice).
 */
export function reduceCrestFactor({ signal, filter, settings, evmPercentsOf }: ReductionRequest): ReductionOutcome {
  const { targetPaprDb, probability } = settings;
  const untouched = (note: Warning) => ({
    signal,
    notes: [note],
    roundsUsed: 0,
    evmPercent: 0,
    evmPerCarrierPercent: [],
  });
  const natural = crestOf(signal, probability);
  if (natural.db <= targetPaprDb) return untouched(aboveNatural(targetPaprDb, probability, natural));
  if (filter === null) return untouched(noShare(targetPaprDb, probability, natural));
  const shapeTo = (target: number) => shapeAtProbability(signal, filter, settings, target);
  const worstOf = (shaped: ComplexSignal) => Math.max(...evmPercentsOf(shaped));
  const shaped = shapeTo(targetPaprDb);
  const evmPerCarrierPercent = evmPercentsOf(shaped.signal);
  const evmPercent = Math.max(...evmPerCarrierPercent);
  const notes: Warning[] = [];
  const tolerated = shaped.crest.isAtProbability ? MISSED_DB : MISSED_PEAK_DB;
  if (shaped.crest.db > targetPaprDb + tolerated) {
    notes.push(missed(targetPaprDb, probability, shaped.crest, shaped.roundsUsed));
  }
  const budget = settings.evmBudgetPercent;
  if (budget !== null && evmPercent > budget) {
    const spent = (target: number) => worstOf(shapeTo(target).signal);
    const fitting = smallestFittingTarget(targetPaprDb, natural.db, budget, spent);
    notes.push(overBudget(targetPaprDb, probability, evmPercent, budget, fitting));
  }
  return { signal: shaped.signal, roundsUsed: shaped.roundsUsed, notes, evmPercent, evmPerCarrierPercent };
}

/** Twelve rounds end 0.05 (8 dB) to 0.1 dB (6 dB) above the target; further off is worth a word. */
const MISSED_DB = 0.15;
/** The peak of a record too short for the probability stands above the level there by some tenths, target reached or not. */
const MISSED_PEAK_DB = 0.5;
/** A crest factor this far under the target was bought with more EVM than the target asks for. */
const UNDERSHOT_DB = 0.1;
const CLIP_LEVEL_TRIES = 4;

/**
 * Clips at the target; where that leaves the level at the wanted probability well under the target (probabilities of 1 %
 * and more, which clipping rarer peaks lowers only little), the clip level is raised by what is missing and tried again.
 */
function shapeAtProbability(
  signal: ComplexSignal,
  filter: ReductionFilter,
  { method, probability, roundCount }: CrestFactorReductionSettings,
  targetDb: number,
): { readonly signal: ComplexSignal; readonly roundsUsed: number; readonly crest: Crest } {
  let clipDb = targetDb;
  for (let tries = 1; ; tries++) {
    const recipe = { targetPaprDb: clipDb, roundCount };
    const shaped =
      method === 'peakCancellation'
        ? cancelPeaks(signal, filter, recipe)
        : clipAndFilter(signal, filter, { ...SCENARIO_RECIPE, ...recipe });
    const crest = crestOf(shaped.signal, probability);
    const isUnder = crest.isAtProbability && crest.db < targetDb - UNDERSHOT_DB;
    if (!isUnder || tries === CLIP_LEVEL_TRIES) return { ...shaped, crest };
    clipDb += targetDb - crest.db;
  }
}

interface Crest {
  readonly db: number;
  /** False when the record is too short for the probability and the peak stands in. */
  readonly isAtProbability: boolean;
}

function crestOf(signal: ComplexSignal, probability: number): Crest {
  const level = exceededPower(signal, probability);
  return { db: powerRatioToDb((level ?? peakPower(signal)) / meanPower(signal)), isAtProbability: level !== null };
}

/** Halvings of the search: a range of 4 dB ends within 0.06 dB, and the answer is given in tenths. */
const SEARCH_STEPS = 6;

/** EVM falls as the target rises, to nothing at the natural crest factor. Rounded up to a tenth of a dB. */
function smallestFittingTarget(
  tooLowDb: number,
  naturalDb: number,
  budgetPercent: number,
  spentPercent: (targetDb: number) => number,
): number {
  let low = tooLowDb;
  let high = naturalDb;
  for (let step = 0; step < SEARCH_STEPS; step++) {
    const middle = (low + high) / 2;
    if (spentPercent(middle) > budgetPercent) low = middle;
    else high = middle;
  }
  return Math.ceil(high * 10 - 1e-9) / 10;
}

function aboveNatural(targetDb: number, probability: number, natural: Crest): Warning {
  const at = natural.isAtProbability ? `at a probability of ${probability}` : 'at the peak of this short record';
  return {
    code: 'crest-target-above-natural',
    message: `The target crest factor, ${targetDb.toFixed(2)} dB, is not below the waveform's own, ${natural.db.toFixed(2)} dB ${at}: nothing was reduced. Lower the target or leave reduction out.`,
  };
}

function noShare(targetDb: number, probability: number, natural: Crest): Warning {
  const at = natural.isAtProbability ? `at a probability of ${probability}` : 'at the peak of this short record';
  return {
    code: 'crest-no-share',
    message: `The crest factor stays at ${natural.db.toFixed(2)} dB ${at}, above the target of ${targetDb.toFixed(2)} dB: no carrier takes a share of the correction. Tones never do, choose their phase law; give another carrier a crestShareRatio above 0.`,
  };
}

function missed(targetDb: number, probability: number, reached: Crest, rounds: number): Warning {
  const at = reached.isAtProbability ? `at a probability of ${probability}` : 'at the peak of this short record';
  const message = `After ${rounds} ${rounds === 1 ? 'round' : 'rounds'} the crest factor is ${reached.db.toFixed(2)} dB ${at}, above the target of ${targetDb.toFixed(2)} dB. Allow more rounds or raise the target.`;
  return { code: 'crest-target-missed', message };
}

function overBudget(
  targetDb: number,
  probability: number,
  evmPercent: number,
  budgetPercent: number,
  fittingDb: number,
): Warning {
  return {
    code: 'crest-evm-over-budget',
    message: `Reducing the crest factor to ${targetDb.toFixed(2)} dB at a probability of ${probability} spends ${evmPercent.toFixed(2)} % EVM, over the budget of ${budgetPercent} %. The smallest target that fits is ${fittingDb.toFixed(1)} dB.`,
  };
}
