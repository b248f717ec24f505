// The output split into linear, third-, fifth- and seventh-order parts, so that one sees where the shoulders come from.
//
// P_k y is the least-squares fit of the output by a memory polynomial of the drive with orders 1, 3 … 2k+1 (4 taps).
// Part k is what order 2k+1 adds to it, P_k y − P_{k−1} y: Gram–Schmidt on the record's own moments, block by block. The
// spaces are nested, so the parts and the residual y − P_3 y are uncorrelated on the record and their powers add,
// whatever the drive, with one tap or several. With one tap part k is b_k·ψ_k(x), ψ_k the polynomial orthogonal under the
// drive's moments E|x|^{2n}; for a Gaussian drive that is the polynomial of basis/orthogonal.ts (OP-01). With several
// taps of a drive that is not Gaussian, the lower part also takes what a higher order of one tap shares with another tap.
import { accumulateNormalEquations, type NormalEquations } from '../basis/gram.ts';
import { applyBasis, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { addScaled, type ComplexSignal, copy, meanPower, scale, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { solveByCholesky } from '../dsp/leastSquares.ts';

export const SPLIT_ORDERS = [1, 3, 5, 7] as const;
/** Taps of the fit: the amplifiers at hand settle within them. */
const SPLIT_MEMORY_DEPTH = 4;
/** Rounding in the fit's sums: less is not told apart from nothing. */
const LEAST_RESIDUAL = 1e-30;

export interface OrderSplit {
  /** In the order of SPLIT_ORDERS. */
  readonly parts: readonly ComplexSignal[];
  /** Power of the output that no part explains, over the whole output. */
  readonly residualDb: number;
}

/**
 * Parts of `output`, same length as the drive, or null when the fit is singular (a drive of constant amplitude).
 * @param memoryDepth taps of the fit, at least 1.
 */
export function splitByOrder(
  drive: ComplexSignal,
  output: ComplexSignal,
  memoryDepth = SPLIT_MEMORY_DEPTH,
): OrderSplit | null {
  const x = scale(drive, 1 / Math.sqrt(meanPower(drive)));
  const structure = memoryPolynomialStructure(SPLIT_ORDERS, memoryDepth);
  const equations = accumulateNormalEquations(structure, x, output, 'whole');
  const parts: ComplexSignal[] = [];
  let lower = zeros(structure.terms.length);
  for (const order of SPLIT_ORDERS) {
    const terms = structure.terms.flatMap(({ nonlinearOrder }, i) => (nonlinearOrder <= order ? [i] : []));
    const fit = projectOn(equations, terms);
    if (fit === null) return null;
    parts.push(applyBasis(structure, addScaled(fit, { re: -1, im: 0 }, lower), x));
    lower = fit;
  }
  const rest = copy(output);
  for (const part of parts) subtractInPlace(rest, part);
  const residual = meanPower(rest) / meanPower(output);
  return { parts, residualDb: powerRatioToDb(Math.max(LEAST_RESIDUAL, residual)) };
}

function subtractInPlace(x: ComplexSignal, y: ComplexSignal): void {
  for (let n = 0; n < x.re.length; n++) {
    x.re[n] -= y.re[n];
    x.im[n] -= y.im[n];
  }
}

/** Coefficients of the fit by some of the terms, zero elsewhere; shape [termCount]. */
function projectOn({ gram, rightSide, termCount }: NormalEquations, terms: readonly number[]): ComplexSignal | null {
  const size = terms.length;
  const part = zeros(size * size);
  const target = zeros(size);
  terms.forEach((row, i) => {
    target.re[i] = rightSide.re[row];
    target.im[i] = rightSide.im[row];
    terms.forEach((column, j) => {
      part.re[i * size + j] = gram.re[row * termCount + column];
      part.im[i * size + j] = gram.im[row * termCount + column];
    });
  });
  const solution = solveByCholesky(part, target, 0);
  if (solution === null) return null;
  const out = zeros(termCount);
  terms.forEach((row, i) => {
    out.re[row] = solution.re[i];
    out.im[row] = solution.im[i];
  });
  return out;
}
