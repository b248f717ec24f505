// AM/AM and AM/PM: gain and phase of the output against the drive amplitude, sample by sample.
//   G[n] = y[n]/(g0·x[n]); gain 20·log10|G|, phase arg G, both relative to the reference gain g0.
// The mean curve is the power-weighted least-squares gain within each amplitude bin, the spread the rms of what is
// left: after alignment that spread is memory, noise and whatever else depends on more than the amplitude.
import type { AmAmAmPmTrace, Density } from '../../../shared/schema/report.ts';
import { type Complex, type ComplexSignal, requireEqualLength } from '../dsp/complex.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';

export interface AmAmAmPmOptions {
  /** Gain and phase are shown relative to this. */
  readonly referenceGain: Complex;
  /** Lowest drive shown, in dB re amplitude 1. */
  readonly driveMinimumDb: number;
  readonly driveMaximumDb: number;
  /** Lowest and highest gain counted; without it 3 dB round the mean curve and 0 dB. */
  readonly gainRangeDb?: readonly [number, number];
  /** The same of the phase; without it 15° round the mean curve and 0°. */
  readonly phaseRangeDeg?: readonly [number, number];
}

const COLUMNS = 144;
const ROWS = 96;
/** Fewer samples than this in a bin make no mean. */
const SAMPLES_FOR_A_MEAN = 8;

/** Histograms over (drive, gain) and (drive, phase) and the mean curve. Signals of equal length, periodic or not. */
export function measureAmAmAmPm(x: ComplexSignal, y: ComplexSignal, options: AmAmAmPmOptions): AmAmAmPmTrace {
  requireEqualLength('measureAmAmAmPm', x, y);
  const columns = columnsOf(x, options);
  const bins = sumBins(x, y, options, columns);
  const curve = meanCurve(bins, options);
  const gain = emptyDensity(options, options.gainRangeDb ?? rangeRound(curve.gainDb, 3));
  const phase = emptyDensity(options, options.phaseRangeDeg ?? rangeRound(curve.phaseDeg, 15));
  fillDensities(x, y, options, columns, gain, phase);
  return { gain, phase, ...curve };
}

interface BinSums {
  readonly count: Float64Array;
  readonly drive: Float64Array;
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly output: Float64Array;
}

/** 10·log10(u) = this·ln(u); the natural logarithm takes half the time. */
const DB_PER_NEPER = 10 / Math.LN10;
/** The column of a sample that is not shown. */
const NO_COLUMN = 255;

/** Column of each sample by its drive amplitude. */
function columnsOf({ re, im }: ComplexSignal, { driveMinimumDb, driveMaximumDb }: AmAmAmPmOptions): Uint8Array {
  const columns = new Uint8Array(re.length);
  const columnsPerDb = COLUMNS / (driveMaximumDb - driveMinimumDb);
  for (let n = 0; n < re.length; n++) {
    const driveDb = DB_PER_NEPER * Math.log(re[n] * re[n] + im[n] * im[n]);
    const place = (driveDb - driveMinimumDb) * columnsPerDb;
    columns[n] = place >= 0 && place < COLUMNS ? place : NO_COLUMN;
  }
  return columns;
}

/** Per amplitude bin: Σ|x|², Σ conj(g0·x)·y, Σ|y/g0|². */
function sumBins(x: ComplexSignal, y: ComplexSignal, options: AmAmAmPmOptions, columns: Uint8Array): BinSums {
  const sums: BinSums = {
    count: new Float64Array(COLUMNS),
    drive: new Float64Array(COLUMNS),
    re: new Float64Array(COLUMNS),
    im: new Float64Array(COLUMNS),
    output: new Float64Array(COLUMNS),
  };
  const g = options.referenceGain;
  const g2 = g.re * g.re + g.im * g.im;
  for (let n = 0; n < x.re.length; n++) {
    const column = columns[n];
    if (column === NO_COLUMN) continue;
    const drive = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    const yRe = (y.re[n] * g.re + y.im[n] * g.im) / g2;
    const yIm = (y.im[n] * g.re - y.re[n] * g.im) / g2;
    sums.count[column]++;
    sums.drive[column] += drive;
    sums.re[column] += x.re[n] * yRe + x.im[n] * yIm;
    sums.im[column] += x.re[n] * yIm - x.im[n] * yRe;
    sums.output[column] += yRe * yRe + yIm * yIm;
  }
  return sums;
}

function meanCurve(sums: BinSums, options: AmAmAmPmOptions) {
  const driveDb: number[] = [];
  const gainDb: number[] = [];
  const phaseDeg: number[] = [];
  const gainSpreadDb: number[] = [];
  const step = (options.driveMaximumDb - options.driveMinimumDb) / COLUMNS;
  for (let c = 0; c < COLUMNS; c++) {
    if (sums.count[c] < SAMPLES_FOR_A_MEAN) continue;
    const re = sums.re[c] / sums.drive[c];
    const im = sums.im[c] / sums.drive[c];
    const mean2 = re * re + im * im;
    const spread2 = Math.max(0, sums.output[c] / sums.drive[c] - mean2);
    driveDb.push(options.driveMinimumDb + (c + 0.5) * step);
    gainDb.push(powerRatioToDb(mean2));
    phaseDeg.push((Math.atan2(im, re) * 180) / Math.PI);
    // One standard deviation of the gain's radial part is 1/√2 of the complex spread.
    gainSpreadDb.push(amplitudeRatioToDb(1 + Math.sqrt(spread2 / 2 / mean2)));
  }
  return {
    driveDb: Float64Array.from(driveDb),
    gainDb: Float64Array.from(gainDb),
    phaseDeg: Float64Array.from(phaseDeg),
    gainSpreadDb: Float64Array.from(gainSpreadDb),
  };
}

function rangeRound(curve: Float64Array, margin: number): readonly [number, number] {
  return [Math.min(...curve, 0) - margin, Math.max(...curve, 0) + margin];
}

function emptyDensity(options: AmAmAmPmOptions, [yMinimum, yMaximum]: readonly [number, number]): Density {
  return {
    counts: new Uint32Array(COLUMNS * ROWS),
    columnCount: COLUMNS,
    rowCount: ROWS,
    xMinimum: options.driveMinimumDb,
    xMaximum: options.driveMaximumDb,
    yMinimum,
    yMaximum,
  };
}

function fillDensities(
  x: ComplexSignal,
  y: ComplexSignal,
  options: AmAmAmPmOptions,
  columns: Uint8Array,
  gain: Density,
  phase: Density,
): void {
  const g = options.referenceGain;
  const reference2 = g.re * g.re + g.im * g.im;
  for (let n = 0; n < x.re.length; n++) {
    const column = columns[n];
    if (column === NO_COLUMN) continue;
    const drive = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    // y·conj(g0·x)
    const gxRe = x.re[n] * g.re - x.im[n] * g.im;
    const gxIm = x.re[n] * g.im + x.im[n] * g.re;
    const re = y.re[n] * gxRe + y.im[n] * gxIm;
    const im = y.im[n] * gxRe - y.re[n] * gxIm;
    const gainDb = DB_PER_NEPER * Math.log((y.re[n] * y.re[n] + y.im[n] * y.im[n]) / (reference2 * drive));
    count(gain, column, gainDb);
    count(phase, column, (Math.atan2(im, re) * 180) / Math.PI);
  }
}

function count(density: Density, column: number, value: number): void {
  const row = Math.floor(((value - density.yMinimum) / (density.yMaximum - density.yMinimum)) * density.rowCount);
  if (row >= 0 && row < density.rowCount) density.counts[row * density.columnCount + column]++;
}
