// Power that a measuring filter lets through: square, or the root-raised-cosine receive filter of UTRA.
//
//   square   1 over the bandwidth, 0 beside it
//   rrc      |H(f)|² = 1                                   for |f| < f₁ = (1 − α)·R/2
//                    = ½·(1 + cos(π·(|f| − f₁)/(α·R)))     up to (1 + α)·R/2, 0 beyond
// with the chip rate R and α = 0.22: a raised cosine, whose noise bandwidth ∫|H|² df is R. Sources: TS 25.104 clause
// 6.6.2.2 and TS 25.101 (roll-off and 3.84 MHz read in TS 38.101-1, the shape from memory).
import { bandPower, isInsideAxis, type PowerSpectrum } from '../dsp/spectrum.ts';

export type FilterKind = 'square' | 'rrc';

/** A filter by its noise bandwidth: the width of the square one, the chip rate of the other. */
export interface MeasuringFilter {
  readonly kind: FilterKind;
  readonly bandwidthHz: number;
}

/** Roll-off α of the UTRA receive filter. */
const RRC_ROLL_OFF = 0.22;

/** Width of the band in which the filter lets anything through. */
export function filterSpanHz({ kind, bandwidthHz }: MeasuringFilter): number {
  return kind === 'rrc' ? (1 + RRC_ROLL_OFF) * bandwidthHz : bandwidthHz;
}

/** True when all of the filter lies inside ±fs/2. */
export function isFilterInside(sampleRateHz: number, centreHz: number, filter: MeasuringFilter): boolean {
  return isInsideAxis(sampleRateHz, centreHz, filterSpanHz(filter));
}

/**
 * Power behind a filter, linear in the spectrum's unit. Bins are flat pieces one bin wide, and the filter is integrated
 * exactly over each. The filter must lie inside the axis; RangeError otherwise.
 */
export function filteredPower(spectrum: PowerSpectrum, centreHz: number, filter: MeasuringFilter): number {
  return filter.kind === 'square'
    ? bandPower(spectrum, centreHz, filter.bandwidthHz)
    : rrcPower(spectrum, centreHz, filter.bandwidthHz);
}

function rrcPower(spectrum: PowerSpectrum, centreHz: number, chipRateHz: number): number {
  const { power, binWidthHz, frequencyHz } = spectrum;
  const first = frequencyHz[0];
  const reach = ((1 + RRC_ROLL_OFF) * chipRateHz) / 2;
  // Bin i covers (i ± 1/2) bins about its frequency.
  const from = Math.floor((centreHz - reach - first) / binWidthHz + 0.5);
  const to = Math.floor((centreHz + reach - first) / binWidthHz + 0.5);
  if (from < -1 || to > power.length + 1) {
    throw new RangeError(`filteredPower: ${centreHz} ± ${reach} Hz lies outside the axis from ${first} Hz`);
  }
  let sum = 0;
  let below = passedHz((from - 0.5) * binWidthHz + first - centreHz, chipRateHz);
  for (let i = from; i <= to; i++) {
    const above = passedHz((i + 0.5) * binWidthHz + first - centreHz, chipRateHz);
    // Half of the bin at −fs/2 lies at the top of the axis.
    const bin = i < 0 ? power.length + i : i >= power.length ? i - power.length : i;
    sum += power[bin] * (above - below);
    below = above;
  }
  return sum / binWidthHz;
}

/** ∫₀ᶠ |H|² df′, odd in f: what passes of a density of one per Hz. */
function passedHz(f: number, chipRateHz: number): number {
  const flat = ((1 - RRC_ROLL_OFF) * chipRateHz) / 2;
  const slope = RRC_ROLL_OFF * chipRateHz;
  const distance = Math.abs(f);
  if (distance <= flat) return f;
  const into = Math.min(distance - flat, slope);
  const passed = flat + (into + (slope / Math.PI) * Math.sin((Math.PI * into) / slope)) / 2;
  return f < 0 ? -passed : passed;
}
