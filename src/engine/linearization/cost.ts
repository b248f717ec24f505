// What a predistorter structure costs in logic, read off its terms.
//
// Table form: each (delay, envelope delay) pair is one table of complex gain against the envelope, so a sample costs one
// complex multiplication (4 real) a pair and |x|² (2 real) once. Source: common practice, no source; 7th order × 3 taps
// gives 3 complex multiplications and the magnitude, 14 real ones (hand-outs, product.md F24).
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
  };
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
