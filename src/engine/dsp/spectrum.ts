// Power spectrum of a complex record, DC in the middle, axis from −fs/2 in steps of fs/N.
//
// Segments (Welch 1967): P[b] = mean over segments of |FFT(w·x)|² / (N·Σw²), so that Σ_b P[b] = mean |x|² for
// noise: P is power per bin. Density is P/binWidth; a marker in the resolution bandwidth reads P·ENBW.
// Whole record: one rectangular window over a periodic record: exact bins, no leakage.
// Segments of a periodic record wrap around its end, so that every sample weighs the same.
import type { ComplexSignal, Samples } from './complex.ts';
import { fft, isPowerOfTwo, transformOf } from './fft.ts';
import { type WindowName, windowOf } from './windows.ts';

export interface PowerSpectrum {
  /** Shape [binCount], rising. */
  readonly frequencyHz: Samples;
  /** Mean power per bin (linear, |x|² units). Shape [binCount]. */
  readonly power: Samples;
  readonly binWidthHz: number;
  /** Equivalent noise bandwidth of the window. */
  readonly resolutionBandwidthHz: number;
  readonly segmentLength: number;
  readonly segmentCount: number;
  /**
   * Averages of consecutive segments, at most 32 runs of equal length, whose scatter tells how far the mean may be off;
   * shape [runCount][binCount], empty with fewer than four segments.
   */
  readonly runs: readonly Samples[];
}

export interface SpectrumOptions {
  readonly sampleRateHz: number;
  readonly method: 'segments' | 'wholeRecord';
  readonly window: WindowName;
  readonly segmentLength: number;
  readonly overlapRatio: number;
  /** True (default): segments wrap around the end of a periodic record. False: a last partial segment is dropped. */
  readonly periodic?: boolean;
  /** Averages at most this many segments; "all" by default. */
  readonly averageCount?: number | 'all';
}

const MOST_RUNS = 32;
/** Runs are kept beside their mean: together no more than this many bins. */
const MOST_RUN_BINS = 2 ** 22;
const FEWEST_RUNS = 4;

export function estimateSpectrum(x: ComplexSignal, options: SpectrumOptions): PowerSpectrum {
  return options.method === 'wholeRecord' ? wholeRecordSpectrum(x, options.sampleRateHz) : segmentSpectrum(x, options);
}

function wholeRecordSpectrum(x: ComplexSignal, sampleRateHz: number): PowerSpectrum {
  const length = x.re.length;
  const bins = fft(x);
  const power = new Float64Array(length);
  const norm = 1 / (length * length);
  for (let b = 0; b < length; b++) power[b] = (bins.re[b] * bins.re[b] + bins.im[b] * bins.im[b]) * norm;
  const binWidthHz = sampleRateHz / length;
  return {
    ...centred(power, sampleRateHz),
    binWidthHz,
    resolutionBandwidthHz: binWidthHz,
    segmentLength: length,
    segmentCount: 1,
    runs: [],
  };
}

function segmentSpectrum(x: ComplexSignal, options: SpectrumOptions): PowerSpectrum {
  const { segmentLength: size, periodic = true } = options;
  const length = x.re.length;
  if (!isPowerOfTwo(size) && periodic)
    throw new RangeError(`estimateSpectrum: segment length ${size} is not a power of two`);
  if (size > length) throw new RangeError(`estimateSpectrum: segment of ${size} samples in a record of ${length}`);
  const { hop, available, segmentCount } = segmentPlan(length, options);
  const sums = createSegmentSums(options, segmentCount);
  for (let s = 0; s < segmentCount; s++) {
    // Periodic records: starts spread evenly, so that all samples weigh the same.
    sums.add(x, periodic ? Math.floor((s * length) / available) : s * hop);
  }
  return sums.finish();
}

/** From a segment's start to the next, how many segments a record of this length holds, and how many are averaged. */
export function segmentPlan(
  length: number,
  { segmentLength: size, overlapRatio, periodic = true, averageCount = 'all' }: SpectrumOptions,
): { readonly hop: number; readonly available: number; readonly segmentCount: number } {
  const hop = Math.max(1, size - Math.floor(size * overlapRatio));
  const available = periodic ? Math.ceil(length / hop) : Math.floor((length - size) / hop) + 1;
  return { hop, available, segmentCount: Math.min(available, averageCount === 'all' ? available : averageCount) };
}

/** Sums of windowed segments, for whole records and for records that arrive in pieces. */
export interface SegmentSums {
  /** The next segment, from sample `start` of x on, round its end. */
  readonly add: (x: ComplexSignal, start: number) => void;
  /** The spectrum, after as many segments as were promised. */
  readonly finish: () => PowerSpectrum;
}

export function createSegmentSums(
  { sampleRateHz, segmentLength: size, window: name }: SpectrumOptions,
  segmentCount: number,
): SegmentSums {
  const window = windowOf(name, size);
  const runCount = Math.min(MOST_RUNS, segmentCount, Math.max(1, Math.floor(MOST_RUN_BINS / size)));
  const sums = Array.from({ length: runCount }, () => new Float64Array(size));
  const { input, output, run } = transformOf(size);
  let added = 0;
  const add = (x: ComplexSignal, start: number) => {
    const beforeEnd = Math.min(size, x.re.length - start);
    windowInto(x, start, window.samples, 0, beforeEnd, input);
    windowInto(x, 0, window.samples, beforeEnd, size, input);
    run();
    addPower(output, sums[Math.floor((added * runCount) / segmentCount)]);
    added++;
  };
  const finish = (): PowerSpectrum => {
    const power = meanOfRuns(sums, 1 / (size * window.sumOfSquares * segmentCount));
    const binWidthHz = sampleRateHz / size;
    return {
      ...centred(power, sampleRateHz),
      binWidthHz,
      resolutionBandwidthHz: binWidthHz * window.noiseBandwidthBins,
      segmentLength: size,
      segmentCount,
      runs: runCount < FEWEST_RUNS ? [] : sums.map((sum) => centred(sum, sampleRateHz).power),
    };
  };
  return { add, finish };
}

/** Sum of the runs times `norm`; the runs are scaled alike, as if each were the whole. */
function meanOfRuns(sums: readonly Samples[], norm: number): Samples {
  const power = new Float64Array(sums[0].length);
  for (const sum of sums) {
    for (let b = 0; b < power.length; b++) power[b] += sum[b];
  }
  for (let b = 0; b < power.length; b++) power[b] *= norm;
  for (const sum of sums) {
    for (let b = 0; b < sum.length; b++) sum[b] *= norm * sums.length;
  }
  return power;
}

/** Pairs from … to−1 of the windowed segment; pair `from` is sample `start` of the record. */
function windowInto(x: ComplexSignal, start: number, w: Samples, from: number, to: number, pairs: Samples): void {
  const { re, im } = x;
  const shift = start - from;
  for (let n = from; n < to; n++) {
    pairs[2 * n] = re[shift + n] * w[n];
    pairs[2 * n + 1] = im[shift + n] * w[n];
  }
}

function addPower(bins: Samples, power: Samples): void {
  for (let b = 0; b < power.length; b++) power[b] += bins[2 * b] * bins[2 * b] + bins[2 * b + 1] * bins[2 * b + 1];
}

function centred(power: Samples, sampleRateHz: number): { frequencyHz: Samples; power: Samples } {
  const size = power.length;
  const half = Math.floor(size / 2);
  const frequencyHz = new Float64Array(size);
  const out = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const b = i < half ? i + size - half : i - half;
    out[i] = power[b];
    frequencyHz[i] = ((i - half) * sampleRateHz) / size;
  }
  return { frequencyHz, power: out };
}

/**
 * Power between two frequencies, with bins cut at the band's edges in proportion.
 * The band must lie inside the axis; RangeError otherwise.
 */
export function bandPower(spectrum: PowerSpectrum, centreHz: number, bandwidthHz: number): number {
  const { power, binWidthHz, frequencyHz } = spectrum;
  const first = frequencyHz[0];
  // Bin i covers (i ± 1/2) bins about its frequency.
  const low = (centreHz - bandwidthHz / 2 - first) / binWidthHz + 0.5;
  const high = (centreHz + bandwidthHz / 2 - first) / binWidthHz + 0.5;
  if (low < -0.5 || high > power.length + 0.5) {
    throw new RangeError(`bandPower: ${centreHz} ± ${bandwidthHz / 2} Hz lies outside the axis from ${first} Hz`);
  }
  let sum = 0;
  const from = Math.max(0, Math.floor(low));
  const to = Math.min(power.length, Math.floor(high));
  for (let i = from; i <= to; i++) {
    const share = Math.min(high, i + 1) - Math.max(low, i);
    // Half of the bin at −fs/2 lies at the top of the axis.
    if (share > 0) sum += power[i === power.length ? 0 : i] * share;
  }
  return sum;
}

/** True when a channel lies inside ±fs/2. */
export function isInsideAxis(sampleRateHz: number, centreHz: number, bandwidthHz: number): boolean {
  return Math.abs(centreHz) + bandwidthHz / 2 <= sampleRateHz / 2;
}

/** The spectrum with all powers times a factor. */
export function scaleSpectrum(spectrum: PowerSpectrum, factor: number): PowerSpectrum {
  if (factor === 1) return spectrum;
  const times = (power: Samples) => power.map((value) => factor * value);
  return { ...spectrum, power: times(spectrum.power), runs: spectrum.runs.map(times) };
}

/** The spectrum with a white density (linear |x|² units per Hz) added in power to every bin. */
export function withWhiteNoise(spectrum: PowerSpectrum, densityPerHz: number): PowerSpectrum {
  if (densityPerHz === 0) return spectrum;
  const add = (power: Samples) => power.map((value) => value + densityPerHz * spectrum.binWidthHz);
  return { ...spectrum, power: add(spectrum.power), runs: spectrum.runs.map(add) };
}

/**
 * One standard deviation, in dB, of 10·log10 of a ratio read from a spectrum, from the scatter of its runs:
 *   (10/ln 10)·s/(m·√R),  m and s mean and sample deviation of the ratio over R runs.
 * Null without runs or when the ratio cannot be read.
 */
export function ratioSpreadDb(spectrum: PowerSpectrum, ratioOf: (run: PowerSpectrum) => number): number | null {
  const count = spectrum.runs.length;
  if (count === 0) return null;
  const ratios = spectrum.runs.map((power) => ratioOf({ ...spectrum, power, runs: [] }));
  const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / count;
  if (!(mean > 0)) return null;
  const squares = ratios.reduce((sum, ratio) => sum + (ratio - mean) * (ratio - mean), 0);
  const deviation = Math.sqrt(squares / (count - 1) / count);
  return ((10 / Math.LN10) * deviation) / mean;
}

const SHORTEST_SEGMENT = 64;

/** Power of two whose segments have the noise bandwidth nearest (in ratio) to the one wanted, within the record. */
export function segmentLengthFor(
  resolutionBandwidthHz: number,
  sampleRateHz: number,
  window: WindowName,
  sampleCount: number,
): number {
  // Noise bandwidths in bins hardly depend on the length.
  const bins = windowOf(window, 1024).noiseBandwidthBins;
  const exponent = Math.round(Math.log2((bins * sampleRateHz) / resolutionBandwidthHz));
  const longest = 2 ** Math.floor(Math.log2(sampleCount));
  return Math.min(longest, Math.max(SHORTEST_SEGMENT, 2 ** exponent));
}
