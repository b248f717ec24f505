// Adjacent channel leakage ratio: own-channel power over the power in a channel beside it, both sides.
// With several carriers the lower side uses the lowest carrier and the upper side the highest one.
// Source: TS 38.104 clause 6.6.3 (read). aclrDb is positive; figures in dBc are −aclrDb.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { AclrReading, Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, isInsideAxis, type PowerSpectrum, ratioSpreadDb } from '../dsp/spectrum.ts';

/** A measured channel beside the outer carriers. */
export interface AclrChannel {
  readonly name: string;
  /** From the outer carrier's centre to the channel's centre. */
  readonly offsetHz: number;
  readonly bandwidthHz: number;
  /** Default square. */
  readonly filter?: 'square' | 'rrc';
  /** Read on this side only; without it on both. */
  readonly side?: Side;
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

/** The first carrier whose occupied band a channel cuts into by more than `toleranceHz`, or null. */
export function carrierUnder(
  carriers: readonly AclrCarrier[],
  channel: AclrChannel,
  side: Side,
  toleranceHz: number,
): AclrCarrier | null {
  const { centreHz } = place(carriers, channel, side);
  const cuts = ({ offsetHz, occupiedBandwidthHz }: AclrCarrier) =>
    Math.abs(offsetHz - centreHz) + toleranceHz < (occupiedBandwidthHz + channel.bandwidthHz) / 2;
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

/** Centre of a channel on one side, and the carrier it is compared with. */
function place(carriers: readonly AclrCarrier[], channel: AclrChannel, side: Side) {
  const carrier = outerCarrier(carriers, side);
  const sign = side === 'lower' ? -1 : 1;
  return { carrier, centreHz: carrier.offsetHz + sign * channel.offsetHz };
}

/** Centre of a channel beside the outer carrier of one side. */
export function channelCentreHz(carriers: readonly AclrCarrier[], channel: AclrChannel, side: Side): number {
  return place(carriers, channel, side).centreHz;
}

export interface AclrOutcome {
  readonly readings: AclrReading[];
  /** Channels outside ±fs/2: no reading exists for them. */
  readonly outside: { readonly channel: AclrChannel; readonly side: Side; readonly centreHz: number }[];
}

/** Reads every channel on its sides. A channel outside ±fs/2 is listed, never read. */
export function measureAclr(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  carriers: readonly AclrCarrier[],
  channels: readonly AclrChannel[],
): AclrOutcome {
  const readings: AclrReading[] = [];
  const outside: AclrOutcome['outside'] = [];
  for (const channel of channels) {
    for (const side of sidesOf(channel)) {
      const { carrier, centreHz } = place(carriers, channel, side);
      if (!isInsideAxis(sampleRateHz, centreHz, channel.bandwidthHz)) {
        outside.push({ channel, side, centreHz });
        continue;
      }
      const own = bandPower(spectrum, carrier.offsetHz, carrier.occupiedBandwidthHz);
      const neighbour = bandPower(spectrum, centreHz, channel.bandwidthHz);
      const leakage = (run: PowerSpectrum) =>
        bandPower(run, centreHz, channel.bandwidthHz) / bandPower(run, carrier.offsetHz, carrier.occupiedBandwidthHz);
      readings.push({
        channel: channel.name,
        side,
        offsetHz: channel.offsetHz,
        centreHz,
        bandwidthHz: channel.bandwidthHz,
        filter: channel.filter ?? 'square',
        spreadDb: ratioSpreadDb(spectrum, leakage),
        densityDbmPerMHz: null,
        aclrDb: powerRatioToDb(own / Math.max(neighbour, own * 1e-30)),
        limitedBy: null,
      });
    }
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
