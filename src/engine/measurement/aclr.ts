// Adjacent channel leakage ratio: own-channel power over the power in a channel beside it, both sides.
// With several carriers the lower side uses the lowest carrier and the upper side the highest one.
// Source: TS 38.104 clause 6.6.3 (read). aclrDb is positive; figures in dBc are −aclrDb.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { AclrReading, Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, isInsideAxis, type PowerSpectrum } from '../dsp/spectrum.ts';

/** A measured channel beside the outer carrier; both sides are read. */
export interface AclrChannel {
  readonly name: string;
  /** From the outer carrier's centre to the channel's centre. */
  readonly offsetHz: number;
  readonly bandwidthHz: number;
}

/** What of a carrier ACLR needs. */
export type AclrCarrier = Pick<CarrierGeometry, 'offsetHz' | 'occupiedBandwidthHz' | 'channelBandwidthHz'>;

/** Adjacent and alternate channel of equal width beside the widest of the outer carriers. */
export function standardChannels(carriers: readonly AclrCarrier[]): AclrChannel[] {
  const { lowest, highest } = outerCarriers(carriers);
  const outer = lowest.channelBandwidthHz >= highest.channelBandwidthHz ? lowest : highest;
  return [
    { name: 'adjacent', offsetHz: outer.channelBandwidthHz, bandwidthHz: outer.occupiedBandwidthHz },
    { name: 'alternate', offsetHz: 2 * outer.channelBandwidthHz, bandwidthHz: outer.occupiedBandwidthHz },
  ];
}

function outerCarriers(carriers: readonly AclrCarrier[]) {
  let lowest = carriers[0];
  let highest = carriers[0];
  for (const carrier of carriers) {
    if (carrier.offsetHz < lowest.offsetHz) lowest = carrier;
    if (carrier.offsetHz > highest.offsetHz) highest = carrier;
  }
  return { lowest, highest };
}

/** Centre of a channel on one side, and the carrier it is compared with. */
function place(carriers: readonly AclrCarrier[], channel: AclrChannel, side: Side) {
  const { lowest, highest } = outerCarriers(carriers);
  const carrier = side === 'lower' ? lowest : highest;
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

/** Reads every channel on both sides. A channel outside ±fs/2 is listed, never read. */
export function measureAclr(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  carriers: readonly AclrCarrier[],
  channels: readonly AclrChannel[],
): AclrOutcome {
  const readings: AclrReading[] = [];
  const outside: AclrOutcome['outside'] = [];
  for (const channel of channels) {
    for (const side of ['lower', 'upper'] as const) {
      const { carrier, centreHz } = place(carriers, channel, side);
      if (!isInsideAxis(sampleRateHz, centreHz, channel.bandwidthHz)) {
        outside.push({ channel, side, centreHz });
        continue;
      }
      const own = bandPower(spectrum, carrier.offsetHz, carrier.occupiedBandwidthHz);
      const neighbour = bandPower(spectrum, centreHz, channel.bandwidthHz);
      readings.push({
        channel: channel.name,
        side,
        offsetHz: channel.offsetHz,
        bandwidthHz: channel.bandwidthHz,
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
