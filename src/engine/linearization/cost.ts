// What a predistorter structure costs in logic, read off its terms.
//
// Table form: each (delay, envelope delay) pair is one table of complex gain against the envelope, so a sample costs one
// complex multiplication (4 real) a pair and |x|² (2 real) once. Source: common practice, no source; 7th order × 3 taps
// gives 3 complex multiplications and the magnitude, 14 real ones (hand-outs, product.md F24).
//
// Term by term, in floating-point operations (complex · complex 6, complex + complex 2, complex · real 2, |x|² 3):
//   filtering     R complex multiplications and R − 1 additions, 8·R − 2 for R coefficients
//   new terms     |x|² once; each further power of the envelope one multiplication; each x·|x|^(k−1) one complex · real.
//                 Odd orders up to 5: 3 + 2 + 1 + 2 = 8. Even orders need |x|, a square root, counted as one operation.
// Delayed terms are stored, not made again; a cross term is new once for each of its envelope delays.
// Source: Tehrani et al. 2010, IEEE Trans. Microw. Theory Tech. 58(6), from memory; 8·R − 2 is arithmetic.
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import type { BasisStructure } from '../basis/memoryPolynomial.ts';

const REAL_PER_COMPLEX = 4;
const REAL_FOR_MAGNITUDE = 2;
/** 16-bit real and imaginary parts. */
const BYTES_PER_COEFFICIENT = 4;

export function costOf(structure: BasisStructure): StructureCost {
  const pairs = new Set(structure.terms.map((term) => `${term.delaySamples}/${term.envelopeDelaySamples}`));
  const coefficientCount = structure.terms.length;
  return {
    coefficientCount,
    realMultipliesPerSample: REAL_PER_COMPLEX * pairs.size + REAL_FOR_MAGNITUDE,
    tableCount: pairs.size,
    bytesPerSet: BYTES_PER_COEFFICIENT * coefficientCount,
    floatingPointOperationsPerSample: filteringOperations(coefficientCount) + newTermOperations(structure),
  };
}

const FLOATING_COMPLEX_PRODUCT = 6;
const FLOATING_COMPLEX_SUM = 2;
const FLOATING_SCALED = 2;
const FLOATING_SQUARED_MAGNITUDE = 3;

/** Operations of the weighted sum of this many terms, one or more: 8·R − 2. */
export function filteringOperations(coefficientCount: number): number {
  return FLOATING_COMPLEX_PRODUCT * coefficientCount + FLOATING_COMPLEX_SUM * (coefficientCount - 1);
}

/** Operations that make the terms which a new sample brings; all others are delayed copies of them. */
export function newTermOperations({ terms }: BasisStructure): number {
  const bent = terms.filter(({ nonlinearOrder }) => nonlinearOrder > 1);
  if (bent.length === 0) return 0;
  const products = new Set(bent.map((term) => `${term.envelopeDelaySamples}/${term.nonlinearOrder}`));
  return FLOATING_SQUARED_MAGNITUDE + powerOperations(bent) + FLOATING_SCALED * products.size;
}

/** Powers |x|^(k−1) from |x|²: |x|⁴, |x|⁶, … up to the highest, one each; odd ones from |x| and the power below. */
function powerOperations(terms: BasisStructure['terms']): number {
  const powers = new Set(terms.map(({ nonlinearOrder }) => nonlinearOrder - 1));
  const highestEven = Math.max(...[...powers].map((power) => power - (power % 2)));
  const odd = [...powers].filter((power) => power % 2 === 1);
  const squareRoot = odd.length > 0 ? 1 : 0;
  const oddProducts = odd.filter((power) => power > 1).length;
  return Math.max(0, highestEven / 2 - 1) + squareRoot + oddProducts;
}

/**
 * Physical multipliers when each serves as many multiplications per sample as clock cycles fit into one sample.
 * RangeError for a rate or clock that is not positive.
 */
export function physicalMultiplierCount(cost: StructureCost, sampleRateHz: number, clockHz: number): number {
  if (!(sampleRateHz > 0) || !(clockHz > 0)) {
    throw new RangeError(
      `physicalMultiplierCount: sample rate ${sampleRateHz} Hz and clock ${clockHz} Hz must be positive`,
    );
  }
  return Math.ceil((cost.realMultipliesPerSample * sampleRateHz) / clockHz);
}
