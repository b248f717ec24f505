// Error vectors z − r of equalized symbols z against reference symbols r, in percent of the reference's rms.
//
//   whole       √(Σ|z − r|²/Σ|r|²)
//   a row, a column   the same sum over the row or column, over its share of the whole Σ|r|²,
// so that the mean of the squares over rows (or columns) is the square of the whole.
import type { EvmTrace } from '../../../shared/schema/report.ts';
import { type ComplexSignal, meanPower, type Samples } from '../dsp/complex.ts';

/** rms and largest error in percent of the reference's rms. */
export function errorVector(z: ComplexSignal, r: ComplexSignal): { rmsPercent: number; peakPercent: number } {
  let sum = 0;
  let peak = 0;
  for (let i = 0; i < z.re.length; i++) {
    const re = z.re[i] - r.re[i];
    const im = z.im[i] - r.im[i];
    const power = re * re + im * im;
    sum += power;
    if (power > peak) peak = power;
  }
  const reference = meanPower(r);
  return {
    rmsPercent: 100 * Math.sqrt(sum / z.re.length / reference),
    peakPercent: 100 * Math.sqrt(peak / reference),
  };
}

/** Symbols [symbol][subcarrier] of one carrier; a single carrier has one column. */
export interface SymbolGrid {
  readonly equalized: ComplexSignal;
  readonly ideal: ComplexSignal;
  readonly columnCount: number;
}

/** rms error of each column (subcarrier), percent of the whole reference's rms. Shape [columnCount]. */
function errorByColumn({ equalized, ideal, columnCount }: SymbolGrid): Samples {
  const sums = new Float64Array(columnCount);
  for (let i = 0, column = 0; i < ideal.re.length; i++) {
    const re = equalized.re[i] - ideal.re[i];
    const im = equalized.im[i] - ideal.im[i];
    sums[column] += re * re + im * im;
    column = column + 1 === columnCount ? 0 : column + 1;
  }
  const rowCount = ideal.re.length / columnCount;
  return toPercent(sums, meanPower(ideal) * rowCount);
}

/** rms error of each run of `rowsPerPoint` rows (symbols; the last run may be shorter), percent as above. */
export function errorByRow({ equalized, ideal, columnCount }: SymbolGrid, rowsPerPoint = 1): Samples {
  const perPoint = columnCount * rowsPerPoint;
  const count = Math.ceil(ideal.re.length / perPoint);
  const means = new Float64Array(count);
  for (let point = 0; point < count; point++) {
    const end = Math.min(ideal.re.length, (point + 1) * perPoint);
    let sum = 0;
    for (let i = point * perPoint; i < end; i++) {
      const re = equalized.re[i] - ideal.re[i];
      const im = equalized.im[i] - ideal.im[i];
      sum += re * re + im * im;
    }
    means[point] = sum / (end - point * perPoint);
  }
  return toPercent(means, meanPower(ideal));
}

function toPercent(power: Samples, reference: number): Samples {
  for (let i = 0; i < power.length; i++) power[i] = 100 * Math.sqrt(power[i] / reference);
  return power;
}

/** Most points of a curve over symbols: a single carrier may have a hundred thousand of them. */
const MOST_POINTS = 4000;

/** Rows that share a point of the curve over symbols. */
function rowsPerPointOf(rowCount: number): number {
  return Math.max(1, Math.ceil(rowCount / MOST_POINTS));
}

/** The curves over subcarriers and symbols; `subcarrierHz` is empty for a single carrier. */
export function viewErrors(
  grid: SymbolGrid,
  { carrierIndex, label, subcarrierHz }: Pick<EvmTrace, 'carrierIndex' | 'label' | 'subcarrierHz'>,
): EvmTrace {
  const symbolsPerPoint = rowsPerPointOf(grid.ideal.re.length / grid.columnCount);
  return {
    carrierIndex,
    label,
    subcarrierHz,
    subcarrierPercent: subcarrierHz.length === 0 ? new Float64Array(0) : errorByColumn(grid),
    symbolPercent: errorByRow(grid, symbolsPerPoint),
    symbolsPerPoint,
  };
}
