// The structures a search tries, smallest ideas first:
//   orders 1 … K, odd only or all, K = 1, 3, 5, 7, 9 (the highest as asked)
//   delays −lead … depth − 1 of the signal with its own envelope
//   cross terms: x[n−l]·|x[n−l−m]|^(k−1) with l as in the diagonal part (at most three), m = ±1 … ±reach, k ≥ 2
// Odd orders alone describe what reaches the carrier of a smooth static device; even ones are a richer curve of the
// envelope, which devices with a kink in it (two transistors, one joining late) need. Source: Ding and Zhou 2004,
// IEEE Trans. Veh. Technol. 53(1) on even orders; Morgan et al. 2006 on cross terms (both from memory).
import type { BasisStructure, BasisTerm } from '../basis/memoryPolynomial.ts';

export interface CandidateStructure extends BasisStructure {
  readonly nonlinearOrders: readonly number[];
  readonly memoryDepth: number;
  /** Delays ahead of the drive: 1 lets the model answer a sample before its turn. */
  readonly leadSamples: number;
  /** Null without cross terms. */
  readonly cross: { readonly nonlinearOrders: readonly number[]; readonly reachSamples: number } | null;
}

export interface SearchLimits {
  readonly highestOrder: number;
  readonly memoryDepth: number;
  /** 0 leaves cross terms out. */
  readonly crossReachSamples: number;
  /** More coefficients than this are not tried: the record is too short for them. */
  readonly coefficientCount: number;
}

const CROSS_DELAYS = 3;

/** Every structure within the limits; never empty when at least one coefficient is allowed. */
export function candidateStructures(limits: SearchLimits): CandidateStructure[] {
  const found: CandidateStructure[] = [];
  for (const nonlinearOrders of orderLists(limits.highestOrder)) {
    for (const [memoryDepth, leadSamples] of delayChoices(limits.memoryDepth)) {
      found.push(candidate(nonlinearOrders, memoryDepth, leadSamples, null));
      for (const cross of crossChoices(nonlinearOrders, memoryDepth, limits.crossReachSamples)) {
        found.push(candidate(nonlinearOrders, memoryDepth, leadSamples, cross));
      }
    }
  }
  return found.filter(({ terms }) => terms.length <= limits.coefficientCount);
}

function orderLists(highest: number): number[][] {
  const lists: number[][] = [];
  for (let top = 1; top <= highest; top += 2) {
    const all = Array.from({ length: top }, (_, i) => i + 1);
    lists.push(all.filter((order) => order % 2 === 1));
    if (top > 1) lists.push(all);
  }
  return lists;
}

function delayChoices(deepest: number): [number, number][] {
  const choices: [number, number][] = [];
  for (let depth = 1; depth <= deepest; depth++) {
    choices.push([depth, 0]);
    if (depth > 1) choices.push([depth, 1]);
  }
  return choices;
}

function crossChoices(orders: readonly number[], memoryDepth: number, reach: number): CandidateStructure['cross'][] {
  // Cross terms of a model without memory would be memory by another name.
  if (memoryDepth < 2) return [];
  const usable = orders.filter((order) => order >= 2 && order <= 7);
  const choices: CandidateStructure['cross'][] = [];
  for (let reachSamples = 1; reachSamples <= reach; reachSamples++) {
    for (let count = 1; count <= usable.length; count++) {
      choices.push({ nonlinearOrders: usable.slice(0, count), reachSamples });
    }
  }
  return choices;
}

function candidate(
  nonlinearOrders: readonly number[],
  memoryDepth: number,
  leadSamples: number,
  cross: CandidateStructure['cross'],
): CandidateStructure {
  const terms: BasisTerm[] = [];
  for (let delaySamples = -leadSamples; delaySamples < memoryDepth; delaySamples++) {
    for (const nonlinearOrder of nonlinearOrders) terms.push({ delaySamples, envelopeDelaySamples: 0, nonlinearOrder });
  }
  if (cross !== null) {
    for (let delaySamples = 0; delaySamples < Math.min(memoryDepth, CROSS_DELAYS); delaySamples++) {
      for (const envelopeDelaySamples of bothSides(cross.reachSamples)) {
        for (const nonlinearOrder of cross.nonlinearOrders) {
          terms.push({ delaySamples, envelopeDelaySamples, nonlinearOrder });
        }
      }
    }
  }
  return { nonlinearOrders, memoryDepth, leadSamples, cross, terms };
}

function bothSides(reach: number): number[] {
  const delays: number[] = [];
  for (let m = 1; m <= reach; m++) delays.push(m, -m);
  return delays;
}
