// The functions of a polynomial structure, fitted by a numerically better route: in each delay pair the powers of the
// envelope are combined to polynomials that are orthogonal for a stated amplitude, and the solution is turned back.
//
//   ψ_j[n] = Σ_{m ≤ j} T_jm·φ_m[n]      c_m = Σ_{j ≥ m} T_jm·b_j
//
// The Gram matrix is accumulated of ψ itself, block by block: a transformed Gram matrix of powers would already have lost
// the digits. As in gram.ts a pair of delay pairs needs one sum for each difference of delays over a whole period.
import { type ComplexSignal, meanPower, peakPower, type Samples, zeros } from '../dsp/complex.ts';
import {
  BLOCK,
  blocksOf,
  correlateInto,
  type Extended,
  extend,
  type NormalEquations,
  pieces,
  regressorColumns,
  type SampleWindow,
  type Span,
} from './gram.ts';
import { applyBasis, type BasisStructure, envelopePowerStep, memorySpan } from './memoryPolynomial.ts';
import { type Amplitude, orthogonalRows } from './orthogonal.ts';
import { type Regressors, undoRms } from './regressors.ts';

/** Fitted at unit rms (Gaussian) or unit peak (uniform), where the amplitude is the one that makes them orthogonal. */
export function orthogonalRegressors(structure: BasisStructure, amplitude: Amplitude): Regressors {
  const branches = branchesOf(structure, amplitude);
  return {
    termCount: structure.terms.length,
    memorySpanSamples: memorySpan(structure),
    apply: (coefficients, x) => applyBasis(structure, coefficients, x),
    normalEquations: (x, u, window) => accumulate(structure, branches, x, u, window),
    columns: (x, window) => combine(branches, regressorColumns(structure, x, window)),
    fitScaleOf: (x) => Math.sqrt(amplitude === 'gaussian' ? meanPower(x) : peakPower(x)),
    undoFitScale: (coefficients, fitScale) => undoRms(structure, turnBack(branches, coefficients), fitScale),
  };
}

/** The terms of one delay pair, by rising order, and their polynomials. */
interface Branch {
  readonly delay: number;
  readonly envelopeDelay: number;
  /** Places in the structure. */
  readonly places: readonly number[];
  /** Powers of the envelope, |x|² or |x|, of each term. */
  readonly powers: readonly number[];
  readonly rows: readonly Samples[];
}

function branchesOf(structure: BasisStructure, amplitude: Amplitude): Branch[] {
  const step = envelopePowerStep(structure);
  const found = new Map<string, { delay: number; envelopeDelay: number; terms: { place: number; order: number }[] }>();
  structure.terms.forEach(({ delaySamples: delay, envelopeDelaySamples: envelopeDelay, nonlinearOrder }, place) => {
    const key = `${delay}/${envelopeDelay}`;
    const branch = found.get(key) ?? { delay, envelopeDelay, terms: [] };
    branch.terms.push({ place, order: nonlinearOrder });
    found.set(key, branch);
  });
  return [...found.values()]
    .map(({ delay, envelopeDelay, terms }) => {
      const rising = [...terms].sort((a, b) => a.order - b.order);
      const orders = rising.map(({ order }) => order);
      return {
        delay,
        envelopeDelay,
        places: rising.map(({ place }) => place),
        powers: orders.map((order) => (order - 1) / step),
        rows: orthogonalRows(orders, amplitude),
      };
    })
    .sort((a, b) => a.delay - b.delay);
}

function turnBack(branches: readonly Branch[], b: ComplexSignal): ComplexSignal {
  const out = zeros(b.re.length);
  for (const { places, rows } of branches) {
    rows.forEach((row, j) => {
      row.forEach((value, m) => {
        out.re[places[m]] += value * b.re[places[j]];
        out.im[places[m]] += value * b.im[places[j]];
      });
    });
  }
  return out;
}

function combine(branches: readonly Branch[], columns: readonly ComplexSignal[]): ComplexSignal[] {
  const out = columns.map((column) => zeros(column.re.length));
  for (const { places, rows } of branches) {
    rows.forEach((row, j) => {
      const to = out[places[j]];
      row.forEach((value, m) => {
        const from = columns[places[m]];
        for (let k = 0; k < to.re.length; k++) {
          to.re[k] += value * from.re[k];
          to.im[k] += value * from.im[k];
        }
      });
    });
  }
  return out;
}

function accumulate(
  structure: BasisStructure,
  branches: readonly Branch[],
  x: ComplexSignal,
  u: ComplexSignal,
  window: SampleWindow | 'whole',
): NormalEquations {
  const length = x.re.length;
  if (u.re.length !== length) throw new RangeError(`orthogonal: input of ${length}, target of ${u.re.length} samples`);
  const extended = extend(structure, x);
  const range = window === 'whole' ? { startSample: 0, sampleCount: length } : window;
  const spans = pieces(range, length);
  const termCount = structure.terms.length;
  const gram = zeros(termCount * termCount);
  const rightSide = zeros(termCount);
  const known = new Map<string, ComplexSignal>();
  branches.forEach((row, i) => {
    addRightSide(row, extended, u, spans, rightSide);
    for (const column of branches.slice(i)) {
      const shape = `${row.envelopeDelay}^${row.powers}:${column.envelopeDelay}^${column.powers}`;
      const key = `${column.delay - row.delay}:${shape}`;
      const sums =
        (window === 'whole' ? known.get(key) : undefined) ??
        pairSums(row, column, window === 'whole' ? 0 : row.delay, extended, spans);
      known.set(key, sums);
      place(sums, row, column, gram, termCount);
    }
  });
  return { gram, rightSide, termCount, sampleCount: range.sampleCount };
}

function place(sums: ComplexSignal, row: Branch, column: Branch, gram: ComplexSignal, size: number): void {
  const width = column.places.length;
  row.places.forEach((a, p) => {
    column.places.forEach((b, q) => {
      const from = p * width + q;
      gram.re[a * size + b] = gram.re[b * size + a] = sums.re[from];
      gram.im[a * size + b] = sums.im[from];
      gram.im[b * size + a] = -sums.im[from];
    });
  });
}

/** Σ_n conj(x[n−delay])·x[n−delay−d]·p_a(u)·p_b(u), row by row; d is the difference of the two delays. */
function pairSums(
  row: Branch,
  column: Branch,
  delay: number,
  { x, envelope, margin }: Extended,
  spans: readonly Span[],
): ComplexSignal {
  const difference = column.delay - row.delay;
  const width = column.places.length;
  const sums = zeros(row.places.length * width);
  const z = zeros(BLOCK);
  const ofRow = row.places.map(() => new Float64Array(BLOCK));
  const ofColumn = column.places.map(() => new Float64Array(BLOCK));
  for (const [start, count] of blocksOf(spans)) {
    const base = start - delay + margin;
    correlateInto(x, base, x, base - difference, count, z);
    polynomialsInto(row, envelope, base - row.envelopeDelay, count, ofRow);
    polynomialsInto(column, envelope, base - difference - column.envelopeDelay, count, ofColumn);
    ofRow.forEach((a, p) => {
      ofColumn.forEach((b, q) => {
        addTripleProduct(z, a, b, count, sums, p * width + q);
      });
    });
  }
  return sums;
}

function addTripleProduct(
  z: ComplexSignal,
  a: Samples,
  b: Samples,
  count: number,
  sums: ComplexSignal,
  at: number,
): void {
  let re = 0;
  let im = 0;
  for (let k = 0; k < count; k++) {
    const weight = a[k] * b[k];
    re += z.re[k] * weight;
    im += z.im[k] * weight;
  }
  sums.re[at] += re;
  sums.im[at] += im;
}

/** out[j][k] = Σ_m T_jm·u[start + k]^(power of m). */
function polynomialsInto({ rows, powers }: Branch, u: Samples, start: number, count: number, out: Samples[]): void {
  const coefficients = rows.map((row) => {
    const dense = new Float64Array(1 + powers[row.length - 1]);
    row.forEach((value, m) => {
      dense[powers[m]] = value;
    });
    return dense;
  });
  coefficients.forEach((c, j) => {
    const to = out[j];
    const top = c.length - 1;
    for (let k = 0; k < count; k++) {
      const at = u[start + k];
      let value = c[top];
      for (let m = top - 1; m >= 0; m--) value = value * at + c[m];
      to[k] = value;
    }
  });
}

function addRightSide(
  branch: Branch,
  { x, envelope, margin }: Extended,
  target: ComplexSignal,
  spans: readonly Span[],
  rightSide: ComplexSignal,
): void {
  const z = zeros(BLOCK);
  const weights = branch.places.map(() => new Float64Array(BLOCK));
  for (const [start, count] of blocksOf(spans)) {
    const base = start - branch.delay + margin;
    correlateInto(x, base, target, start, count, z);
    polynomialsInto(branch, envelope, base - branch.envelopeDelay, count, weights);
    weights.forEach((weight, j) => {
      const at = branch.places[j];
      for (let k = 0; k < count; k++) {
        rightSide.re[at] += z.re[k] * weight[k];
        rightSide.im[at] += z.im[k] * weight[k];
      }
    });
  }
}
