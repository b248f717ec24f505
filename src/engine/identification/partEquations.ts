// Normal equations over parts of a record, and what a fit of some of their terms leaves, without a pass over samples:
//   |u − Φc|² = |u|² − 2·Re(cᴴb) + cᴴGc     over any part whose G, b and |u|² are known
// so one accumulation over the fitted and one over the held-out part serve every structure of a search. Sums of the
// three are exact to about 1e-13 of |u|²: rounding shows below about −130 dB.
import { accumulateNormalEquations, type SampleWindow } from '../basis/gram.ts';
import type { BasisStructure, BasisTerm } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { solveByCholesky } from '../dsp/leastSquares.ts';
import { gather } from './samplePart.ts';

export interface PartEquations {
  readonly gram: ComplexSignal;
  readonly rightSide: ComplexSignal;
  readonly termCount: number;
  /** Σ|u|² over the part. */
  readonly targetEnergy: number;
  /** The regressors were made of x over this. */
  readonly rms: number;
}

/** G, b and |u|² of the structure over the windows of the records x (input) and u (target). rms: of x, for scaling. */
export function partEquations(
  structure: BasisStructure,
  x: ComplexSignal,
  u: ComplexSignal,
  windows: readonly SampleWindow[],
  rms: number,
): PartEquations {
  const scaled = scale(x, 1 / rms);
  const termCount = structure.terms.length;
  const gram = zeros(termCount * termCount);
  const rightSide = zeros(termCount);
  for (const window of windows) {
    const part = accumulateNormalEquations(structure, scaled, u, window);
    addInto(gram, part.gram);
    addInto(rightSide, part.rightSide);
  }
  const target = gather(u, windows);
  return { gram, rightSide, termCount, targetEnergy: meanPower(target) * target.re.length, rms };
}

function addInto(sum: ComplexSignal, term: ComplexSignal): void {
  for (let i = 0; i < sum.re.length; i++) {
    sum.re[i] += term.re[i];
    sum.im[i] += term.im[i];
  }
}

/** Rows and columns of some of the terms. */
export function subEquations(equations: PartEquations, places: readonly number[]): PartEquations {
  const { gram, rightSide, termCount } = equations;
  const size = places.length;
  const part = { gram: zeros(size * size), rightSide: zeros(size) };
  for (let i = 0; i < size; i++) {
    const row = places[i] * termCount;
    part.rightSide.re[i] = rightSide.re[places[i]];
    part.rightSide.im[i] = rightSide.im[places[i]];
    for (let j = 0; j < size; j++) {
      part.gram.re[i * size + j] = gram.re[row + places[j]];
      part.gram.im[i * size + j] = gram.im[row + places[j]];
    }
  }
  return { ...equations, ...part, termCount: size };
}

/** Least-squares coefficients for the scaled regressors; null when the terms cannot be told apart. */
export function solvePart({ gram, rightSide }: PartEquations): ComplexSignal | null {
  return solveByCholesky(gram, rightSide, 0);
}

/** Σ|u − Φc|² over Σ|u|². */
export function residualRatio({ gram, rightSide, termCount, targetEnergy }: PartEquations, c: ComplexSignal): number {
  let sum = targetEnergy;
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
  return Math.max(0, sum) / targetEnergy;
}

/** Coefficients for x itself: a term of order k takes rms^−k. */
export function undoScale(terms: readonly BasisTerm[], c: ComplexSignal, rms: number): ComplexSignal {
  const out = zeros(terms.length);
  terms.forEach(({ nonlinearOrder }, i) => {
    const factor = rms ** -nonlinearOrder;
    out.re[i] = factor * c.re[i];
    out.im[i] = factor * c.im[i];
  });
  return out;
}

/** Coefficients of the structure for x itself, fitted over the windows; null when its terms cannot be told apart. */
export function fitOver(
  structure: BasisStructure,
  x: ComplexSignal,
  u: ComplexSignal,
  windows: readonly SampleWindow[],
): ComplexSignal | null {
  const rms = Math.sqrt(meanPower(x));
  const c = solvePart(partEquations(structure, x, u, windows, rms));
  return c && undoScale(structure.terms, c, rms);
}
