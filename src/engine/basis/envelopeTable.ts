// A table of complex gain against the envelope, one a tap: the form a predistorter has in logic.
//
//   y[n] = Σ_l x[n−l]·Σ_i c_{l,i}·h_i(|x[n−l]|)
//
// Entries stand at equal steps from zero to `range`; beyond it the last is held. With linear interpolation h_i is a hat
// that falls to zero at both neighbours, with the nearest entry a box; Σ_i h_i = 1 in both. Splines of first and of
// zeroth order: de Boor, A Practical Guide to Splines, chapter IX (from memory).
//
// Entries that the record hardly reaches would leave the fit singular, or at the mercy of one sample at the far end of a
// cell. Neighbours are tied: τ·|c_i − c_{i+1}|² is added to the squared error, with τ a thousandth of an entry's mean
// energy. So an entry never reached takes its neighbour's gain, the last one reached is held, and entries with data keep
// theirs (common practice, no source for τ; at 1e−8 learning on Quarry Link with 32 entries falls apart in pass 2).
import { type ComplexSignal, meanPower, type Samples, wrap, zeros } from '../dsp/complex.ts';
import type { NormalEquations, SampleWindow } from './gram.ts';
import type { Regressors, Tie } from './regressors.ts';

export interface EnvelopeTable {
  /** Two or more. */
  readonly entryCount: number;
  /** Tables, one for each delay 0 … memoryDepth−1. */
  readonly memoryDepth: number;
  readonly interpolation: 'linear' | 'nearest';
  /** Amplitude of the last entry. */
  readonly range: number;
}

/** The table's entries as functions whose weighted sum is the output: index l·entryCount + i. Fitted as they are. */
export function envelopeTableRegressors(table: EnvelopeTable): Regressors {
  const { entryCount, memoryDepth, range } = table;
  if (!(range > 0) || entryCount < 2) throw new RangeError(`envelopeTable: ${entryCount} entries up to ${range}`);
  return {
    termCount: entryCount * memoryDepth,
    memorySpanSamples: memoryDepth,
    apply: (coefficients, x) => applyTable(table, coefficients, x),
    normalEquations: (x, u, window) => tableEquations(table, x, u, window),
    columns: (x, window) => tableColumns(table, x, window),
    ties: (x, sampleCount) => tiesOf(table, x, sampleCount),
    fitScaleOf: () => 1,
    undoFitScale: (coefficients) => coefficients,
  };
}

/** Where each sample reads: the lower entry and the share of the one above (0 for the nearest entry). */
interface Places {
  readonly lower: Int32Array;
  readonly share: Samples;
}

/** RangeError-free for any amplitude: beyond the last entry that one is read. */
export function placesOf(
  { entryCount, interpolation, range }: Omit<EnvelopeTable, 'memoryDepth'>,
  x: ComplexSignal,
): Places {
  const length = x.re.length;
  const lower = new Int32Array(length);
  const share = new Float64Array(length);
  const perStep = (entryCount - 1) / range;
  const last = entryCount - 1;
  for (let n = 0; n < length; n++) {
    const position = Math.min(last, Math.sqrt(x.re[n] * x.re[n] + x.im[n] * x.im[n]) * perStep);
    if (interpolation === 'nearest') lower[n] = Math.floor(position + 0.5);
    else {
      lower[n] = Math.min(last - 1, Math.floor(position));
      share[n] = position - lower[n];
    }
  }
  return { lower, share };
}

function applyTable(table: EnvelopeTable, c: ComplexSignal, x: ComplexSignal): ComplexSignal {
  const { entryCount, memoryDepth } = table;
  if (c.re.length !== entryCount * memoryDepth) {
    throw new RangeError(`applyTable: ${c.re.length} entries for ${memoryDepth} tables of ${entryCount}`);
  }
  const { lower, share } = placesOf(table, x);
  const length = x.re.length;
  const out = zeros(length);
  for (let delay = 0; delay < memoryDepth; delay++) {
    const first = delay * entryCount;
    let from = wrap(-delay, length);
    for (let n = 0; n < length; n++) {
      const at = first + lower[from];
      const above = share[from];
      let gRe = c.re[at];
      let gIm = c.im[at];
      if (above > 0) {
        gRe += above * (c.re[at + 1] - gRe);
        gIm += above * (c.im[at + 1] - gIm);
      }
      out.re[n] += x.re[from] * gRe - x.im[from] * gIm;
      out.im[n] += x.re[from] * gIm + x.im[from] * gRe;
      if (++from === length) from = 0;
    }
  }
  return out;
}

/** G and right-hand side with the ties; over a whole period a pair of taps needs one sum for each difference of delays. */
function tableEquations(
  table: EnvelopeTable,
  x: ComplexSignal,
  u: ComplexSignal,
  window: SampleWindow | 'whole',
): NormalEquations {
  const { entryCount, memoryDepth } = table;
  const length = x.re.length;
  if (u.re.length !== length) throw new RangeError(`envelopeTable: input ${length}, target ${u.re.length} samples`);
  const places = placesOf(table, x);
  const range = window === 'whole' ? { startSample: 0, sampleCount: length } : window;
  const termCount = entryCount * memoryDepth;
  const gram = zeros(termCount * termCount);
  const rightSide = zeros(termCount);
  for (let row = 0; row < memoryDepth; row++) {
    addRightSide(table, x, u, places, range, row, rightSide);
    for (let column = row; column < memoryDepth; column++) {
      if (window === 'whole' && row > 0) copyBlock(gram, termCount, entryCount, row, column);
      else addBlock(table, x, places, range, row, column, gram);
    }
  }
  mirror(gram, termCount);
  for (const { first, second, weight } of tiesOf(table, x, range.sampleCount)) {
    const energy = weight * weight;
    gram.re[first * termCount + first] += energy;
    gram.re[second * termCount + second] += energy;
    gram.re[first * termCount + second] -= energy;
    gram.re[second * termCount + first] -= energy;
  }
  return { gram, rightSide, termCount, sampleCount: range.sampleCount };
}

/** Block (row, column) of G: Σ_n conj(x[n−row])·h_i·x[n−column]·h_j, four products a sample at most. */
function addBlock(
  { entryCount, memoryDepth }: EnvelopeTable,
  x: ComplexSignal,
  { lower, share }: Places,
  { startSample, sampleCount }: SampleWindow,
  row: number,
  column: number,
  gram: ComplexSignal,
): void {
  const length = x.re.length;
  const size = entryCount * memoryDepth;
  let a = wrap(startSample - row, length);
  let b = wrap(startSample - column, length);
  for (let k = 0; k < sampleCount; k++) {
    const re = x.re[a] * x.re[b] + x.im[a] * x.im[b];
    const im = x.re[a] * x.im[b] - x.im[a] * x.re[b];
    const at = (row * entryCount + lower[a]) * size + column * entryCount + lower[b];
    const p = share[a];
    const q = share[b];
    addScaled(gram, at, re, im, (1 - p) * (1 - q));
    if (q > 0) addScaled(gram, at + 1, re, im, (1 - p) * q);
    if (p > 0) addScaled(gram, at + size, re, im, p * (1 - q));
    if (p > 0 && q > 0) addScaled(gram, at + size + 1, re, im, p * q);
    if (++a === length) a = 0;
    if (++b === length) b = 0;
  }
}

function addScaled(out: ComplexSignal, at: number, re: number, im: number, weight: number): void {
  out.re[at] += re * weight;
  out.im[at] += im * weight;
}

/** Over a whole period block (row, column) equals (0, column − row). */
function copyBlock(gram: ComplexSignal, size: number, entryCount: number, row: number, column: number): void {
  const from = (column - row) * entryCount;
  for (let i = 0; i < entryCount; i++) {
    const to = (row * entryCount + i) * size + column * entryCount;
    gram.re.copyWithin(to, i * size + from, i * size + from + entryCount);
    gram.im.copyWithin(to, i * size + from, i * size + from + entryCount);
  }
}

/** The lower triangle from the upper one. */
function mirror(gram: ComplexSignal, size: number): void {
  for (let i = 0; i < size; i++) {
    for (let j = i + 1; j < size; j++) {
      gram.re[j * size + i] = gram.re[i * size + j];
      gram.im[j * size + i] = -gram.im[i * size + j];
    }
  }
}

function addRightSide(
  { entryCount }: EnvelopeTable,
  x: ComplexSignal,
  u: ComplexSignal,
  { lower, share }: Places,
  { startSample, sampleCount }: SampleWindow,
  delay: number,
  rightSide: ComplexSignal,
): void {
  const length = x.re.length;
  let n = wrap(startSample, length);
  let a = wrap(startSample - delay, length);
  for (let k = 0; k < sampleCount; k++) {
    const re = x.re[a] * u.re[n] + x.im[a] * u.im[n];
    const im = x.re[a] * u.im[n] - x.im[a] * u.re[n];
    const at = delay * entryCount + lower[a];
    addScaled(rightSide, at, re, im, 1 - share[a]);
    if (share[a] > 0) addScaled(rightSide, at + 1, re, im, share[a]);
    if (++n === length) n = 0;
    if (++a === length) a = 0;
  }
}

function tableColumns(table: EnvelopeTable, x: ComplexSignal, window: SampleWindow): ComplexSignal[] {
  const { entryCount, memoryDepth } = table;
  const { lower, share } = placesOf(table, x);
  const columns = Array.from({ length: entryCount * memoryDepth }, () => zeros(window.sampleCount));
  for (let delay = 0; delay < memoryDepth; delay++) {
    for (let k = 0; k < window.sampleCount; k++) {
      const a = wrap(window.startSample + k - delay, x.re.length);
      const at = delay * entryCount + lower[a];
      addScaled(columns[at], k, x.re[a], x.im[a], 1 - share[a]);
      if (share[a] > 0) addScaled(columns[at + 1], k, x.re[a], x.im[a], share[a]);
    }
  }
  return columns;
}

const TIE_RATIO = 1e-3;

function tiesOf({ entryCount, memoryDepth }: EnvelopeTable, x: ComplexSignal, sampleCount: number): Tie[] {
  const weight = Math.sqrt((TIE_RATIO * meanPower(x) * sampleCount) / entryCount);
  const ties: Tie[] = [];
  for (let delay = 0; delay < memoryDepth; delay++) {
    for (let i = 0; i + 1 < entryCount; i++) {
      const first = delay * entryCount + i;
      ties.push({ first, second: first + 1, weight });
    }
  }
  return ties;
}
