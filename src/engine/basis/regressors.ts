// What a predistorter is made of, whatever its structure: functions of a record that are summed with coefficients. One
// interface for polynomials, cross terms, orthogonal bases and tables.
//
//   P(x; c)[n] = Σ_i c_i·φ_i(x)[n]
import type { ComplexSignal } from '../dsp/complex.ts';
import { meanPower, zeros } from '../dsp/complex.ts';
import { accumulateNormalEquations, type NormalEquations, regressorColumns, type SampleWindow } from './gram.ts';
import { applyBasis, type BasisStructure, memorySpan } from './memoryPolynomial.ts';

/** One more row of the regressor matrix: weight·(c_first − c_second), wanted to be zero. */
export interface Tie {
  readonly first: number;
  readonly second: number;
  readonly weight: number;
}

/**
 * `normalEquations` and `columns` are of the functions that the fit uses, of a record over its fit scale: a solution
 * becomes coefficients for `apply` through `undoFitScale` alone, also where that scale is 1.
 */
export interface Regressors {
  readonly termCount: number;
  /** Samples of history and look-ahead that one output sample depends on, including the present one. */
  readonly memorySpanSamples: number;
  /** Σ_i c_i·φ_i(x) over a periodic record. Coefficients: shape [termCount]. A new record. */
  apply(coefficients: ComplexSignal, x: ComplexSignal): ComplexSignal;
  /** ΦᴴΦ and Φᴴu over a window; the regressor matrix is never held. */
  normalEquations(x: ComplexSignal, u: ComplexSignal, window: SampleWindow | 'whole'): NormalEquations;
  /** The regressor matrix itself, column by column, for QR. */
  columns(x: ComplexSignal, window: SampleWindow): ComplexSignal[];
  /** Rows that hold functions together which the record may not tell apart; the normal equations contain them. */
  ties?(x: ComplexSignal, sampleCount: number): readonly Tie[];
  /** The amplitude by which a record is divided before a fit. */
  fitScaleOf(x: ComplexSignal): number;
  /** Coefficients for x from those for x over its fit scale. */
  undoFitScale(coefficients: ComplexSignal, fitScale: number): ComplexSignal;
}

/** Polynomials with memory and cross terms; fitted at unit rms, which keeps high orders within range. */
export function polynomialRegressors(structure: BasisStructure): Regressors {
  return {
    termCount: structure.terms.length,
    memorySpanSamples: memorySpan(structure),
    apply: (coefficients, x) => applyBasis(structure, coefficients, x),
    normalEquations: (x, u, window) => accumulateNormalEquations(structure, x, u, window),
    columns: (x, window) => regressorColumns(structure, x, window),
    fitScaleOf: (x) => Math.sqrt(meanPower(x)),
    undoFitScale: (coefficients, fitScale) => undoRms(structure, coefficients, fitScale),
  };
}

/** φ of order k grows as rms^k: coefficients for the unscaled record. */
export function undoRms(structure: BasisStructure, c: ComplexSignal, rms: number): ComplexSignal {
  const out = zeros(c.re.length);
  structure.terms.forEach((term, i) => {
    const factor = rms ** -term.nonlinearOrder;
    out.re[i] = c.re[i] * factor;
    out.im[i] = c.im[i] * factor;
  });
  return out;
}
