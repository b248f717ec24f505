// A memoryless complex gain G as a function of L = ln u, u = |v|², read from a table instead of computed per sample.
//
// The range of L is cut into equal parts; each holds the polynomial of degree 5 that interpolates G at the part's six
// Chebyshev points. For the knee (1 + e^(pL))^(−1/2p) and for u/(h + u) the nearest singularity of G(L) lies π/p or π
// away from the real axis, so parts of 1/(32·max(1, p)) leave an error near 1e-15: the table is as exact as the formula.
// Outside the range the formula itself is used. Source: Chebyshev interpolation error |f⁽⁶⁾|/6!·w⁶/2⁵, textbook.
import type { Complex } from '../dsp/complex.ts';

export interface EnvelopeGainTable {
  readonly lowestLog: number;
  readonly partsPerUnit: number;
  readonly partCount: number;
  /** Six real, then six imaginary coefficients per part, constant first, in the part's variable −1 … 1. */
  readonly coefficients: Float64Array;
  /** The formula, for envelope powers outside the table. */
  readonly gainAt: (envelopePower: number) => Complex;
}

const DEGREE = 5;
export const NUMBERS_PER_PART = 2 * (DEGREE + 1);
/** u from 8e-7 to 400: a sample of a Gaussian record falls below it once in 10^5, none lies above. */
const LOG_RANGE = { lowest: -14, highest: 6 };
const PARTS_PER_UNIT = 32;
/** A knee this sharp would need a table beyond the processor's cache. */
const SHARPEST = 8;

/** The table of `gainAt`, whose sharpest feature is a knee of this sharpness; without parts when that is too sharp. */
export function createEnvelopeGainTable(
  gainAt: (envelopePower: number) => Complex,
  sharpness: number,
): EnvelopeGainTable {
  const partsPerUnit = Math.ceil(PARTS_PER_UNIT * Math.max(1, sharpness));
  const partCount = sharpness > SHARPEST ? 0 : (LOG_RANGE.highest - LOG_RANGE.lowest) * partsPerUnit;
  const coefficients = new Float64Array(NUMBERS_PER_PART * partCount);
  const nodes = Array.from({ length: DEGREE + 1 }, (_, i) => Math.cos((Math.PI * (i + 0.5)) / (DEGREE + 1)));
  const re = new Float64Array(DEGREE + 1);
  const im = new Float64Array(DEGREE + 1);
  for (let part = 0; part < partCount; part++) {
    nodes.forEach((node, i) => {
      const gain = gainAt(Math.exp(LOG_RANGE.lowest + (part + 0.5 + 0.5 * node) / partsPerUnit));
      re[i] = gain.re;
      im[i] = gain.im;
    });
    coefficients.set(interpolationCoefficients(nodes, re), NUMBERS_PER_PART * part);
    coefficients.set(interpolationCoefficients(nodes, im), NUMBERS_PER_PART * part + DEGREE + 1);
  }
  return { lowestLog: LOG_RANGE.lowest, partsPerUnit, partCount, coefficients, gainAt };
}

/** Monomial coefficients, constant first, of the polynomial through (nodes[i], values[i]): Newton's divided differences. */
function interpolationCoefficients(nodes: readonly number[], values: Float64Array): Float64Array {
  const differences = values.slice();
  for (let order = 1; order < nodes.length; order++) {
    for (let i = nodes.length - 1; i >= order; i--) {
      differences[i] = (differences[i] - differences[i - 1]) / (nodes[i] - nodes[i - order]);
    }
  }
  const polynomial = new Float64Array(nodes.length);
  for (let i = nodes.length - 1; i >= 0; i--) {
    for (let power = nodes.length - 1; power > 0; power--) {
      polynomial[power] = polynomial[power - 1] - nodes[i] * polynomial[power];
    }
    polynomial[0] = differences[i] - nodes[i] * polynomial[0];
  }
  return polynomial;
}
