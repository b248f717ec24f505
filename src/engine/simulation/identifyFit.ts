// The fit of a pair of records: alignment, the receiver's errors, the structure by held-out error, the model from all samples.
import { applyBasis, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { alignPair } from '../identification/alignPair.ts';
import { candidateStructures } from '../identification/candidateStructures.ts';
import { fitOver } from '../identification/partEquations.ts';
import { separateReceiverErrors } from '../identification/receiverErrors.ts';
import { partRoundPeak, sampleCountOf, splitSamples } from '../identification/samplePart.ts';
import { type StructureSearch, searchStructures, type TriedStructure } from '../identification/searchStructures.ts';
import { type CheckedPair, windowsOf } from './identifyChecks.ts';
import type { TellStage } from './identifyProgress.ts';
import { nmseDb } from './identifyReadings.ts';

export interface SearchWishes {
  /** Highest order tried, odd; default 9. */
  readonly highestOrder?: number;
  /** Deepest memory tried, delays including zero; default 5. */
  readonly memoryDepth?: number;
  /** Farthest envelope delay of cross terms; 0 leaves them out; default 2. */
  readonly crossReachSamples?: number;
}

/** Samples for each coefficient below which a structure is not tried. */
const SAMPLES_PER_COEFFICIENT = 20;
/** More samples tell no structure better; the model is fitted to all in the end. */
const MOST_SEARCHED = 2 ** 17;
const RECEIVER_ORDERS = [1, 3, 5, 7, 9];
const RECEIVER_DEPTH = 5;

export interface FittedPair {
  readonly alignment: ReturnType<typeof alignPair>;
  /** Aligned, without leak and image. */
  readonly clean: ComplexSignal;
  readonly search: StructureSearch;
  readonly chosen: TriedStructure;
  /** Of the chosen structure, fitted to all samples. */
  readonly coefficients: ComplexSignal;
  readonly heldOutWithReceiverErrorsDb: number;
  readonly trainingSampleCount: number;
  readonly heldOutSampleCount: number;
}

/** Null when the drive's levels and band cannot tell the terms apart. */
export function fitPair(wishes: SearchWishes, checked: CheckedPair, tell: TellStage): FittedPair | null {
  const drive = checked.pair.drive.signal;
  const windows = windowsOf(checked);
  tell('aligning', 0);
  const alignment = alignPair(drive, checked.pair.observed.signal, windows);
  const { highestOrder = 9, memoryDepth = 5, crossReachSamples = 2 } = wishes;
  const [from, to] = partRoundPeak(drive, checked.from, checked.to, MOST_SEARCHED);
  const split = splitSamples(from, to, memoryDepth + 2 * crossReachSamples + 2);
  const trainingSampleCount = sampleCountOf(split.training);
  const coefficientCount = Math.floor(trainingSampleCount / SAMPLES_PER_COEFFICIENT);
  const limits = { highestOrder, memoryDepth, crossReachSamples, coefficientCount };
  const receiverBasis = memoryPolynomialStructure(RECEIVER_ORDERS, RECEIVER_DEPTH);
  tell('receiver', 0);
  const separated = separateReceiverErrors(receiverBasis, drive, alignment.aligned, split.training);
  if (separated === null) return null;
  tell('products', 0);
  const onTried = (done: number, total: number) => tell('structures', done, total);
  const search = searchStructures(candidateStructures(limits), drive, separated.clean, split, onTried);
  if (search === null) return null;
  const { chosen } = search;
  tell('fitting', 0);
  const overall = separateReceiverErrors(chosen.structure, drive, alignment.aligned, windows);
  const coefficients = overall && fitOver(chosen.structure, drive, overall.clean, windows);
  if (overall === null || coefficients === null) return null;
  const raw = fitOver(chosen.structure, drive, alignment.aligned, split.training) ?? chosen.coefficients;
  return {
    alignment: { ...alignment, receiver: overall.errors },
    clean: overall.clean,
    search,
    chosen,
    coefficients,
    heldOutWithReceiverErrorsDb: nmseDb(alignment.aligned, applyBasis(chosen.structure, raw, drive), split.heldOut),
    trainingSampleCount,
    heldOutSampleCount: sampleCountOf(split.heldOut),
  };
}
