// Normal equations of a polynomial basis with memory, accumulated without a regressor matrix.
//
// Column i is φ_i[n] = x[n−l]·|x[n−l−m]|^(k−1). With u = |x|² (|x| where even orders occur) the envelope's factor is a
// power of u, and all terms of one delay pair (l, m) form a branch. Between the branches (l, m) and (l', m'), d = l' − l:
//   G = Σ_n z_d[n−l]·u[n−l−m]^p·u[n−l'−m']^q,   z_d[n] = conj(x[n])·x[n−d]
// Over a whole periodic record G depends on d only, not on l: (depth) products in place of depth²/2, and the u are real,
// which halves each. A row's sums for all q come from one loop, by multiplying with u from one to the next. Within one
// branch the sums depend on p + q alone. Method: performance notes of the project, structured Gram matrix, chain form.
// Over a window of the record the shifted sums differ at both ends, so every pair is summed by itself.
import { type ComplexSignal, type Samples, wrap, zeros } from '../dsp/complex.ts';
import { type BasisStructure, envelopeOf, envelopePowerStep } from './memoryPolynomial.ts';
import { addPowerSums, multiplyInto } from './powerSums.ts';

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
export const BLOCK = 1024;

/** The record and its envelope with wrapped margins, so that loops index without wrapping. */
export interface Extended {
  readonly margin: number;
  readonly x: ComplexSignal;
  readonly envelope: Samples;
}

/** The terms of one delay pair. */
interface Branch {
  readonly delay: number;
  readonly envelopeDelay: number;
  /** Place in the matrix and power of u. */
  readonly terms: readonly { readonly index: number; readonly power: number }[];
  /** Powers 0 … powerCount − 1 are summed, also those between that no term asks for. */
  readonly powerCount: number;
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
  const branches = branchesOf(structure);
  const termCount = structure.terms.length;
  const range = window === 'whole' ? { startSample: 0, sampleCount: length } : window;
  const spans = window === 'whole' ? null : pieces(window, length);
  const gram = gramOf(branches, extended, length, spans, termCount);
  const rightSide = zeros(termCount);
  for (const branch of branches) fillRightSide(branch, extended, u, pieces(range, length), rightSide);
  return { gram, rightSide, termCount, sampleCount: range.sampleCount };
}

export function extend(structure: BasisStructure, x: ComplexSignal): Extended {
  let margin = 0;
  for (const { delaySamples: l, envelopeDelaySamples: m } of structure.terms) {
    margin = Math.max(margin, Math.abs(l), Math.abs(m), Math.abs(l + m));
  }
  // Twice: a delayed product reaches one delay further than a single column.
  margin = 2 * margin;
  const wide = { re: widen(x.re, margin), im: widen(x.im, margin) };
  return { margin, x: wide, envelope: envelopeOf(wide, envelopePowerStep(structure)) };
}

/** A period with `margin` samples of its neighbours on either side. */
function widen(values: Samples, margin: number): Samples {
  const length = values.length;
  const out = new Float64Array(length + 2 * margin);
  out.set(values, margin);
  for (let i = 0; i < margin; i++) {
    out[i] = values[wrap(i - margin, length)];
    out[margin + length + i] = values[i % length];
  }
  return out;
}

function branchesOf(structure: BasisStructure): Branch[] {
  const step = envelopePowerStep(structure);
  const branches = new Map<
    string,
    { delay: number; envelopeDelay: number; terms: { index: number; power: number }[] }
  >();
  structure.terms.forEach(({ delaySamples: delay, envelopeDelaySamples: envelopeDelay, nonlinearOrder }, index) => {
    const key = `${delay}/${envelopeDelay}`;
    const branch = branches.get(key) ?? { delay, envelopeDelay, terms: [] };
    branch.terms.push({ index, power: (nonlinearOrder - 1) / step });
    branches.set(key, branch);
  });
  return [...branches.values()]
    .map((branch) => ({ ...branch, powerCount: 1 + Math.max(...branch.terms.map((term) => term.power)) }))
    .sort((a, b) => a.delay - b.delay);
}

/** G over the spans, or over the whole period (null): then pairs that differ in their delays alone share their sums. */
function gramOf(
  branches: readonly Branch[],
  extended: Extended,
  length: number,
  spans: readonly Span[] | null,
  size: number,
): ComplexSignal {
  const gram = zeros(size * size);
  const known = new Map<string, ComplexSignal>();
  branches.forEach((row, i) => {
    for (const column of branches.slice(i)) {
      const difference = column.delay - row.delay;
      const key = `${difference}:${row.envelopeDelay}^${row.powerCount}:${column.envelopeDelay}^${column.powerCount}`;
      let sums = spans === null ? known.get(key) : undefined;
      sums ??= pairSums(row, column, spans === null ? 0 : row.delay, extended, spans ?? [[0, length]]);
      known.set(key, sums);
      place(sums, row, column, gram, size);
    }
  });
  return gram;
}

/** Entries of a pair of branches and their mirror images, G_ji = conj(G_ij). */
function place(sums: ComplexSignal, row: Branch, column: Branch, gram: ComplexSignal, size: number): void {
  for (const a of row.terms) {
    for (const b of column.terms) {
      const from = a.power * column.powerCount + b.power;
      gram.re[a.index * size + b.index] = gram.re[b.index * size + a.index] = sums.re[from];
      gram.im[a.index * size + b.index] = sums.im[from];
      gram.im[b.index * size + a.index] = -sums.im[from];
    }
  }
}

/** From the first to the one after the last sample of a run that does not wrap. */
export type Span = readonly [number, number];

/** A window as one or two unwrapped runs. */
export function pieces(window: SampleWindow, length: number): Span[] {
  const start = wrap(window.startSample, length);
  const end = start + window.sampleCount;
  return end <= length
    ? [[start, end]]
    : [
        [start, length],
        [0, end - length],
      ];
}

/** The spans cut into blocks, each as its start and its length. */
export function blocksOf(spans: readonly Span[]): Span[] {
  return spans.flatMap(([from, to]) =>
    Array.from({ length: Math.ceil((to - from) / BLOCK) }, (_, i): Span => {
      const start = from + i * BLOCK;
      return [start, Math.min(BLOCK, to - start)];
    }),
  );
}

/** Σ_n conj(ψ_p[n−delay])·ψ_q[n−delay−difference] for all powers p of the row and q of the column, row by row. */
function pairSums(
  row: Branch,
  column: Branch,
  delay: number,
  extended: Extended,
  spans: readonly Span[],
): ComplexSignal {
  if (row === column) return ownSums(row, delay, extended, spans);
  const { margin } = extended;
  const sums = zeros(row.powerCount * column.powerCount);
  const z = zeros(BLOCK);
  for (const [start, count] of blocksOf(spans))
    addPairBlock(row, column, extended, start - delay + margin, count, z, sums);
  return sums;
}

function addPairBlock(
  row: Branch,
  column: Branch,
  { x, envelope }: Extended,
  base: number,
  count: number,
  z: ComplexSignal,
  sums: ComplexSignal,
): void {
  const difference = column.delay - row.delay;
  const columnStart = base - difference - column.envelopeDelay;
  correlateInto(x, base, x, base - difference, count, z);
  for (let p = 0; p < row.powerCount; p++) {
    const at = p * column.powerCount;
    if (p > 0) multiplyInto(z.re, envelope, base - row.envelopeDelay, count);
    addPowerSums(z.re, envelope, columnStart, count, sums.re, at, column.powerCount);
    // Without a delay between them the product is |x|², which is real.
    if (difference === 0) continue;
    if (p > 0) multiplyInto(z.im, envelope, base - row.envelopeDelay, count);
    addPowerSums(z.im, envelope, columnStart, count, sums.im, at, column.powerCount);
  }
}

/** A branch with itself: Σ |x|²·u^(p+q), one sum for each p + q. */
function ownSums(
  branch: Branch,
  delay: number,
  { x, envelope, margin }: Extended,
  spans: readonly Span[],
): ComplexSignal {
  const count = branch.powerCount;
  const byPower = new Float64Array(2 * count - 1);
  const z = zeros(BLOCK);
  for (const [start, length] of blocksOf(spans)) {
    const base = start - delay + margin;
    correlateInto(x, base, x, base, length, z);
    addPowerSums(z.re, envelope, base - branch.envelopeDelay, length, byPower, 0, byPower.length);
  }
  const sums = zeros(count * count);
  for (let p = 0; p < count; p++) sums.re.set(byPower.subarray(p, p + count), p * count);
  return sums;
}

/** z[k] = conj(x[a+k])·y[b+k]. */
export function correlateInto(
  x: ComplexSignal,
  a: number,
  y: ComplexSignal,
  b: number,
  count: number,
  z: ComplexSignal,
): void {
  const { re: xRe, im: xIm } = x;
  const { re: yRe, im: yIm } = y;
  const { re: zRe, im: zIm } = z;
  for (let k = 0; k < count; k++) {
    zRe[k] = xRe[a + k] * yRe[b + k] + xIm[a + k] * yIm[b + k];
    zIm[k] = xRe[a + k] * yIm[b + k] - xIm[a + k] * yRe[b + k];
  }
}

function fillRightSide(
  branch: Branch,
  { x, envelope, margin }: Extended,
  target: ComplexSignal,
  spans: readonly Span[],
  rightSide: ComplexSignal,
): void {
  const sums = zeros(branch.powerCount);
  const z = zeros(BLOCK);
  for (const [start, count] of blocksOf(spans)) {
    const base = start - branch.delay + margin;
    correlateInto(x, base, target, start, count, z);
    addPowerSums(z.re, envelope, base - branch.envelopeDelay, count, sums.re, 0, branch.powerCount);
    addPowerSums(z.im, envelope, base - branch.envelopeDelay, count, sums.im, 0, branch.powerCount);
  }
  for (const { index, power } of branch.terms) {
    rightSide.re[index] = sums.re[power];
    rightSide.im[index] = sums.im[power];
  }
}

/** The columns themselves, [term][sample] over a window: for QR, never for the normal equations. */
export function regressorColumns(structure: BasisStructure, x: ComplexSignal, window: SampleWindow): ComplexSignal[] {
  const { margin, x: wide, envelope } = extend(structure, x);
  const step = envelopePowerStep(structure);
  const length = x.re.length;
  return structure.terms.map((term) => {
    const power = (term.nonlinearOrder - 1) / step;
    const column = zeros(window.sampleCount);
    for (let k = 0; k < window.sampleCount; k++) {
      const n = wrap(window.startSample + k, length) - term.delaySamples + margin;
      const u = envelope[n - term.envelopeDelaySamples];
      let weight = 1;
      for (let j = 0; j < power; j++) weight *= u;
      column.re[k] = wide.re[n] * weight;
      column.im[k] = wide.im[n] * weight;
    }
    return column;
  });
}
