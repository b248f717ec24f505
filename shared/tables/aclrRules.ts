// Channels, filters, gap slots and limits of the standards' ACLR and CACLR tables, and the limits of one rule as a list.
//
// Status of every table: read in the standard's text, or recalled from memory; check the current text. A required ratio
// may be replaced by an absolute density of the base station's class, whichever is easier to meet.
import type { AclrRule, LimitSettings } from '../schema/measurement.ts';
import table from './aclrRules.json' with { type: 'json' };

export type TableStatus = LimitSettings['status'];
export type AclrLimitSettings = Extract<LimitSettings, { reading: 'aclr' }>;

/** A channel beside the outer carriers: its centre lies channelBandwidths·BW + fixedHz from the carrier's centre. */
export interface AclrRuleChannel {
  readonly name: 'adjacent' | 'alternate' | 'utraFirst' | 'utraSecond';
  readonly channelBandwidths: number;
  readonly fixedHz: number;
  /** "transmission": what the rule's column `transmission` says for the carrier's channel. */
  readonly bandwidthHz: number | 'transmission';
  readonly filter: 'square' | 'rrc';
  readonly requiredDb: number;
  readonly table: string;
  readonly status: TableStatus;
}

export type CarrierClass = 'upTo20MHz' | 'from25MHz';

/** A slot inside a gap, counted from the channel edge of the carrier beside it. */
export interface GapSlotRule {
  /** Channel of the carrier at this edge. */
  readonly carrier: CarrierClass;
  readonly offsetHz: number;
  readonly bandwidthHz: number;
  readonly filter: 'square' | 'rrc';
  /** Narrowest gap with this slot. */
  readonly fromHz: number;
  readonly fromIncluded: boolean;
  /**
   * By the channel of the carrier at the other edge: below this gap the slot is held against the sum of both carriers
   * (CACLR), from it on against the carrier of its own edge alone (ACLR).
   */
  readonly aloneFromHz: Readonly<Record<CarrierClass, number>>;
}

export interface AclrRuleTable {
  readonly standard: string;
  /** Filter on the carrier itself: its occupied band, the table's transmission bandwidth, or UTRA's 3.84 MHz. */
  readonly ownFilter: 'occupied' | 'transmission' | 'rrc3840';
  /**
   * Width of a channel's neighbours. nrLargest: the largest transmission bandwidth of any subcarrier spacing; nrReference:
   * SCS·(12·N_RB + 1) at 15 kHz up to 50 MHz, 30 kHz above; lte: TS 36.104 Table 5.6-1.
   */
  readonly transmission: 'nrLargest' | 'nrReference' | 'lte' | null;
  readonly channels: readonly AclrRuleChannel[];
  readonly gap: {
    readonly table: string;
    readonly requiredDb: number;
    readonly status: TableStatus;
    readonly slots: readonly GapSlotRule[];
  } | null;
  readonly absolute: {
    readonly table: string;
    readonly status: TableStatus;
    readonly classes: readonly { readonly name: string; readonly dbmPerMHz: number }[];
  } | null;
  /** User equipment: the ratio required in the adjacent channel by power class. */
  readonly powerClasses: readonly { readonly name: string; readonly requiredDb: number }[] | null;
}

export const aclrRules = table as Readonly<Record<AclrRule, AclrRuleTable>>;

/** Names of the classes that choose between limits of one rule; empty where there is one set only. */
export function aclrClassesOf(rule: AclrRule): string[] {
  const { absolute, powerClasses } = aclrRules[rule];
  return [...(absolute?.classes ?? []), ...(powerClasses ?? [])].map(({ name }) => name);
}

/**
 * The limits of one rule, one for each channel and one for the slots in gaps. A base station class adds its absolute
 * alternative to every ratio, a power class of user equipment sets the adjacent channel's ratio; either stands in the
 * source. Null leaves the alternative out. RangeError for a class the rule does not know.
 */
export function aclrLimits(rule: AclrRule, className: string | null): AclrLimitSettings[] {
  const { channels, gap, absolute, powerClasses } = aclrRules[rule];
  if (className !== null && !aclrClassesOf(rule).includes(className)) {
    throw new RangeError(`aclrLimits: ${rule} has no class ${className}`);
  }
  const density = absolute?.classes.find(({ name }) => name === className)?.dbmPerMHz ?? null;
  const ofClass = powerClasses?.find(({ name }) => name === className)?.requiredDb;
  const named = (source: string, isByClass: boolean) => (isByClass ? `${source}, ${className}` : source);
  const beside = channels.map((row): AclrLimitSettings => {
    const isByPowerClass = ofClass !== undefined && row.name === 'adjacent';
    return {
      reading: 'aclr',
      channel: row.name,
      requiredDb: isByPowerClass ? ofClass : row.requiredDb,
      absoluteDbmPerMHz: density,
      source: named(row.table, density !== null || isByPowerClass),
      status: row.status,
    };
  });
  if (gap === null) return beside;
  const { requiredDb, table: source, status } = gap;
  const inGaps = { reading: 'aclr', channel: 'gap', requiredDb, absoluteDbmPerMHz: density, status } as const;
  return [...beside, { ...inGaps, source: named(source, density !== null) }];
}
