// What of a scenario decides which limits of a standard hold.
import type { Issue } from '../schema/issue.ts';
import type { ChannelsSettings } from '../schema/measurement.ts';
import { channelSaturatedPowerDbm } from '../schema/overBand.ts';
import type { CarrierSettings, LimitSettings, Scenario } from '../schema/scenario.ts';

/** A set of limits that belong together. */
export interface LimitSet {
  readonly id: string;
  readonly title: string;
  readonly standard: string;
  /** Class, category or power class. */
  readonly className: string;
  /** What a scenario must have for it. */
  readonly needs: string;
}

/** What a set writes into a scenario. */
export interface SetLimits {
  readonly limits: readonly LimitSettings[];
  /** For measurement.channels. */
  readonly channels: ChannelsSettings;
  /** What was taken for granted, in words. */
  readonly notes: readonly string[];
}

/** How a set makes its limits; faults are listed in place of them. */
export type LimitMaker = (subject: LimitSubject, set: LimitSet) => SetLimits | Issue[];

export interface LimitCarrier {
  readonly kind: CarrierSettings['kind'];
  /** Whose numerology; null for other carriers. */
  readonly standard: 'lte' | 'nr' | null;
  readonly offsetHz: number;
  readonly channelBandwidthHz: number;
  readonly occupiedBandwidthHz: number;
  readonly relativePowerDb: number;
  readonly modulation: string | null;
  /** Single carriers only. */
  readonly symbolRateHz: number | null;
}

export interface LimitSubject {
  readonly carriers: readonly LimitCarrier[];
  readonly carrierFrequencyHz: number | null;
  /** Mean power of all carriers at the antenna port; null without a power scale. */
  readonly antennaMeanDbm: number | null;
  /**
   * f_offset_max of operating-band emissions; without it Δf_OBUE by the carrier's frequency, as if the carrier stood at
   * the edge of its band.
   */
  readonly maskRangeHz?: number;
}

/** The figures of a carrier that are known only when it is resolved; a report's carriers and a geometry have them. */
type PlacedCarrier = Pick<LimitCarrier, 'offsetHz' | 'channelBandwidthHz' | 'occupiedBandwidthHz' | 'relativePowerDb'>;

/** The subject of a scenario and its carriers as placed. */
export function limitSubjectOf(scenario: Scenario, placed: readonly PlacedCarrier[]): LimitSubject {
  return {
    carriers: placed.map((place, i) => carrierOf(place, scenario.waveform.carriers[i])),
    carrierFrequencyHz: scenario.carrierFrequencyHz,
    antennaMeanDbm: antennaMeanOf(scenario),
  };
}

function carrierOf(place: PlacedCarrier, settings: CarrierSettings | undefined): LimitCarrier {
  const { offsetHz, channelBandwidthHz, occupiedBandwidthHz, relativePowerDb } = place;
  return {
    kind: settings?.kind ?? 'record',
    standard: settings?.kind === 'ofdm' ? settings.standard : null,
    offsetHz,
    channelBandwidthHz,
    occupiedBandwidthHz,
    relativePowerDb,
    modulation: settings !== undefined && 'modulation' in settings ? settings.modulation : null,
    symbolRateHz: settings?.kind === 'singleCarrier' ? settings.symbolRateHz : null,
  };
}

/** The mean power at the antenna port a scenario asks for; null without a saturated power. */
export function antennaMeanOf({ operatingPoint, amplifier }: Scenario): number | null {
  const { outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm } = operatingPoint;
  const { outputLossDb } = amplifier;
  const saturatedPowerDbm = channelSaturatedPowerDbm(amplifier);
  if (saturatedPowerDbm === null) return null;
  if (antennaMeanDbm !== undefined) return antennaMeanDbm;
  if (meanPowerDbm !== undefined) return meanPowerDbm - outputLossDb;
  if (meanPowerW !== undefined) return 30 + 10 * Math.log10(meanPowerW) - outputLossDb;
  return saturatedPowerDbm - (outputBackoffDb ?? 0) - outputLossDb;
}

/** Power of the strongest carrier, dBm: total less what the others have. */
export function strongestCarrierDbm({ carriers, antennaMeanDbm }: LimitSubject): number | null {
  if (antennaMeanDbm === null) return null;
  const powers = carriers.map(({ relativePowerDb }) => 10 ** (relativePowerDb / 10));
  return antennaMeanDbm + 10 * Math.log10(Math.max(...powers) / powers.reduce((sum, power) => sum + power, 0));
}

/** Widths between the channels of neighbouring carriers, with the channels on both sides. */
export function gapsAmong(carriers: readonly LimitCarrier[]) {
  const rising = [...carriers].sort((a, b) => a.offsetHz - b.offsetHz);
  return rising.slice(1).flatMap((above, i) => {
    const below = rising[i] as LimitCarrier;
    const widthHz = above.offsetHz - above.channelBandwidthHz / 2 - (below.offsetHz + below.channelBandwidthHz / 2);
    return widthHz > GAP_TOLERANCE_HZ ? [{ widthHz, beside: [below, above] as const }] : [];
  });
}

/** Carriers stand on whole cycles of the record: touching channels may miss each other by so much. */
export const GAP_TOLERANCE_HZ = 10e3;
