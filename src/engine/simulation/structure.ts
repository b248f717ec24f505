// The basis functions a predistorter's settings stand for, and what they cost.
import type { PredistorterSettings } from '../../../shared/schema/scenario.ts';
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import { type BasisStructure, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { costOf } from '../linearization/cost.ts';

export function structureOf(settings: PredistorterSettings): BasisStructure {
  return memoryPolynomialStructure(settings.nonlinearOrders, settings.memoryDepth);
}

/** Coefficients, real multiplications, tables and bytes of the settings' structure. */
export function structureCostOf(settings: PredistorterSettings): StructureCost {
  return costOf(structureOf(settings));
}
