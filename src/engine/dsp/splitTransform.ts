// A transform of length A·B by transforms of the lengths A and B (Cooley and Tukey 1965; Gentleman and Sande 1966).
//
// The record is a matrix of A rows and B columns, x[aB + b]. With W = exp(−j2π/AB):
//   X[k + Aq] = Σ_b W^(bk)·(Σ_a x[aB + b]·exp(−j2πak/A))·exp(−j2πbq/B)
// columns are transformed in place and turned by W^(bk); then each row gives every A-th bin.
import type { Samples } from './complex.ts';
import type { TransformPlan } from './transformPlan.ts';

/** Columns copied together: four pairs fill a cache line of 64 bytes, which is then read once. */
const GROUP = 4;

export function splitPlan(columns: TransformPlan, rows: TransformPlan): TransformPlan {
  const columnLength = columns.length;
  const rowLength = rows.length;
  const length = columnLength * rowLength;
  const input = new Float64Array(2 * length);
  const output = new Float64Array(2 * length);
  const turns = turnTable(length);
  const group = new Float64Array(2 * GROUP * Math.max(columnLength, rowLength));
  const run = () => {
    for (let b = 0; b < rowLength; b += GROUP) {
      const count = Math.min(GROUP, rowLength - b);
      gather(input, 2 * b, 2 * rowLength, columnLength, count, group);
      for (let i = 0; i < count; i++) {
        const place = group.subarray(2 * i * columnLength, 2 * (i + 1) * columnLength);
        columns.input.set(place);
        columns.run();
        turnInto(columns.output, b + i, turns, place);
      }
      scatter(group, input, 2 * b, 2 * rowLength, columnLength, count);
    }
    for (let k = 0; k < columnLength; k += GROUP) {
      const count = Math.min(GROUP, columnLength - k);
      for (let i = 0; i < count; i++) {
        rows.input.set(input.subarray(2 * (k + i) * rowLength, 2 * (k + i + 1) * rowLength));
        rows.run();
        group.set(rows.output, 2 * i * rowLength);
      }
      scatter(group, output, 2 * k, 2 * columnLength, rowLength, count);
    }
  };
  return { length, input, output, run };
}

/** exp(−j2πi/N) as a product of a fine and a coarse step, so that the tables stay small. */
interface TurnTable {
  readonly fine: Samples;
  readonly coarse: Samples;
}

const FINE_BITS = 9;

function turnTable(length: number): TurnTable {
  const fineCount = 1 << FINE_BITS;
  const coarseCount = Math.ceil(length / fineCount);
  return { fine: turnsOf(fineCount, 1, length), coarse: turnsOf(coarseCount, fineCount, length) };
}

function turnsOf(count: number, step: number, length: number): Samples {
  const turns = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    const angle = (-2 * Math.PI * i * step) / length;
    turns[2 * i] = Math.cos(angle);
    turns[2 * i + 1] = Math.sin(angle);
  }
  return turns;
}

/** `count` neighbouring columns of a matrix, one after the other. Offsets and steps count numbers, not pairs. */
function gather(matrix: Samples, from: number, step: number, length: number, count: number, columns: Samples): void {
  for (let a = 0; a < length; a++) {
    let source = from + a * step;
    let target = 2 * a;
    for (let i = 0; i < count; i++) {
      columns[target] = matrix[source];
      columns[target + 1] = matrix[source + 1];
      source += 2;
      target += 2 * length;
    }
  }
}

/** The reverse. */
function scatter(columns: Samples, matrix: Samples, to: number, step: number, length: number, count: number): void {
  for (let a = 0; a < length; a++) {
    let source = 2 * a;
    let target = to + a * step;
    for (let i = 0; i < count; i++) {
      matrix[target] = columns[source];
      matrix[target + 1] = columns[source + 1];
      source += 2 * length;
      target += 2;
    }
  }
}

/** Element k times W^(bk). b·k < A·B, so the index needs no remainder. */
function turnInto(column: Samples, b: number, { fine, coarse }: TurnTable, out: Samples): void {
  const mask = (1 << FINE_BITS) - 1;
  let index = 0;
  for (let i = 0; i < column.length; i += 2) {
    const f = 2 * (index & mask);
    const c = 2 * (index >> FINE_BITS);
    const re = fine[f] * coarse[c] - fine[f + 1] * coarse[c + 1];
    const im = fine[f] * coarse[c + 1] + fine[f + 1] * coarse[c];
    out[i] = column[i] * re - column[i + 1] * im;
    out[i + 1] = column[i] * im + column[i + 1] * re;
    index += b;
  }
}
