// Polynomial basis functions with memory, used by amplifier models and predistorters alike.
//
//   φ_i[n] = x[n−l_i] · |x[n−l_i−m_i]|^(k_i−1)        y[n] = Σ_i c_i · φ_i[n]
//
// l is the delay, m the envelope's extra delay (0 in a memory polynomial), k the nonlinear order. Records are
// periodic: indices wrap. Sources: memory polynomial, Ding et al. 2004, IEEE Trans. Commun. 52(1), eq. (11);
// cross terms, Morgan et al. 2006, IEEE Trans. Signal Process. 54(10), eq. (24) (structure from memory).
import { type ComplexSignal, type Samples, wrap, zeros } from '../dsp/complex.ts';

export interface BasisTerm {
  readonly delaySamples: number;
  readonly envelopeDelaySamples: number;
  readonly nonlinearOrder: number;
}

export interface BasisStructure {
  readonly terms: readonly BasisTerm[];
}

/**
 * Memory polynomial, delay by delay and in each order by order: with one depth for all the term index is
 * m·orderCount + k for delay m and order index k; with a depth for each order those that end before a delay are left out.
 * RangeError when depths and orders differ in number.
 */
export function memoryPolynomialStructure(
  nonlinearOrders: readonly number[],
  memoryDepth: number | readonly number[],
): BasisStructure {
  const depths = typeof memoryDepth === 'number' ? nonlinearOrders.map(() => memoryDepth) : memoryDepth;
  if (depths.length !== nonlinearOrders.length) {
    throw new RangeError(`memoryPolynomialStructure: ${depths.length} depths for ${nonlinearOrders.length} orders`);
  }
  const terms: BasisTerm[] = [];
  for (let delaySamples = 0; delaySamples < Math.max(...depths); delaySamples++) {
    nonlinearOrders.forEach((nonlinearOrder, k) => {
      if (delaySamples < depths[k]) terms.push({ delaySamples, envelopeDelaySamples: 0, nonlinearOrder });
    });
  }
  return { terms };
}

/** Samples of history (and look-ahead) that one output sample depends on, including the present one. */
export function memorySpan(structure: BasisStructure): number {
  let lowest = 0;
  let highest = 0;
  for (const { delaySamples, envelopeDelaySamples } of structure.terms) {
    const envelope = delaySamples + envelopeDelaySamples;
    lowest = Math.min(lowest, delaySamples, envelope);
    highest = Math.max(highest, delaySamples, envelope);
  }
  return highest - lowest + 1;
}

/** One delay pair's polynomial in the envelope: gain G(u) = Σ_j a_j·u^j with u = |x|² (even powers) or |x|. */
interface DelayGroup {
  readonly delaySamples: number;
  readonly envelopeDelaySamples: number;
  readonly re: number[];
  readonly im: number[];
}

function groupByDelay(structure: BasisStructure, coefficients: ComplexSignal, powerStep: 1 | 2): DelayGroup[] {
  const groups = new Map<string, DelayGroup>();
  structure.terms.forEach((term, i) => {
    const key = `${term.delaySamples}/${term.envelopeDelaySamples}`;
    const group = groups.get(key) ?? {
      delaySamples: term.delaySamples,
      envelopeDelaySamples: term.envelopeDelaySamples,
      re: [],
      im: [],
    };
    groups.set(key, group);
    const power = (term.nonlinearOrder - 1) / powerStep;
    while (group.re.length <= power) {
      group.re.push(0);
      group.im.push(0);
    }
    group.re[power] += coefficients.re[i];
    group.im[power] += coefficients.im[i];
  });
  return [...groups.values()];
}

/** The step in which powers of the envelope rise: 2 when only odd orders occur, so that no root is needed. */
export function envelopePowerStep(structure: BasisStructure): 1 | 2 {
  return structure.terms.every((term) => term.nonlinearOrder & 1) ? 2 : 1;
}

/** |x|² or |x|, as the structure's orders need. */
export function envelopeOf(x: ComplexSignal, powerStep: 1 | 2): Samples {
  const u = new Float64Array(x.re.length);
  for (let n = 0; n < u.length; n++) u[n] = x.re[n] * x.re[n] + x.im[n] * x.im[n];
  if (powerStep === 1) for (let n = 0; n < u.length; n++) u[n] = Math.sqrt(u[n]);
  return u;
}

/**
 * Σ_i c_i·φ_i over a periodic record, as a new record.
 * Coefficients: shape [termCount]. Throws RangeError when counts disagree.
 */
export function applyBasis(structure: BasisStructure, coefficients: ComplexSignal, x: ComplexSignal): ComplexSignal {
  if (coefficients.re.length !== structure.terms.length) {
    throw new RangeError(`applyBasis: ${coefficients.re.length} coefficients for ${structure.terms.length} terms`);
  }
  const powerStep = envelopePowerStep(structure);
  const u = envelopeOf(x, powerStep);
  const out = zeros(x.re.length);
  for (const group of groupByDelay(structure, coefficients, powerStep)) {
    // Short polynomials are written out: a loop takes twice as long.
    const add = group.re.length <= 4 ? addFour : group.re.length <= 8 ? addEight : addAny;
    for (const part of unwrappedParts(group, u.length)) add(part, x, u, out);
  }
  return out;
}

/** A group over a range of output samples in which neither delay wraps: it reads x[n + source] and u[n + envelope]. */
interface Part {
  readonly from: number;
  readonly to: number;
  readonly source: number;
  readonly envelope: number;
  readonly re: readonly number[];
  readonly im: readonly number[];
}

function unwrappedParts({ delaySamples, envelopeDelaySamples, re, im }: DelayGroup, length: number): Part[] {
  const source = wrap(-delaySamples, length);
  const envelope = wrap(-delaySamples - envelopeDelaySamples, length);
  const ends = [length - source, length - envelope, length].sort((a, b) => a - b);
  const shift = (start: number, from: number) => (from < length - start ? start : start - length);
  return ends.map((to, i) => {
    const from = i === 0 ? 0 : ends[i - 1];
    return { from, to, source: shift(source, from), envelope: shift(envelope, from), re, im };
  });
}

/** out[n] += x[n−l]·G(u[n−l−m]), by Horner's rule. */
function addFour(part: Part, x: ComplexSignal, u: Samples, out: ComplexSignal): void {
  const { re: xRe, im: xIm } = x;
  const { re: yRe, im: yIm } = out;
  const { to, source, envelope } = part;
  const [a0 = 0, a1 = 0, a2 = 0, a3 = 0] = part.re;
  const [b0 = 0, b1 = 0, b2 = 0, b3 = 0] = part.im;
  for (let n = part.from; n < to; n++) {
    const t = u[n + envelope];
    const re = a0 + t * (a1 + t * (a2 + t * a3));
    const im = b0 + t * (b1 + t * (b2 + t * b3));
    const p = xRe[n + source];
    const q = xIm[n + source];
    yRe[n] += p * re - q * im;
    yIm[n] += p * im + q * re;
  }
}

function addEight(part: Part, x: ComplexSignal, u: Samples, out: ComplexSignal): void {
  const { re: xRe, im: xIm } = x;
  const { re: yRe, im: yIm } = out;
  const { to, source, envelope } = part;
  const [a0 = 0, a1 = 0, a2 = 0, a3 = 0, a4 = 0, a5 = 0, a6 = 0, a7 = 0] = part.re;
  const [b0 = 0, b1 = 0, b2 = 0, b3 = 0, b4 = 0, b5 = 0, b6 = 0, b7 = 0] = part.im;
  for (let n = part.from; n < to; n++) {
    const t = u[n + envelope];
    const re = a0 + t * (a1 + t * (a2 + t * (a3 + t * (a4 + t * (a5 + t * (a6 + t * a7))))));
    const im = b0 + t * (b1 + t * (b2 + t * (b3 + t * (b4 + t * (b5 + t * (b6 + t * b7))))));
    const p = xRe[n + source];
    const q = xIm[n + source];
    yRe[n] += p * re - q * im;
    yIm[n] += p * im + q * re;
  }
}

function addAny(part: Part, x: ComplexSignal, u: Samples, out: ComplexSignal): void {
  const gRe = Float64Array.from(part.re);
  const gIm = Float64Array.from(part.im);
  const top = gRe.length - 1;
  for (let n = part.from; n < part.to; n++) {
    const t = u[n + part.envelope];
    let re = gRe[top];
    let im = gIm[top];
    for (let j = top - 1; j >= 0; j--) {
      re = re * t + gRe[j];
      im = im * t + gIm[j];
    }
    const p = x.re[n + part.source];
    const q = x.im[n + part.source];
    out.re[n] += p * re - q * im;
    out.im[n] += p * im + q * re;
  }
}
