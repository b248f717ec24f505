// The basis functions a predistorter's settings stand for, and what they cost.
import type { CrossTermsReport } from '../../../shared/schema/report.ts';
import type { PredistorterSettings } from '../../../shared/schema/scenario.ts';
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import { generalizedMemoryPolynomialStructure } from '../basis/generalizedMemoryPolynomial.ts';
import { type BasisStructure, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { polynomialRegressors, type Regressors } from '../basis/regressors.ts';
import { costOf } from '../linearization/cost.ts';

export function structureOf(settings: PredistorterSettings): BasisStructure {
  if (settings.kind === 'envelopeTable') throw new RangeError('structureOf: a table is no polynomial');
  const cross = crossTermsOf(settings);
  return cross === null
    ? memoryPolynomialStructure(settings.nonlinearOrders, settings.memoryDepth)
    : generalizedMemoryPolynomialStructure(settings.nonlinearOrders, settings.memoryDepth, cross);
}

/** The functions a predistorter of these settings sums. */
export function regressorsOf(settings: PredistorterSettings): Regressors {
  return polynomialRegressors(structureOf(settings));
}

/** The cross terms with "same" filled in; null in a memory polynomial. */
export function crossTermsOf(settings: PredistorterSettings): CrossTermsReport | null {
  if (settings.kind !== 'generalizedMemoryPolynomial') return null;
  const { crossTerms } = settings;
  const memoryDepth = crossTerms.memoryDepth === 'same' ? settings.memoryDepth : crossTerms.memoryDepth;
  return { ...crossTerms, memoryDepth };
}

/** Coefficients, real multiplications, tables and bytes of the settings' structure. */
export function structureCostOf(settings: PredistorterSettings): StructureCost {
  return costOf(structureOf(settings));
}

/** Odd orders 1, 3, … up to the highest. */
export function oddOrders(highestOrder: number): number[] {
  const orders: number[] = [];
  for (let order = 1; order <= highestOrder; order += 2) orders.push(order);
  return orders;
}
