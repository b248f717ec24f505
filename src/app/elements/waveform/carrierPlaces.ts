// Where carriers lie, as far as their settings tell: for placing new ones and for steps that make sense. The engine moves
// carriers to whole cycles of the record and has the last word.
import type { CarrierSettings } from '../../../../shared/schema/scenario.ts';
import { FILLED_SHARE } from '../../../../shared/schema/starts.ts';

/** A record's width is known only to the engine. */
const UNKNOWN_WIDTH_HZ = 10e6;
/** Channel raster of most bands below 3 GHz (TS 36.104 clause 5.7.1, TS 38.104 Table 5.4.2.3-1). */
const CHANNEL_RASTER_HZ = 100e3;

/** Width of the carrier with the guard that its settings give it. */
export function channelWidthHz(carrier: CarrierSettings): number {
  if (typeof carrier.channelBandwidthHz === 'number') return carrier.channelBandwidthHz;
  switch (carrier.kind) {
    case 'singleCarrier':
      return carrier.symbolRateHz * (1 + carrier.rollOffRatio);
    case 'multitone':
      return carrier.toneCount * carrier.toneSpacingHz;
    case 'twoTone':
      return 2 * carrier.toneSpacingHz;
    case 'noise':
      return carrier.occupiedBandwidthHz;
    default:
      return UNKNOWN_WIDTH_HZ;
  }
}

/** Spacing of neighbours: the channel, or the carrier's width with a small guard where it has no channel. */
export function roomHz(carrier: CarrierSettings): number {
  const width = channelWidthHz(carrier);
  return typeof carrier.channelBandwidthHz === 'number' ? width : width / FILLED_SHARE;
}

/** Offset at which a carrier with this room lies beside the uppermost of the others. */
export function offsetAbove(carriers: readonly CarrierSettings[], room: number): number {
  if (carriers.length === 0) return 0;
  const edges = carriers.map((carrier) => carrier.offsetHz + roomHz(carrier) / 2);
  return Number((Math.max(...edges) + room / 2).toPrecision(6));
}

/** The largest of 1, 2, 5 × 10ⁿ that is not above a value. */
function roundStepBelow(value: number): number {
  const decade = 10 ** Math.floor(Math.log10(value));
  const lead = [5, 2, 1].find((each) => each * decade <= value * (1 + 1e-9)) ?? 1;
  return lead * decade;
}

/** The step a carrier is moved by: the channel raster for cellular carriers, about a hundredth of its width otherwise. */
export function rasterHz(carrier: CarrierSettings): number {
  return carrier.kind === 'ofdm' ? CHANNEL_RASTER_HZ : roundStepBelow(channelWidthHz(carrier) / 50);
}

/** The place on the raster nearest to an offset, without the noise of the multiplication. */
export function onRaster(offsetHz: number, stepHz: number): number {
  return Number((Math.round(offsetHz / stepHz) * stepHz).toPrecision(12)) + 0;
}
