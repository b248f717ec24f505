// The output split into linear, third-, fifth- and seventh-order parts, so that one sees where the shoulders come from.
//
// The output is fitted by a memory polynomial of the drive, then rewritten tap by tap on polynomials that are
// orthonormal for a Gaussian of the drive's variance; part k is Σ_m b_{m,k}·ψ_k(x[n−m]/σ). For a Gaussian drive the
// parts are uncorrelated and each has its own spectrum width; for a shaped drive this holds approximately.
import { accumulateNormalEquations } from '../basis/gram.ts';
import { applyBasis, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { orthonormalCoefficients, toOrthonormal } from '../basis/orthogonal.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { solveNormalEquations } from '../dsp/leastSquares.ts';

export const SPLIT_ORDERS = [1, 3, 5, 7] as const;
/** Taps of the fit: the amplifiers at hand settle within them. */
const SPLIT_MEMORY_DEPTH = 4;

/** Parts of `output` in the order of SPLIT_ORDERS, or null when the fit is singular (a drive of constant amplitude). */
export function splitByOrder(drive: ComplexSignal, output: ComplexSignal): ComplexSignal[] | null {
  const sigma = Math.sqrt(meanPower(drive));
  const x = scale(drive, 1 / sigma);
  const structure = memoryPolynomialStructure(SPLIT_ORDERS, SPLIT_MEMORY_DEPTH);
  const equations = accumulateNormalEquations(structure, x, output, 'whole');
  const solution = solveNormalEquations(equations.gram, equations.rightSide, 0);
  if (solution === null) return null;
  const orthonormal = tapByTap(solution.coefficients);
  return SPLIT_ORDERS.map((_, k) => applyBasis(structure, onlyOrder(orthonormal, k), x));
}

function tapByTap(coefficients: ComplexSignal): ComplexSignal[] {
  const count = SPLIT_ORDERS.length;
  return Array.from({ length: SPLIT_MEMORY_DEPTH }, (_, m) =>
    toOrthonormal({
      re: coefficients.re.slice(m * count, (m + 1) * count),
      im: coefficients.im.slice(m * count, (m + 1) * count),
    }),
  );
}

/** Back to powers of the envelope, keeping one ψ_k of every tap. */
function onlyOrder(orthonormal: readonly ComplexSignal[], k: number): ComplexSignal {
  const count = SPLIT_ORDERS.length;
  const out = zeros(count * SPLIT_MEMORY_DEPTH);
  const psi = orthonormalCoefficients(k);
  orthonormal.forEach((b, m) => {
    for (let j = 0; j <= k; j++) {
      out.re[m * count + j] = b.re[k] * psi[j];
      out.im[m * count + j] = b.im[k] * psi[j];
    }
  });
  return out;
}
