// The structures an order map compares: odd orders up to each highest order, each memory depth, each kind.
import type {
  CrossTermSettings,
  PolynomialPredistorterSettings,
  PredistorterSettings,
} from '../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import { oddOrders } from './structure.ts';

export interface MapStructure {
  readonly structure: PolynomialPredistorterSettings['kind'];
  readonly highestOrder: number;
  readonly memoryDepth: number;
  /** With the base's learning. */
  readonly settings: PolynomialPredistorterSettings;
}

/** Cross terms of a map whose base has none: orders 3 and 5, one lagging and one leading envelope. */
const CROSS_TERMS: CrossTermSettings = {
  nonlinearOrders: [3, 5],
  laggingEnvelopeDelays: 1,
  leadingEnvelopeDelays: 1,
  memoryDepth: 'same',
};

/**
 * All structures of a map, memory polynomials first, then by depth and order. A generalized memory polynomial is left
 * out below order 3, where no envelope is used, and at depth 1, where cross terms alone would bring the memory in.
 * Its cross terms are the base's own (orders 3 and 5, one lagging and one leading envelope when it has none), up to the
 * structure's highest order and at its depth.
 */
export function mapStructures(base: PredistorterSettings, question: MapQuestion): MapStructure[] {
  const orders = risingOdd(question.highestOrders);
  const depths = [...new Set(question.memoryDepths)].sort((a, b) => a - b);
  const found: MapStructure[] = [];
  for (const structure of ['memoryPolynomial', 'generalizedMemoryPolynomial'] as const) {
    if (!question.structures.includes(structure)) continue;
    for (const memoryDepth of depths) {
      for (const highestOrder of orders) {
        const settings = settingsOf(base, structure, highestOrder, memoryDepth);
        if (settings !== null) found.push({ structure, highestOrder, memoryDepth, settings });
      }
    }
  }
  return found;
}

/** A memory polynomial of odd orders with the base's learning. */
export function memoryPolynomialSettings(
  base: PredistorterSettings,
  highestOrder: number,
  memoryDepth: number,
): PolynomialPredistorterSettings {
  const { learning, observation, numbers } = base;
  const common = { memoryDepthByOrder: null, learning, observation, numbers, stored: null };
  return { kind: 'memoryPolynomial', nonlinearOrders: oddOrders(highestOrder), memoryDepth, ...common };
}

/** An even highest order is the odd one below it. */
function risingOdd(highestOrders: readonly number[]): number[] {
  return [...new Set(highestOrders.map((order) => (order & 1 ? order : order - 1)))].sort((a, b) => a - b);
}

function settingsOf(
  base: PredistorterSettings,
  structure: PolynomialPredistorterSettings['kind'],
  highestOrder: number,
  memoryDepth: number,
): PolynomialPredistorterSettings | null {
  const own = memoryPolynomialSettings(base, highestOrder, memoryDepth);
  if (structure === 'memoryPolynomial') return own;
  const cross = base.kind === 'generalizedMemoryPolynomial' ? base.crossTerms : CROSS_TERMS;
  const nonlinearOrders = cross.nonlinearOrders.filter((order) => order <= highestOrder);
  const envelopes = cross.laggingEnvelopeDelays + cross.leadingEnvelopeDelays;
  if (memoryDepth < 2 || nonlinearOrders.length === 0 || envelopes === 0) return null;
  const crossTerms = { ...cross, nonlinearOrders, memoryDepth: 'same' as const };
  const { nonlinearOrders: ownOrders, learning, observation, numbers, stored } = own;
  const common = { memoryDepth, learning, observation, numbers, stored };
  return { kind: 'generalizedMemoryPolynomial', nonlinearOrders: ownOrders, crossTerms, ...common };
}
