// Adjacent channel leakage ratio: own-channel power over the power in a channel beside it, both sides.
// With several carriers the lower side uses the lowest carrier and the upper side the highest one.
// In a gap between carriers a slot is compared with the carriers beside it, together or alone.
// Source: TS 38.104 clause 6.6.3 (read). aclrDb is positive; figures in dBc are −aclrDb.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { AclrReading, Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { type PowerSpectrum, ratioSpreadDb } from '../dsp/spectrum.ts';
import {
  type FilterKind,
  filteredPower,
  filterSpanHz,
  isFilterInside,
  type MeasuringFilter,
} from './measuringFilter.ts';

/** A measured channel beside the outer carriers, or a slot in a gap between two of them. */
export interface AclrChannel {
  readonly name: string;
  /** From the outer carrier's centre to the channel's centre; in a gap from the channel edge to the slot's centre. */
  readonly offsetHz: number;
  /** Width of a square filter, chip rate of an rrc one. */
  readonly bandwidthHz: number;
  /** Default square. */
  readonly filter?: FilterKind;
  /** Read on this side only; without it on both. In a gap the edge it is counted from. */
  readonly side?: Side;
  /** Filter on the carrier it is compared with; without it square over the carrier's occupied band. */
  readonly own?: MeasuringFilter;
  /** In a gap: where it lies in the record, and the carriers (indices) whose sum it is compared with. */
  readonly gap?: { readonly centreHz: number; readonly references: readonly number[] };
}

/** What of a carrier ACLR needs. */
export type AclrCarrier = Pick<CarrierGeometry, 'offsetHz' | 'occupiedBandwidthHz' | 'channelBandwidthHz'>;

const SIDES: readonly Side[] = ['lower', 'upper'];

/** The sides a channel is read on. */
export function sidesOf(channel: AclrChannel): readonly Side[] {
  return channel.side === undefined ? SIDES : [channel.side];
}

/**
 * Adjacent and alternate channel, as wide as the outer carrier beside them and one and two of its channels away. Outer
 * carriers of different channels give every side a channel of its own. Source: TS 38.104 Table 6.6.3.2-1 (read): the
 * offset goes by the channel bandwidth of the lowest or highest carrier.
 */
export function standardChannels(carriers: readonly AclrCarrier[]): AclrChannel[] {
  const { lowest, highest } = outerCarriers(carriers);
  const beside = (outer: AclrCarrier, channels: number) => ({
    name: channels === 1 ? 'adjacent' : 'alternate',
    offsetHz: channels * outer.channelBandwidthHz,
    bandwidthHz: outer.occupiedBandwidthHz,
  });
  const isEqual =
    lowest.channelBandwidthHz === highest.channelBandwidthHz &&
    lowest.occupiedBandwidthHz === highest.occupiedBandwidthHz;
  return [1, 2].flatMap((channels): AclrChannel[] =>
    isEqual
      ? [beside(lowest, channels)]
      : [
          { ...beside(lowest, channels), side: 'lower' },
          { ...beside(highest, channels), side: 'upper' },
        ],
  );
}

/** The first carrier whose occupied band a channel's filter cuts into by more than `toleranceHz`, or null. */
export function carrierUnder(
  carriers: readonly AclrCarrier[],
  channel: AclrChannel,
  side: Side,
  toleranceHz: number,
): AclrCarrier | null {
  const centreHz = channelCentreHz(carriers, channel, side);
  const spanHz = channelSpanHz(channel);
  const cuts = ({ offsetHz, occupiedBandwidthHz }: AclrCarrier) =>
    Math.abs(offsetHz - centreHz) + toleranceHz < (occupiedBandwidthHz + spanHz) / 2;
  return carriers.find(cuts) ?? null;
}

function outerCarriers<Carrier extends AclrCarrier>(carriers: readonly Carrier[]) {
  let lowest = carriers[0];
  let highest = carriers[0];
  for (const carrier of carriers) {
    if (carrier.offsetHz < lowest.offsetHz) lowest = carrier;
    if (carrier.offsetHz > highest.offsetHz) highest = carrier;
  }
  return { lowest, highest };
}

/** The carrier that the channels of one side are compared with: the lowest or the highest one. */
export function outerCarrier<Carrier extends AclrCarrier>(carriers: readonly Carrier[], side: Side): Carrier {
  const { lowest, highest } = outerCarriers(carriers);
  return side === 'lower' ? lowest : highest;
}

/** Centre of a channel beside the outer carrier of one side, or of a slot in a gap. */
export function channelCentreHz(carriers: readonly AclrCarrier[], channel: AclrChannel, side: Side): number {
  if (channel.gap !== undefined) return channel.gap.centreHz;
  const sign = side === 'lower' ? -1 : 1;
  return outerCarrier(carriers, side).offsetHz + sign * channel.offsetHz;
}

/** Band in which the channel's filter lets anything through. */
export function channelSpanHz(channel: AclrChannel): number {
  return filterSpanHz(filterOf(channel));
}

function filterOf({ bandwidthHz, filter: kind = 'square' }: AclrChannel): MeasuringFilter {
  return { kind, bandwidthHz };
}

/** The carriers whose power is compared with the power in a channel. */
export function referenceCarriers<Carrier extends AclrCarrier>(
  carriers: readonly Carrier[],
  channel: AclrChannel,
  side: Side,
): Carrier[] {
  if (channel.gap !== undefined) return channel.gap.references.map((index) => carriers[index]);
  return [outerCarrier(carriers, side)];
}

/** Power that a channel is compared with, linear: its carriers behind the filter on the own channel. */
export function referencePower(
  spectrum: PowerSpectrum,
  carriers: readonly AclrCarrier[],
  channel: AclrChannel,
  side: Side,
): number {
  return referenceCarriers(carriers, channel, side).reduce((sum, { offsetHz, occupiedBandwidthHz }) => {
    const own = channel.own ?? { kind: 'square', bandwidthHz: occupiedBandwidthHz };
    return sum + filteredPower(spectrum, offsetHz, own);
  }, 0);
}

/** Every side a channel is read on, with its centre there; outside ±fs/2 it has no reading. */
export function channelPlaces(
  sampleRateHz: number,
  carriers: readonly AclrCarrier[],
  channels: readonly AclrChannel[],
): { readonly channel: AclrChannel; readonly side: Side; readonly centreHz: number; readonly isInside: boolean }[] {
  return channels.flatMap((channel) =>
    sidesOf(channel).map((side) => {
      const centreHz = channelCentreHz(carriers, channel, side);
      return { channel, side, centreHz, isInside: isFilterInside(sampleRateHz, centreHz, filterOf(channel)) };
    }),
  );
}

export interface AclrOutcome {
  readonly readings: AclrReading[];
  /** Channels outside ±fs/2: no reading exists for them. */
  readonly outside: { readonly channel: AclrChannel; readonly side: Side; readonly centreHz: number }[];
}

/**
 * Reads every channel on its sides. A channel outside ±fs/2 is listed, never read. `unitDbm` is the antenna port's dBm
 * of |y|² = 1, null without a power scale: then no density is given.
 */
export function measureAclr(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  carriers: readonly AclrCarrier[],
  channels: readonly AclrChannel[],
  unitDbm: number | null = null,
): AclrOutcome {
  const readings: AclrReading[] = [];
  const outside: AclrOutcome['outside'] = [];
  for (const { channel, side, centreHz, isInside } of channelPlaces(sampleRateHz, carriers, channels)) {
    if (!isInside) {
      outside.push({ channel, side, centreHz });
      continue;
    }
    const filter = filterOf(channel);
    const ownOf = (run: PowerSpectrum) => referencePower(run, carriers, channel, side);
    const neighbourOf = (run: PowerSpectrum) => filteredPower(run, centreHz, filter);
    const own = ownOf(spectrum);
    const aclrDb = powerRatioToDb(own / Math.max(neighbourOf(spectrum), own * 1e-30));
    const { name, offsetHz, bandwidthHz } = channel;
    readings.push({
      channel: name,
      side,
      offsetHz,
      centreHz,
      bandwidthHz,
      filter: filter.kind,
      aclrDb,
      spreadDb: ratioSpreadDb(spectrum, (run) => neighbourOf(run) / ownOf(run)),
      densityDbmPerMHz: unitDbm === null ? null : densityDbmPerMHz(unitDbm + powerRatioToDb(own), aclrDb, bandwidthHz),
      limitedBy: null,
    });
  }
  return { readings, outside };
}

/** The worse side of one channel name ("adjacent" by default), or null when it was not read. */
export function worstAclrDb(readings: readonly AclrReading[], channel = 'adjacent'): number | null {
  let worst: number | null = null;
  for (const reading of readings) {
    if (reading.channel === channel && (worst === null || reading.aclrDb < worst)) worst = reading.aclrDb;
  }
  return worst;
}

/**
 * Mean density in a channel, in dBm/MHz, from the power of the carrier its ACLR refers to:
 *   P_own − ACLR − 10·log10(bandwidth/1 MHz)
 */
export function densityDbmPerMHz(ownPowerDbm: number, aclrDb: number, bandwidthHz: number): number {
  return ownPowerDbm - aclrDb - powerRatioToDb(bandwidthHz / 1e6);
}
