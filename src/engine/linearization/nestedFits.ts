// Many structures fitted to the same samples from one accumulated Gram matrix.
//
// The normal equations of a structure are rows and columns of those of any structure that holds its terms. So one Gram
// matrix G and right-hand side b of all terms together serve every structure: its fit is the solution of a sub-block,
// and its residual follows without a pass over the samples,
//   |u − Φc|² = |u|² − 2·Re(cᴴb) + cᴴGc     (rounding shows below about −140 dB)
// Method: performance notes of the project, order table from one Gram matrix.
import { accumulateNormalEquations, type NormalEquations } from '../basis/gram.ts';
import type { BasisStructure, BasisTerm } from '../basis/memoryPolynomial.ts';
import { undoRms } from '../basis/regressors.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { solveNormalEquations } from '../dsp/leastSquares.ts';
import type { FitInput } from './indirectLearning.ts';

export interface NestedFit {
  /** For the observation as it is, in the structure's order of terms. */
  readonly coefficients: ComplexSignal;
  /** Of the column-scaled regressor matrix. */
  readonly conditionNumber: number | null;
  /** Residual over the fitted samples against the target's power. */
  readonly residualDb: number;
}

/**
 * Fits each structure to the input by Cholesky; null where its regressors are dependent in double precision.
 * ridge: λ on the unit-diagonal Gram matrix of each structure.
 */
export function fitNested(
  structures: readonly BasisStructure[],
  { observation, target, window }: FitInput,
  ridge: number,
): (NestedFit | null)[] {
  const union = unionOf(structures);
  const rms = Math.sqrt(meanPower(observation));
  const equations = accumulateNormalEquations(union, scale(observation, 1 / rms), target, window);
  const targetEnergy = energyOf(target, window);
  const placeOf = new Map(union.terms.map((term, i) => [keyOf(term), i]));
  return structures.map((structure) => {
    const places = structure.terms.map((term) => placeOf.get(keyOf(term)) as number);
    const part = subBlock(equations, places);
    const solution = solveNormalEquations(part.gram, part.rightSide, ridge);
    if (solution === null) return null;
    const { coefficients, conditionNumber } = solution;
    const residual = targetEnergy + fitEnergy(part, coefficients);
    return {
      coefficients: undoRms(structure, coefficients, rms),
      conditionNumber,
      residualDb: powerRatioToDb(residual / targetEnergy),
    };
  });
}

function keyOf({ delaySamples, envelopeDelaySamples, nonlinearOrder }: BasisTerm): string {
  return `${delaySamples}/${envelopeDelaySamples}/${nonlinearOrder}`;
}

/** All terms of all structures, each once. */
function unionOf(structures: readonly BasisStructure[]): BasisStructure {
  const terms = new Map<string, BasisTerm>();
  for (const structure of structures) for (const term of structure.terms) terms.set(keyOf(term), term);
  return { terms: [...terms.values()] };
}

function subBlock(equations: NormalEquations, places: readonly number[]): NormalEquations {
  const { gram, rightSide, termCount, sampleCount } = equations;
  const size = places.length;
  const part = { gram: zeros(size * size), rightSide: zeros(size), termCount: size, sampleCount };
  for (let i = 0; i < size; i++) {
    const row = places[i] * termCount;
    part.rightSide.re[i] = rightSide.re[places[i]];
    part.rightSide.im[i] = rightSide.im[places[i]];
    for (let j = 0; j < size; j++) {
      part.gram.re[i * size + j] = gram.re[row + places[j]];
      part.gram.im[i * size + j] = gram.im[row + places[j]];
    }
  }
  return part;
}

/** cᴴGc − 2·Re(cᴴb). */
function fitEnergy({ gram, rightSide, termCount }: NormalEquations, c: ComplexSignal): number {
  let sum = 0;
  for (let i = 0; i < termCount; i++) {
    let re = -2 * rightSide.re[i];
    let im = -2 * rightSide.im[i];
    for (let j = 0; j < termCount; j++) {
      const at = i * termCount + j;
      re += gram.re[at] * c.re[j] - gram.im[at] * c.im[j];
      im += gram.re[at] * c.im[j] + gram.im[at] * c.re[j];
    }
    sum += c.re[i] * re + c.im[i] * im;
  }
  return sum;
}

function energyOf(target: ComplexSignal, window: FitInput['window']): number {
  const length = target.re.length;
  if (window === 'whole') return meanPower(target) * length;
  let energy = 0;
  let n = window.startSample % length;
  for (let k = 0; k < window.sampleCount; k++) {
    energy += target.re[n] * target.re[n] + target.im[n] * target.im[n];
    if (++n === length) n = 0;
  }
  return energy;
}
