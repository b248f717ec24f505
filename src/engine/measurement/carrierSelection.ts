// Takes one carrier out of a record that holds several.
//
// A transform window cuts the other carriers, and unless their symbols have the same length and grid they leak into this
// one (a carrier 10 dB stronger at 2 MHz distance: 5 % of this one's amplitude). A receiver filters first; so does this:
// a linear-phase low-pass, flat over the occupied band, down before the nearest other carrier begins.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { filterPeriodic, kaiserLowpass } from '../dsp/fir.ts';

/** Kaiser 1974 (from memory): β = 0.1102(A − 8.7), taps = (A − 7.95)/14.36 · fs/transition + 1, for A = 60 dB. */
const STOP_BAND_DB = 60;
const BETA = 0.1102 * (STOP_BAND_DB - 8.7);
const TAPS_PER_RATE_RATIO = (STOP_BAND_DB - 7.95) / 14.36;
const MOST_TAPS = 8193;
/** Carriers that touch are parted with a transition of this share of the occupied band. */
const LEAST_TRANSITION_RATIO = 0.02;

/**
 * `x`, already shifted so that the carrier stands at zero, without the other carriers. The same signal when there are
 * none.
 */
export function selectCarrier(
  x: ComplexSignal,
  carriers: readonly CarrierGeometry[],
  carrierIndex: number,
  sampleRateHz: number,
): ComplexSignal {
  const own = carriers[carrierIndex];
  const gaps = carriers
    .filter((other) => other !== own)
    .map(
      (other) => Math.abs(other.offsetHz - own.offsetHz) - (own.occupiedBandwidthHz + other.occupiedBandwidthHz) / 2,
    );
  if (gaps.length === 0) return x;
  const transitionHz = Math.min(
    own.occupiedBandwidthHz,
    Math.max(LEAST_TRANSITION_RATIO * own.occupiedBandwidthHz, Math.min(...gaps)),
  );
  const half = Math.ceil((TAPS_PER_RATE_RATIO * sampleRateHz) / transitionHz / 2);
  const tapCount = Math.min(2 * half + 1, MOST_TAPS);
  const cutoffRatio = Math.min(0.5, (own.occupiedBandwidthHz + transitionHz) / 2 / sampleRateHz);
  const taps = kaiserLowpass({ tapCount, cutoffRatio, beta: BETA });
  return filterPeriodic(x, { re: taps, im: new Float64Array(tapCount) }, (tapCount - 1) / 2);
}
