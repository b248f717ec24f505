// The filter that keeps a crest-factor correction inside the channels, and its use on sparse corrections.
//
// Correction of several carriers: h = Σ_i w_i·h_i, h_i the channel filter of carrier i at its offset, w_i its share over
// the largest share. h is scaled so that its centre stays that of equal shares: what one carrier is spared the others
// take. The filter over its centre value is the stored pulse of peak cancellation.
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import { fft, inverseFft } from '../dsp/fft.ts';
import { addFilteredSparse, filterPeriodic, kaiserLowpass, moveFilter, type SparseSignal, spread } from '../dsp/fir.ts';
import type { ResolvedCarrier, ResolvedWaveform } from './resolvedWaveform.ts';

/** What keeps the correction inside the channels. */
export type ReductionFilter =
  | { readonly kind: 'taps'; readonly taps: ComplexSignal; readonly delaySamples: number }
  /** Weights of the bins of the whole record in transform order (DC first), 0 where the correction may not be. */
  | { readonly kind: 'occupiedBins'; readonly kept: ArrayLike<number> };

/** The filter's response at the place of an impulse; real. */
export function centreOf(filter: ReductionFilter): number {
  if (filter.kind === 'taps') return filter.taps.re[filter.delaySamples];
  let sum = 0;
  for (let b = 0; b < filter.kept.length; b++) sum += filter.kept[b];
  return sum / filter.kept.length;
}

/** Filtering the whole record costs about as much as this many tap additions per sample (measured on Node 20). */
const DENSE_COST_PER_SAMPLE = 120;

/** y −= factor·(correction ⋆ filter), circular, delay removed. */
export function subtractFiltered(
  y: ComplexSignal,
  correction: SparseSignal,
  filter: ReductionFilter,
  factor: number,
): void {
  const length = y.re.length;
  if (filter.kind === 'taps' && correction.count * filter.taps.re.length <= DENSE_COST_PER_SAMPLE * length) {
    addFilteredSparse(y, correction, filter.taps, filter.delaySamples, -factor);
    return;
  }
  const dense = spread(correction, length);
  const filtered =
    filter.kind === 'taps' ? filterPeriodic(dense, filter.taps, filter.delaySamples) : weighBins(dense, filter.kept);
  for (let n = 0; n < length; n++) {
    y.re[n] -= factor * filtered.re[n];
    y.im[n] -= factor * filtered.im[n];
  }
}

function weighBins(x: ComplexSignal, weights: ArrayLike<number>): ComplexSignal {
  const spectrum = fft(x);
  for (let b = 0; b < weights.length; b++) {
    spectrum.re[b] *= weights[b];
    spectrum.im[b] *= weights[b];
  }
  return inverseFft(spectrum);
}

/**
 * The correction filter of a waveform, or null when no carrier may take any of it: shares of 0, or tones, between which
 * a correction would put what was not there (their phases are the tool). Noise alone and anything with a notch keep
 * exact bins of the record, all else the sum of the channel filters.
 */
export function reductionFilterOf(resolved: ResolvedWaveform): ReductionFilter | null {
  const shares = resolved.carriers.map(shareOf);
  const largest = Math.max(...shares);
  if (!(largest > 0)) return null;
  const weights = shares.map((share) => share / largest);
  const { carriers } = resolved;
  const onBins =
    carriers.every((carrier) => carrier.halfBinCount !== null) ||
    carriers.some((carrier, i) => weights[i] > 0 && carrier.geometry.notch !== null);
  return onBins ? binFilter(resolved, weights) : tapFilter(resolved, weights);
}

function shareOf({ geometry, crestShareRatio }: ResolvedCarrier): number {
  return geometry.tones === null ? crestShareRatio : 0;
}

function binFilter(
  { carriers, sampleCount, sampleRateHz }: ResolvedWaveform,
  weights: readonly number[],
): ReductionFilter {
  const kept = new Float64Array(sampleCount);
  let equalSum = 0;
  let sum = 0;
  carriers.forEach((carrier, i) => {
    if (carrier.geometry.tones !== null) return;
    for (const bin of occupiedBins(carrier, sampleCount, sampleRateHz)) {
      kept[bin] = weights[i];
      equalSum++;
      sum += weights[i];
    }
  });
  return { kind: 'occupiedBins', kept: equalSum === sum ? kept : kept.map((weight) => (weight * equalSum) / sum) };
}

/** Bins of the record, in transform order, that a carrier fills: its band about its offset without its notch. */
export function occupiedBins(carrier: ResolvedCarrier, sampleCount: number, sampleRateHz: number): number[] {
  const { geometry, cyclesPerRecord } = carrier;
  const binHz = sampleRateHz / sampleCount;
  const half = carrier.halfBinCount ?? Math.floor(geometry.occupiedBandwidthHz / 2 / binHz);
  const bins: number[] = [];
  for (let bin = -half; bin <= half; bin++) {
    const { notch } = geometry;
    if (notch !== null && bin * binHz > notch.lowerHz && bin * binHz < notch.upperHz) continue;
    bins.push((((cyclesPerRecord + bin) % sampleCount) + sampleCount) % sampleCount);
  }
  return bins;
}

/** Odd lengths, one centre: shorter filters lie in the middle of the longest. */
function tapFilter(
  { carriers, sampleCount, sampleRateHz }: ResolvedWaveform,
  weights: readonly number[],
): ReductionFilter {
  const corrected = carriers.map((carrier, i) => ({ carrier, weight: weights[i] }));
  const open = corrected.filter(({ carrier }) => carrier.geometry.tones === null);
  const tapCount = Math.max(...open.map(({ carrier }) => carrier.filter.tapCount));
  const taps = zeros(tapCount);
  const centre = (tapCount - 1) / 2;
  let equalCentre = 0;
  for (const { carrier, weight } of open) {
    const moved = moveFilter(channelTaps(carrier, sampleRateHz), carrier.cyclesPerRecord / sampleCount);
    const first = (tapCount - moved.re.length) / 2;
    equalCentre += moved.re[(moved.re.length - 1) / 2];
    if (weight === 0) continue;
    for (let k = 0; k < moved.re.length; k++) {
      taps.re[first + k] += weight * moved.re[k];
      taps.im[first + k] += weight * moved.im[k];
    }
  }
  const ratio = equalCentre / taps.re[centre];
  if (ratio !== 1) {
    for (let k = 0; k < tapCount; k++) {
      taps.re[k] *= ratio;
      taps.im[k] *= ratio;
    }
  }
  return { kind: 'taps', taps, delaySamples: centre };
}

/** Channel filter of a carrier about its own centre. */
export function channelTaps({ filter }: Pick<ResolvedCarrier, 'filter'>, sampleRateHz: number): Samples {
  return kaiserLowpass({
    tapCount: filter.tapCount,
    cutoffRatio: filter.cutoffHz / sampleRateHz,
    beta: filter.kaiserBeta,
  });
}
