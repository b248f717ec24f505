// Which channels a scenario measures beside its outer carriers and in the gaps between them. A channel that cuts into a
// carrier would read that carrier's own power as leakage.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import type { AclrRule, MeasurementSettings } from '../../../shared/schema/measurement.ts';
import { aclrRules } from '../../../shared/tables/aclrRules.ts';
import { numerologies } from '../../../shared/tables/numerologies.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { type AclrCarrier, type AclrChannel, carrierUnder, sidesOf, standardChannels } from '../measurement/aclr.ts';
import { ruleChannels, transmissionBandwidthHz } from '../measurement/aclrRules.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

type ChannelSettings = MeasurementSettings['channels'];

/** Names of given channels, in their order. */
const NAMES = ['adjacent', 'alternate', 'third', 'fourth', 'fifth', 'sixth'];

/** The channels as given, by a standard's tables, or the usual two, as wide as the outer carriers. */
export function chooseChannels(settings: ChannelSettings, waveform: ResolvedWaveform): AclrChannel[] {
  const carriers = waveform.carriers.map((carrier) => carrier.geometry);
  if (settings === 'auto') return standardChannels(carriers);
  if (typeof settings === 'string') return channelsForRule(settings, carriers);
  return settings.map((channel, i) => ({ name: NAMES[i] ?? `channel ${i + 1}`, ...channel }));
}

/**
 * Channels and gap slots of one standard for carriers of any origin: beside the lowest and the highest one, and in the
 * gaps between neighbours. A channel bandwidth that the standard's table does not hold takes the occupied bandwidth.
 */
export function channelsForRule(rule: AclrRule, carriers: readonly AclrCarrier[]): AclrChannel[] {
  return ruleChannels(aclrRules[rule], numerologies, carriers);
}

/** A note when a rule's table does not hold the channel of an outer carrier. */
export function channelNotes(settings: ChannelSettings, waveform: ResolvedWaveform): Warning[] {
  if (typeof settings !== 'string' || settings === 'auto') return [];
  const rule = aclrRules[settings];
  if (rule.transmission === null) return [];
  const missing = waveform.carriers
    .map((carrier) => carrier.geometry)
    .filter((geometry) => transmissionBandwidthHz(rule, numerologies, geometry) === null);
  if (missing.length === 0) return [];
  const widths = [...new Set(missing.map(({ channelBandwidthHz }) => formatHz(channelBandwidthHz)))];
  const message = `${rule.standard} has no channel of ${widths.join(' or ')}: its neighbouring channels are as wide as the carrier’s occupied band instead.`;
  return [{ code: 'channel-not-in-table', message }];
}

/** Faults of the channels: none given, or one over a carrier. */
export function channelIssues(settings: ChannelSettings, waveform: ResolvedWaveform): Issue[] {
  if (settings === 'auto') return [];
  if (typeof settings === 'string') return ruleIssues(settings, waveform);
  if (settings.length === 0) {
    const rule = 'must hold at least one channel, or be "auto"';
    const remedy = 'write "auto" for adjacent and alternate';
    return [{ path: 'measurement.channels', rule, value: '[]', remedy }];
  }
  return chooseChannels(settings, waveform).flatMap((channel, i): Issue[] => {
    const cut = cutText(waveform, channel);
    if (cut === null) return [];
    const path = `measurement.channels.${i}`;
    const rule = `must lie beside the carriers: ${cut}`;
    return [{ path, rule, value: printValue(settings[i]), remedy: 'raise its offset or narrow it' }];
  });
}

/** A rule with fixed offsets, such as UTRA's 5 MHz, does not suit every carrier. */
function ruleIssues(rule: AclrRule, waveform: ResolvedWaveform): Issue[] {
  for (const channel of chooseChannels(rule, waveform)) {
    const cut = cutText(waveform, channel);
    if (cut === null) continue;
    const remedy = 'choose the rule of the carrier’s own standard, or give offsets and bandwidths';
    const reason = `must suit the carriers: its ${channel.name} channel does not lie beside them; ${cut}`;
    return [{ path: 'measurement.channels', rule: reason, value: rule, remedy }];
  }
  return [];
}

/** Which carrier a channel cuts into, in words, or null. */
function cutText(waveform: ResolvedWaveform, channel: AclrChannel): string | null {
  for (const side of sidesOf(channel)) {
    const carrier = cutCarrier(waveform, channel, side);
    if (carrier === null) continue;
    const half = carrier.occupiedBandwidthHz / 2;
    const band = [carrier.offsetHz - half, carrier.offsetHz + half].map((hz) => `${Number((hz / 1e6).toFixed(4))}`);
    return `on the ${side} side it cuts into the carrier from ${band.join(' to ')} MHz`;
  }
  return null;
}

/** Carriers stand on whole cycles and noise on whole bins of the record: bands that touch may cross by two bins. */
function cutCarrier(waveform: ResolvedWaveform, channel: AclrChannel, side: 'lower' | 'upper') {
  const carriers = waveform.carriers.map((carrier) => carrier.geometry);
  return carrierUnder(carriers, channel, side, (2 * waveform.sampleRateHz) / waveform.sampleCount);
}

/**
 * The list to write into a resolved scenario. Two exceptions: a rule's name says more than a list, and channels that
 * differ between the sides have no such list and stay "auto", which chooses them again.
 */
export function resolvedChannels(settings: ChannelSettings, channels: readonly AclrChannel[]): ChannelSettings {
  if (settings !== 'auto' || channels.some((channel) => channel.side !== undefined)) return settings;
  return channels.map(({ offsetHz, bandwidthHz, filter = 'square' }) => ({ offsetHz, bandwidthHz, filter }));
}
