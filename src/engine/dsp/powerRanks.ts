// The k-th largest envelope power of a record that is read twice, in memory that does not grow with it.
//
// First reading: powers fall into cells of relative width 2^−12 (sign, exponent and 12 digits of the double's binary
// form), which tells in which cell a rank lies. Second reading: each such cell is parted into 2^20, so that a power is
// known to 2^−33 of itself (1.2e−10, 5e−10 dB).
import type { ComplexSignal } from './complex.ts';

/** Powers from 2^−128 to 2^128; smaller ones share the first cell. */
const OCTAVES = 256;
const CELL_BITS = 12;
const CELLS = OCTAVES << CELL_BITS;
/** The double's exponent field of 2^−128. */
const FIRST_EXPONENT = 1023 - OCTAVES / 2;
const FINE_BITS = 20;

/** A double and the two halves of its binary form; the upper half stands second on little-endian machines. */
const value = new Float64Array(1);
const halves = new Uint32Array(value.buffer);
value[0] = 1;
const UPPER = halves[1] === 0 ? 0 : 1;

/** Cell of the power in `value`. */
function cellOf(): number {
  const cell = (halves[UPPER] >>> (20 - CELL_BITS)) - (FIRST_EXPONENT << CELL_BITS);
  return cell < 0 ? 0 : cell >= CELLS ? CELLS - 1 : cell;
}

export interface PowerCells {
  readonly push: (samples: ComplexSignal) => void;
  readonly counts: Float64Array;
}

/** First reading. */
export function createPowerCells(): PowerCells {
  const counts = new Float64Array(CELLS);
  const push = ({ re, im }: ComplexSignal) => {
    for (let n = 0; n < re.length; n++) {
      value[0] = re[n] * re[n] + im[n] * im[n];
      counts[cellOf()]++;
    }
  };
  return { push, counts };
}

export interface PowerRanks {
  readonly push: (samples: ComplexSignal) => void;
  /** The powers of the wanted ranks, in their order. */
  readonly finish: () => number[];
}

/**
 * Second reading of the same samples. `ranks`: 1 is the largest; each at most the number of samples.
 * @throws RangeError for a rank outside the record.
 */
export function createPowerRanks(counts: Float64Array, ranks: readonly number[]): PowerRanks {
  const places = ranks.map((rank) => placeOf(counts, rank));
  const cells = [...new Set(places.map(({ cell }) => cell))];
  const slotOfCell = new Int16Array(CELLS).fill(-1);
  cells.forEach((cell, slot) => {
    slotOfCell[cell] = slot;
  });
  const fine = cells.map(() => new Uint32Array(1 << FINE_BITS));
  const push = ({ re, im }: ComplexSignal) => {
    for (let n = 0; n < re.length; n++) {
      value[0] = re[n] * re[n] + im[n] * im[n];
      const slot = slotOfCell[cellOf()];
      if (slot >= 0) fine[slot][fineOf()]++;
    }
  };
  const finish = () => places.map(({ cell, beyond }) => powerAt(cell, beyond, fine[slotOfCell[cell]]));
  return { push, finish };
}

/** The 20 binary digits behind those of the cell. */
function fineOf(): number {
  const upperDigits = halves[UPPER] & ((1 << (20 - CELL_BITS)) - 1);
  return (upperDigits << CELL_BITS) | (halves[1 - UPPER] >>> (32 - CELL_BITS));
}

/** The cell a rank lies in, and its rank inside. */
function placeOf(counts: Float64Array, rank: number): { cell: number; beyond: number } {
  let above = 0;
  for (let cell = CELLS - 1; cell >= 0; cell--) {
    if (rank >= 1 && above + counts[cell] >= rank) return { cell, beyond: rank - above };
    above += counts[cell];
  }
  throw new RangeError(`createPowerRanks: rank ${rank} of ${above} samples`);
}

function powerAt(cell: number, rank: number, counts: Uint32Array): number {
  // Powers below all cells have no order here; they are zero in every unit that is printed.
  if (cell === 0) return 0;
  let above = 0;
  for (let i = counts.length - 1; i >= 0; i--) {
    above += counts[i];
    if (above < rank) continue;
    const cellStart = 2 ** ((cell >> CELL_BITS) + FIRST_EXPONENT - 1023);
    const mantissa = 1 + ((cell & ((1 << CELL_BITS) - 1)) + (i + 0.5) / 2 ** FINE_BITS) / 2 ** CELL_BITS;
    return cellStart * mantissa;
  }
  throw new RangeError(`createPowerRanks: ${above} powers came the second time where ${rank} were seen the first`);
}
