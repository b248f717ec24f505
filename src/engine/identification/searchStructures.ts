// The structure of an amplifier model by its error on samples it was not fitted to.
//
// Every candidate is fitted to the training part; its error on the held-out part decides. Cross terms, and then even
// orders, are kept only if the best structure that has them beats the best that has not by more than KEPT_MARGIN_DB. Of
// those left, the smallest within KEPT_MARGIN_DB of the best is taken: a larger one costs coefficients, and its range of
// safe use, for nothing that the records show.
import type { BasisStructure, BasisTerm } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import type { CandidateStructure } from './candidateStructures.ts';
import { partEquations, residualRatio, solvePart, subEquations, undoScale } from './partEquations.ts';
import type { SplitSamples } from './samplePart.ts';

/** A structure this close to the best is as good. */
export const KEPT_MARGIN_DB = 0.1;

export interface TriedStructure {
  readonly structure: CandidateStructure;
  readonly trainingNmseDb: number;
  readonly heldOutNmseDb: number;
  /** For the drive as it is. */
  readonly coefficients: ComplexSignal;
}

export interface StructureSearch {
  readonly tried: readonly TriedStructure[];
  readonly best: TriedStructure;
  readonly chosen: TriedStructure;
}

/**
 * u: the observation, aligned and without the receiver's errors. onTried: after each candidate, how many of how many are
 * done. Null when no candidate can be solved.
 */
export function searchStructures(
  candidates: readonly CandidateStructure[],
  drive: ComplexSignal,
  u: ComplexSignal,
  { training, heldOut }: SplitSamples,
  onTried: (done: number, total: number) => void = () => {},
): StructureSearch | null {
  const union = unionOf(candidates);
  const rms = Math.sqrt(meanPower(drive));
  const fitted = partEquations(union, drive, u, training, rms);
  const fresh = partEquations(union, drive, u, heldOut, rms);
  const placeOf = new Map(union.terms.map((term, i) => [keyOf(term), i]));
  const tried = candidates.flatMap((structure, index): TriedStructure[] => {
    onTried(index, candidates.length);
    const places = structure.terms.map((term) => placeOf.get(keyOf(term)) as number);
    const part = subEquations(fitted, places);
    const c = solvePart(part);
    if (c === null) return [];
    return [
      {
        structure,
        trainingNmseDb: powerRatioToDb(residualRatio(part, c)),
        heldOutNmseDb: powerRatioToDb(residualRatio(subEquations(fresh, places), c)),
        coefficients: undoScale(structure.terms, c, rms),
      },
    ];
  });
  return tried.length === 0 ? null : choose(tried);
}

function choose(tried: readonly TriedStructure[]): StructureSearch {
  const crossed = keptIfPaying(tried, ({ cross }) => cross !== null);
  const kept = keptIfPaying(crossed, ({ nonlinearOrders }) => nonlinearOrders.includes(2));
  const best = better(kept);
  const near = kept.filter(({ heldOutNmseDb }) => heldOutNmseDb <= best.heldOutNmseDb + KEPT_MARGIN_DB);
  return { tried, best: better(tried), chosen: near.reduce((a, b) => (isSimpler(b, a) ? b : a)) };
}

/** All of them when the feature pays, those without it when it does not. */
function keptIfPaying(
  tried: readonly TriedStructure[],
  hasFeature: (structure: CandidateStructure) => boolean,
): readonly TriedStructure[] {
  const without = tried.filter(({ structure }) => !hasFeature(structure));
  if (without.length === 0) return tried;
  return better(tried).heldOutNmseDb < better(without).heldOutNmseDb - KEPT_MARGIN_DB ? tried : without;
}

function better(tried: readonly TriedStructure[]): TriedStructure {
  return tried.reduce((a, b) => (b.heldOutNmseDb < a.heldOutNmseDb ? b : a));
}

function isSimpler(a: TriedStructure, b: TriedStructure): boolean {
  const difference = a.structure.terms.length - b.structure.terms.length;
  return difference < 0 || (difference === 0 && a.heldOutNmseDb < b.heldOutNmseDb);
}

/** The one of those tried that does best on held-out samples; null when none passes. */
export function bestOf(
  tried: readonly TriedStructure[],
  passes: (structure: CandidateStructure) => boolean,
): TriedStructure | null {
  const kept = tried.filter(({ structure }) => passes(structure));
  return kept.length === 0 ? null : better(kept);
}

function keyOf({ delaySamples, envelopeDelaySamples, nonlinearOrder }: BasisTerm): string {
  return `${delaySamples}/${envelopeDelaySamples}/${nonlinearOrder}`;
}

function unionOf(structures: readonly BasisStructure[]): BasisStructure {
  const terms = new Map<string, BasisTerm>();
  for (const structure of structures) for (const term of structure.terms) terms.set(keyOf(term), term);
  return { terms: [...terms.values()] };
}
