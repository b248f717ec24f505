// Which channels a scenario measures beside its outer carriers. A channel that cuts into a carrier would read that
// carrier's own power as leakage.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import type { MeasurementSettings } from '../../../shared/schema/scenario.ts';
import { type AclrChannel, carrierUnder, sidesOf, standardChannels } from '../measurement/aclr.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

type ChannelSettings = MeasurementSettings['channels'];

/** Names of given channels, in their order. */
const NAMES = ['adjacent', 'alternate', 'third', 'fourth', 'fifth', 'sixth'];

/** The channels as given, or the standard ones, which stand outside all carriers because carriers never overlap. */
export function chooseChannels(settings: ChannelSettings, waveform: ResolvedWaveform): AclrChannel[] {
  if (typeof settings === 'string') return standardChannels(waveform.carriers.map((carrier) => carrier.geometry));
  return settings.map((channel, i) => ({ name: NAMES[i] ?? `channel ${i + 1}`, ...channel }));
}

/** Faults of a given list: empty, or a channel over a carrier. */
export function channelIssues(settings: ChannelSettings, waveform: ResolvedWaveform): Issue[] {
  if (typeof settings === 'string') return [];
  if (settings.length === 0) {
    const rule = 'must hold at least one channel, or be "auto"';
    const remedy = 'write "auto" for adjacent and alternate';
    return [{ path: 'measurement.channels', rule, value: '[]', remedy }];
  }
  return chooseChannels(settings, waveform).flatMap((channel, i): Issue[] => {
    const cut = sidesOf(channel).flatMap((side) => {
      const carrier = cutCarrier(waveform, channel, side);
      return carrier === null ? [] : [{ side, carrier }];
    })[0];
    if (cut === undefined) return [];
    const { side, carrier } = cut;
    const half = carrier.occupiedBandwidthHz / 2;
    const band = [carrier.offsetHz - half, carrier.offsetHz + half].map((hz) => `${Number((hz / 1e6).toFixed(4))}`);
    return [
      {
        path: `measurement.channels.${i}`,
        rule: `must lie beside the carriers: on the ${side} side it cuts into the carrier from ${band.join(' to ')} MHz`,
        value: printValue(settings[i]),
        remedy: 'raise its offset or narrow it',
      },
    ];
  });
}

/** Carriers stand on whole cycles and noise on whole bins of the record: bands that touch may cross by two bins. */
function cutCarrier(waveform: ResolvedWaveform, channel: AclrChannel, side: 'lower' | 'upper') {
  const carriers = waveform.carriers.map((carrier) => carrier.geometry);
  return carrierUnder(carriers, channel, side, (2 * waveform.sampleRateHz) / waveform.sampleCount);
}

/**
 * The list to write into a resolved scenario. One exception: channels that differ between the sides have no such list
 * and stay "auto", which chooses them again.
 */
export function resolvedChannels(settings: ChannelSettings, channels: readonly AclrChannel[]): ChannelSettings {
  if (settings !== 'auto' || channels.some((channel) => channel.side !== undefined)) return settings;
  return channels.map(({ offsetHz, bandwidthHz, filter = 'square' }) => ({ offsetHz, bandwidthHz, filter }));
}
