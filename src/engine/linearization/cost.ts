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
import type { NumberFormatSettings } from '../../../shared/schema/scenario.ts';
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import type { BasisStructure } from '../basis/memoryPolynomial.ts';

const REAL_PER_COMPLEX = 4;
const REAL_FOR_MAGNITUDE = 2;
/** A straight line between two complex entries: entry + share·difference. */
const REAL_FOR_INTERPOLATION = 2;
/** Bits of real and of imaginary part where no word is stated. */
const USUAL_BIT_COUNT = 16;

/** Word and table of the logic; null where neither is stated. */
type Numbers = Pick<NumberFormatSettings, 'coefficientBitCount' | 'tableEntryCount' | 'tableInterpolation'> | null;

/**
 * Cost of a polynomial. A set stored is its coefficients, or the gain tables' entries where a table stands for the
 * polynomial; the words are those of the number format, 16 bit where none is stated.
 */
export function costOf(structure: BasisStructure, numbers: Numbers = null): StructureCost {
  const pairs = new Set(structure.terms.map((term) => `${term.delaySamples}/${term.envelopeDelaySamples}`));
  const coefficientCount = structure.terms.length;
  const entryCount = numbers === null || numbers.tableEntryCount === 'none' ? null : numbers.tableEntryCount;
  const interpolates = entryCount !== null && numbers?.tableInterpolation === 'linear';
  const perPair = REAL_PER_COMPLEX + (interpolates ? REAL_FOR_INTERPOLATION : 0);
  return {
    coefficientCount,
    realMultipliesPerSample: perPair * pairs.size + REAL_FOR_MAGNITUDE,
    tableCount: pairs.size,
    bytesPerSet: bytesOf(entryCount === null ? coefficientCount : entryCount * pairs.size, numbers),
    floatingPointOperationsPerSample: filteringOperations(coefficientCount) + newTermOperations(structure),
  };
}

/** Bytes of so many complex words. */
function bytesOf(wordCount: number, numbers: Numbers): number {
  const bits = numbers?.coefficientBitCount ?? 'double';
  return Math.ceil((2 * wordCount * (bits === 'double' ? USUAL_BIT_COUNT : bits)) / 8);
}

/**
 * Cost of an envelope table with one table a tap. A sample costs one complex multiplication a tap, the magnitude once,
 * and two real multiplications a tap between entries. In floating point: |x|² 3, its root and the step 1 each, then a tap
 * 2 for its share of the sum, 6 for the product and, between entries, 6 for the line (two differences, products, sums).
 */
export function tableCostOf(
  table: { entryCount: number; memoryDepth: number; interpolation: 'linear' | 'nearest' },
  numbers: Numbers = null,
): StructureCost {
  const { entryCount, memoryDepth, interpolation } = table;
  const line = interpolation === 'linear' ? 1 : 0;
  const coefficientCount = entryCount * memoryDepth;
  const magnitude = FLOATING_SQUARED_MAGNITUDE + 2;
  return {
    coefficientCount,
    realMultipliesPerSample: (REAL_PER_COMPLEX + line * REAL_FOR_INTERPOLATION) * memoryDepth + REAL_FOR_MAGNITUDE,
    tableCount: memoryDepth,
    bytesPerSet: bytesOf(coefficientCount, numbers),
    floatingPointOperationsPerSample: magnitude + filteringOperations(memoryDepth) + line * FLOATING_LINE * memoryDepth,
  };
}

/** Two differences, two products, two sums. */
const FLOATING_LINE = 6;
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
