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
}

export interface SpectrumOptions {
  readonly sampleRateHz: number;
  readonly method: 'segments' | 'wholeRecord';
  readonly window: WindowName;
  readonly segmentLength: number;
  readonly overlapRatio: number;
  /** True (default): segments wrap around the end of a periodic record. False: a last partial segment is dropped. */
  readonly periodic?: boolean;
}

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
  };
}

function segmentSpectrum(x: ComplexSignal, options: SpectrumOptions): PowerSpectrum {
  const { sampleRateHz, segmentLength: size, overlapRatio, periodic = true } = options;
  const length = x.re.length;
  if (!isPowerOfTwo(size) && periodic)
    throw new RangeError(`estimateSpectrum: segment length ${size} is not a power of two`);
  if (size > length) throw new RangeError(`estimateSpectrum: segment of ${size} samples in a record of ${length}`);
  const hop = Math.max(1, size - Math.floor(size * overlapRatio));
  const window = windowOf(options.window, size);
  const segmentCount = periodic ? Math.ceil(length / hop) : Math.floor((length - size) / hop) + 1;
  const power = new Float64Array(size);
  const { input, output, run } = transformOf(size);
  for (let s = 0; s < segmentCount; s++) {
    // Periodic records: starts spread evenly, so that all samples weigh the same.
    const start = periodic ? Math.floor((s * length) / segmentCount) : s * hop;
    const beforeEnd = Math.min(size, length - start);
    windowInto(x, start, window.samples, 0, beforeEnd, input);
    windowInto(x, 0, window.samples, beforeEnd, size, input);
    run();
    addPower(output, power);
  }
  const norm = 1 / (size * window.sumOfSquares * segmentCount);
  for (let b = 0; b < size; b++) power[b] *= norm;
  const binWidthHz = sampleRateHz / size;
  return {
    ...centred(power, sampleRateHz),
    binWidthHz,
    resolutionBandwidthHz: binWidthHz * window.noiseBandwidthBins,
    segmentLength: size,
    segmentCount,
  };
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
