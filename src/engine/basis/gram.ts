// Normal equations of a polynomial basis with memory, accumulated without a regressor matrix.
//
// Column i is φ_i[n] = ψ_p[n−l], ψ_p[n] = x[n]·r_p[n], r_p[n] = |x[n−m]|^(k−1) real. Hence
//   G_ij = Σ_n conj(φ_i[n])·φ_j[n] = Σ_n z_d[n]·r_p[n]·r_q[n−d],   z_d[n] = conj(x[n])·x[n−d],   d = l_j − l_i,
// and over a whole periodic record G depends on the delay difference only: (depth) products in place of depth²/2,
// and the r are real, which halves each. Method: performance notes of the project, structured Gram matrix.
// Over a window of the record the shifted sums differ at both ends, so every delay pair is summed by itself.
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import type { BasisStructure } from './memoryPolynomial.ts';
import { wrap } from './memoryPolynomial.ts';

/** Hermitian G (row by row, [termCount × termCount]) and right-hand side Φᴴu [termCount]. */
export interface NormalEquations {
  readonly gram: ComplexSignal;
  readonly rightSide: ComplexSignal;
  readonly termCount: number;
  readonly sampleCount: number;
}

/** A run of consecutive samples of a periodic record; it may wrap. */
export interface SampleWindow {
  readonly startSample: number;
  readonly sampleCount: number;
}

/** Samples in one block: the work arrays of a block stay in the first-level cache. */
const BLOCK = 1024;

/** The record with wrapped margins, and the envelope's powers, so that loops index without wrapping. */
interface Extended {
  readonly margin: number;
  readonly x: ComplexSignal;
  /** One array per distinct order. */
  readonly powers: readonly Samples[];
  readonly orders: readonly number[];
}

interface DelayedTerm {
  readonly index: number;
  readonly delay: number;
  readonly envelopeDelay: number;
  readonly orderIndex: number;
}

/**
 * Normal equations for minimising Σ_n |u[n] − Σ_i c_i·φ_i[n]|² over a periodic record or a window of it.
 * x: regressor input; u: target, same length.
 */
export function accumulateNormalEquations(
  structure: BasisStructure,
  x: ComplexSignal,
  u: ComplexSignal,
  window: SampleWindow | 'whole',
): NormalEquations {
  const length = x.re.length;
  if (u.re.length !== length) throw new RangeError(`gram: input of ${length} and target of ${u.re.length} samples`);
  const extended = extend(structure, x);
  const terms = structure.terms.map((term, index) => ({
    index,
    delay: term.delaySamples,
    envelopeDelay: term.envelopeDelaySamples,
    orderIndex: extended.orders.indexOf(term.nonlinearOrder),
  }));
  const termCount = terms.length;
  const gram = zeros(termCount * termCount);
  const byDelay = groupByDelay(terms);
  if (window === 'whole') fillWhole(byDelay, extended, length, gram, termCount);
  else fillWindow(byDelay, extended, length, window, gram, termCount);
  mirror(gram, termCount);
  const rightSide = zeros(termCount);
  const range = window === 'whole' ? { startSample: 0, sampleCount: length } : window;
  for (const group of byDelay) fillRightSide(group, extended, u, range, rightSide);
  return { gram, rightSide, termCount, sampleCount: range.sampleCount };
}

function extend(structure: BasisStructure, x: ComplexSignal): Extended {
  let margin = 0;
  for (const { delaySamples: l, envelopeDelaySamples: m } of structure.terms) {
    margin = Math.max(margin, Math.abs(l), Math.abs(m), Math.abs(l + m));
  }
  // Twice: a delayed product reaches one delay further than a single column.
  margin = 2 * margin;
  const length = x.re.length;
  const size = length + 2 * margin;
  const wide = zeros(size);
  const envelope = new Float64Array(size);
  let source = wrap(-margin, length);
  for (let n = 0; n < size; n++) {
    const re = x.re[source];
    const im = x.im[source];
    wide.re[n] = re;
    wide.im[n] = im;
    envelope[n] = re * re + im * im;
    if (++source === length) source = 0;
  }
  const orders = [...new Set(structure.terms.map((term) => term.nonlinearOrder))].sort((a, b) => a - b);
  return { margin, x: wide, orders, powers: orders.map((order) => envelopePower(envelope, order - 1)) };
}

/** |x|^power from |x|². */
function envelopePower(envelope: Samples, power: number): Samples {
  const out = new Float64Array(envelope.length).fill(1);
  for (let j = 0; j < power >> 1; j++) for (let n = 0; n < out.length; n++) out[n] *= envelope[n];
  if (power & 1) for (let n = 0; n < out.length; n++) out[n] *= Math.sqrt(envelope[n]);
  return out;
}

function groupByDelay(terms: readonly DelayedTerm[]): DelayedTerm[][] {
  const groups = new Map<number, DelayedTerm[]>();
  for (const term of terms) groups.set(term.delay, [...(groups.get(term.delay) ?? []), term]);
  return [...groups.values()].sort((a, b) => a[0].delay - b[0].delay);
}

/** Whole period: one sum per pair of base functions and delay difference, copied to every delay pair that shares it. */
function fillWhole(
  byDelay: DelayedTerm[][],
  extended: Extended,
  length: number,
  gram: ComplexSignal,
  size: number,
): void {
  const known = new Map<string, { re: number; im: number }>();
  for (const rows of byDelay) {
    for (const columns of byDelay) {
      const difference = columns[0].delay - rows[0].delay;
      if (difference < 0) continue;
      const missingRows = rows.filter((row) => columns.some((column) => !known.has(pairKey(row, column, difference))));
      if (missingRows.length > 0) {
        const sums = sumPairs(missingRows, columns, 0, difference, extended, 0, length);
        missingRows.forEach((row, i) => {
          columns.forEach((column, j) => {
            const at = i * columns.length + j;
            known.set(pairKey(row, column, difference), { re: sums.re[at], im: sums.im[at] });
          });
        });
      }
      for (const row of rows) {
        for (const column of columns) {
          const value = known.get(pairKey(row, column, difference)) as { re: number; im: number };
          gram.re[row.index * size + column.index] = value.re;
          gram.im[row.index * size + column.index] = value.im;
        }
      }
    }
  }
}

function pairKey(row: DelayedTerm, column: DelayedTerm, difference: number): string {
  return `${difference}:${row.envelopeDelay}/${row.orderIndex}:${column.envelopeDelay}/${column.orderIndex}`;
}

function fillWindow(
  byDelay: DelayedTerm[][],
  extended: Extended,
  length: number,
  window: SampleWindow,
  gram: ComplexSignal,
  size: number,
): void {
  for (const rows of byDelay) {
    for (const columns of byDelay) {
      const difference = columns[0].delay - rows[0].delay;
      if (difference < 0) continue;
      const sums = zeros(rows.length * columns.length);
      for (const [from, to] of pieces(window, length)) {
        const part = sumPairs(rows, columns, rows[0].delay, difference, extended, from, to);
        for (let i = 0; i < part.re.length; i++) {
          sums.re[i] += part.re[i];
          sums.im[i] += part.im[i];
        }
      }
      rows.forEach((row, i) => {
        columns.forEach((column, j) => {
          gram.re[row.index * size + column.index] = sums.re[i * columns.length + j];
          gram.im[row.index * size + column.index] = sums.im[i * columns.length + j];
        });
      });
    }
  }
}

/** A window as one or two unwrapped ranges. */
function pieces(window: SampleWindow, length: number): [number, number][] {
  const start = wrap(window.startSample, length);
  const end = start + window.sampleCount;
  return end <= length
    ? [[start, end]]
    : [
        [start, length],
        [0, end - length],
      ];
}

/**
 * Σ_{n=from}^{to−1} conj(ψ_p[n−delay])·ψ_q[n−delay−difference] for all rows p and columns q.
 * Result row by row, [rowCount × columnCount].
 */
function sumPairs(
  rows: readonly DelayedTerm[],
  columns: readonly DelayedTerm[],
  delay: number,
  difference: number,
  extended: Extended,
  from: number,
  to: number,
): ComplexSignal {
  const { x, powers, margin } = extended;
  const out = zeros(rows.length * columns.length);
  const z = zeros(BLOCK);
  const w = zeros(BLOCK);
  for (let start = from; start < to; start += BLOCK) {
    const count = Math.min(BLOCK, to - start);
    const base = start - delay + margin;
    correlateInto(x, base, base - difference, count, z);
    for (let i = 0; i < rows.length; i++) {
      weightInto(z, powers[rows[i].orderIndex], base - rows[i].envelopeDelay, count, w);
      for (let j = 0; j < columns.length; j++) {
        const r = powers[columns[j].orderIndex];
        const offset = base - difference - columns[j].envelopeDelay;
        const at = i * columns.length + j;
        out.re[at] += dot(w.re, r, offset, count);
        if (difference !== 0) out.im[at] += dot(w.im, r, offset, count);
      }
    }
  }
  return out;
}

/** z[k] = conj(x[a+k])·x[b+k]. */
function correlateInto(x: ComplexSignal, a: number, b: number, count: number, z: ComplexSignal): void {
  for (let k = 0; k < count; k++) {
    const aRe = x.re[a + k];
    const aIm = x.im[a + k];
    const bRe = x.re[b + k];
    const bIm = x.im[b + k];
    z.re[k] = aRe * bRe + aIm * bIm;
    z.im[k] = aRe * bIm - aIm * bRe;
  }
}

function weightInto(z: ComplexSignal, r: Samples, offset: number, count: number, w: ComplexSignal): void {
  for (let k = 0; k < count; k++) {
    const weight = r[offset + k];
    w.re[k] = z.re[k] * weight;
    w.im[k] = z.im[k] * weight;
  }
}

/** Four partial sums: the additions of one would wait for each other. */
function dot(w: Samples, r: Samples, offset: number, count: number): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < count; k += 4) {
    s0 += w[k] * r[offset + k];
    s1 += w[k + 1] * r[offset + k + 1];
    s2 += w[k + 2] * r[offset + k + 2];
    s3 += w[k + 3] * r[offset + k + 3];
  }
  for (; k < count; k++) s0 += w[k] * r[offset + k];
  return s0 + s1 + (s2 + s3);
}

function mirror(gram: ComplexSignal, size: number): void {
  // Only differences ≥ 0 were summed; the others follow from G_ji = conj(G_ij).
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      const at = i * size + j;
      const other = j * size + i;
      if (gram.re[at] === 0 && gram.im[at] === 0) {
        gram.re[at] = gram.re[other];
        gram.im[at] = -gram.im[other];
      }
    }
  }
}

function fillRightSide(
  group: readonly DelayedTerm[],
  extended: Extended,
  u: ComplexSignal,
  range: SampleWindow,
  rightSide: ComplexSignal,
): void {
  const { x, powers, margin } = extended;
  const delay = group[0].delay;
  const z = zeros(BLOCK);
  for (const [from, to] of pieces(range, u.re.length)) {
    for (let start = from; start < to; start += BLOCK) {
      const count = Math.min(BLOCK, to - start);
      const base = start - delay + margin;
      for (let k = 0; k < count; k++) {
        const xRe = x.re[base + k];
        const xIm = x.im[base + k];
        const uRe = u.re[start + k];
        const uIm = u.im[start + k];
        z.re[k] = xRe * uRe + xIm * uIm;
        z.im[k] = xRe * uIm - xIm * uRe;
      }
      for (const term of group) {
        const r = powers[term.orderIndex];
        rightSide.re[term.index] += dot(z.re, r, base - term.envelopeDelay, count);
        rightSide.im[term.index] += dot(z.im, r, base - term.envelopeDelay, count);
      }
    }
  }
}

/** The columns themselves, [term][sample] over a window: for QR, never for the normal equations. */
export function regressorColumns(structure: BasisStructure, x: ComplexSignal, window: SampleWindow): ComplexSignal[] {
  const extended = extend(structure, x);
  const { margin, orders, powers } = extended;
  const length = x.re.length;
  return structure.terms.map((term) => {
    const r = powers[orders.indexOf(term.nonlinearOrder)];
    const column = zeros(window.sampleCount);
    for (let k = 0; k < window.sampleCount; k++) {
      const n = wrap(window.startSample + k, length) - term.delaySamples + margin;
      const weight = r[n - term.envelopeDelaySamples];
      column.re[k] = extended.x.re[n] * weight;
      column.im[k] = extended.x.im[n] * weight;
    }
    return column;
  });
}
