// The basis functions a predistorter's settings stand for, and what they cost.
import type { CrossTermsReport, PredistorterReport } from '../../../shared/schema/report.ts';
import type { PolynomialPredistorterSettings, PredistorterSettings } from '../../../shared/schema/scenario.ts';
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import { envelopeTableRegressors } from '../basis/envelopeTable.ts';
import { generalizedMemoryPolynomialStructure } from '../basis/generalizedMemoryPolynomial.ts';
import { type BasisStructure, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { orthogonalRegressors } from '../basis/orthogonalRegressors.ts';
import { polynomialRegressors, type Regressors } from '../basis/regressors.ts';
import { costOf, physicalMultiplierCount, tableCostOf } from '../linearization/cost.ts';

/** The terms of a polynomial predistorter. */
export function structureOf(settings: PolynomialPredistorterSettings): BasisStructure {
  const cross = crossTermsOf(settings);
  if (cross !== null) {
    return generalizedMemoryPolynomialStructure(settings.nonlinearOrders, settings.memoryDepth, cross);
  }
  const byOrder = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  return memoryPolynomialStructure(settings.nonlinearOrders, byOrder ?? settings.memoryDepth);
}

/** The functions a predistorter of these settings sums, by the route its learning asks for. */
export function regressorsOf(settings: PredistorterSettings): Regressors {
  if (settings.kind === 'envelopeTable') {
    const { entryCount, interpolation, memoryDepth, learning } = settings;
    return envelopeTableRegressors({ entryCount, interpolation, memoryDepth, range: learning.driveCeilingRatio });
  }
  const structure = structureOf(settings);
  const { basis } = settings.learning;
  return basis === 'monomial' ? polynomialRegressors(structure) : orthogonalRegressors(structure, basis);
}

/** The cross terms with "same" filled in; null in a memory polynomial. */
export function crossTermsOf(settings: PredistorterSettings): CrossTermsReport | null {
  if (settings.kind !== 'generalizedMemoryPolynomial') return null;
  const { crossTerms } = settings;
  const memoryDepth = crossTerms.memoryDepth === 'same' ? settings.memoryDepth : crossTerms.memoryDepth;
  return { ...crossTerms, memoryDepth };
}

type StructureReport = Pick<
  PredistorterReport,
  'kind' | 'nonlinearOrders' | 'memoryDepth' | 'memoryDepthByOrder' | 'entryCount' | 'interpolation'
>;

/** The structure by itself, as a report states it. */
export function structureReport(settings: PredistorterSettings): StructureReport {
  const { kind, memoryDepth } = settings;
  if (settings.kind === 'envelopeTable') {
    const { entryCount, interpolation } = settings;
    return { kind, nonlinearOrders: [], memoryDepth, memoryDepthByOrder: null, entryCount, interpolation };
  }
  const memoryDepthByOrder = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  return {
    kind,
    nonlinearOrders: settings.nonlinearOrders,
    memoryDepth: memoryDepthByOrder === null ? memoryDepth : Math.max(...memoryDepthByOrder),
    memoryDepthByOrder,
    entryCount: null,
    interpolation: null,
  };
}

/** Coefficients, real multiplications, tables and bytes of the settings' structure. */
export function structureCostOf(settings: PredistorterSettings): StructureCost {
  const { numbers } = settings;
  if (settings.kind === 'envelopeTable') return tableCostOf(settings, numbers);
  return costOf(structureOf(settings), numbers);
}

/** Multipliers of the settings' structure at a clock. */
export function physicalMultipliersOf(settings: PredistorterSettings, sampleRateHz: number, clockHz: number): number {
  return physicalMultiplierCount(structureCostOf(settings), sampleRateHz, clockHz);
}

/** Odd orders 1, 3, … up to the highest. */
export function oddOrders(highestOrder: number): number[] {
  const orders: number[] = [];
  for (let order = 1; order <= highestOrder; order += 2) orders.push(order);
  return orders;
}
