// A memoryless complex gain G as a function of the envelope power u, read from a table instead of computed per sample.
//
// Each octave of u is cut into 2^b equal parts, so that the leading binary digits of u name the part: with
// place = ⌊u·2^s⌋ and e the number of digits after its first one, octave = e − b and the part in it is place >> octave.
// Each part holds the polynomial of degree 5 in u − centre that interpolates G at its six Chebyshev points. For the knee
// (1 + u^p)^(−1/2p) and for u/(h + u) the nearest singularities are u = 0, u = −h and u^p = −1: parts of 1/(24·max(1, p))
// of an octave leave an error of a few 1e-15, so the table is as exact as the formula. Outside the range the formula itself
// is used. Source: Chebyshev interpolation error |f⁽⁶⁾|/6!·w⁶/2⁵, textbook.
import type { Complex } from '../dsp/complex.ts';

export interface EnvelopeGainTable {
  /** Centre, six real and six imaginary coefficients of each part, constant first. */
  readonly coefficients: Float64Array;
  /** The formula, for envelope powers outside the table. */
  readonly gainAt: (envelopePower: number) => Complex;
  /** The table ends below this envelope power. */
  readonly highestPower: number;
  /** 2^s: place = ⌊u·2^s⌋. */
  readonly placesPerPower: number;
  /** The table begins at this place; it is also the number of parts in an octave. */
  readonly lowestPlace: number;
  /** b: binary digits of a part's number within its octave. */
  readonly octaveBits: number;
}

const DEGREE = 5;
export const NUMBERS_PER_PART = 1 + 2 * (DEGREE + 1);
/** Amplitude 16: levelling alone goes there, no record stays. With it places just fit into 31 digits. */
const HIGHEST_POWER = 2 ** 8;
const PLACES_PER_POWER = 2 ** 23;
const PARTS_PER_OCTAVE = 24;
/** A knee this sharp would need a table beyond the processor's cache. */
const SHARPEST = 8;

/** The table of `gainAt`, whose sharpest feature is a knee of this sharpness; empty when that is too sharp. */
export function createEnvelopeGainTable(
  gainAt: (envelopePower: number) => Complex,
  sharpness: number,
): EnvelopeGainTable {
  const octaveBits = Math.ceil(Math.log2(PARTS_PER_OCTAVE * Math.max(1, Math.min(sharpness, SHARPEST))));
  const perOctave = 2 ** octaveBits;
  const octaveCount = sharpness > SHARPEST ? 0 : Math.log2((HIGHEST_POWER * PLACES_PER_POWER) / perOctave);
  const coefficients = new Float64Array(NUMBERS_PER_PART * octaveCount * perOctave);
  const nodes = Array.from({ length: DEGREE + 1 }, (_, i) => Math.cos((Math.PI * (i + 0.5)) / (DEGREE + 1)));
  const places = new Float64Array(DEGREE + 1);
  const re = new Float64Array(DEGREE + 1);
  const im = new Float64Array(DEGREE + 1);
  for (let part = 0; part < octaveCount * perOctave; part++) {
    const width = 2 ** (part >> octaveBits) / PLACES_PER_POWER;
    const centre = (perOctave + (part & (perOctave - 1)) + 0.5) * width;
    for (let i = 0; i <= DEGREE; i++) {
      places[i] = 0.5 * width * nodes[i];
      const gain = gainAt(centre + places[i]);
      re[i] = gain.re;
      im[i] = gain.im;
    }
    const at = NUMBERS_PER_PART * part;
    coefficients[at] = centre;
    coefficients.set(interpolationCoefficients(places, re), at + 1);
    coefficients.set(interpolationCoefficients(places, im), at + 2 + DEGREE);
  }
  return {
    coefficients,
    gainAt,
    highestPower: octaveCount === 0 ? 0 : HIGHEST_POWER,
    placesPerPower: PLACES_PER_POWER,
    lowestPlace: perOctave,
    octaveBits,
  };
}

/** Monomial coefficients, constant first, of the polynomial through (nodes[i], values[i]): Newton's divided differences. */
function interpolationCoefficients(nodes: Float64Array, values: Float64Array): Float64Array {
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
