// Channels and gap slots of one standard's ACLR tables for given carriers.
//
// Beside the outer carriers a channel's centre lies n·BW + d from the carrier's centre, BW the channel bandwidth of the
// lowest carrier on the lower side, of the highest on the upper. In a gap between neighbouring carriers of width
//   W = (f₂ − BW₂/2) − (f₁ + BW₁/2)
// slots stand at fixed offsets from both channel edges. In a narrow gap a slot is held against the sum of both carriers
// (CACLR), in a wide one against the carrier of its own edge (ACLR).
// Source: TS 38.104 Tables 6.6.3.2-1, -2a and -3 (read); the other standards as their tables say.
import type { AclrRuleChannel, AclrRuleTable, CarrierClass, GapSlotRule } from '../../../shared/tables/aclrRules.ts';
import type { Numerology } from '../../../shared/tables/numerologies.ts';
import { type AclrCarrier, type AclrChannel, outerCarrier } from './aclr.ts';
import type { MeasuringFilter } from './measuringFilter.ts';

/** Carriers stand on whole cycles of the record: a gap may miss its nominal width by so much. */
const GAP_TOLERANCE_HZ = 10e3;
/** Channels from 25 MHz on have slots of their own; there is none between 20 and 25 MHz. */
const WIDE_CARRIER_HZ = 22.5e6;
/** Chip rate of UTRA. */
const UTRA_FILTER: MeasuringFilter = { kind: 'rrc', bandwidthHz: 3.84e6 };

/** All channels beside the outer carriers, then all slots in gaps. */
export function ruleChannels(
  rule: AclrRuleTable,
  rows: readonly Numerology[],
  carriers: readonly AclrCarrier[],
): AclrChannel[] {
  const beside = rule.channels.flatMap((channel) => besideOuter(rule, rows, channel, carriers));
  return [...beside, ...gapSlots(rule, carriers)];
}

function besideOuter(
  rule: AclrRuleTable,
  rows: readonly Numerology[],
  channel: AclrRuleChannel,
  carriers: readonly AclrCarrier[],
): AclrChannel[] {
  const of = (side: 'lower' | 'upper') => channelBeside(rule, rows, channel, outerCarrier(carriers, side));
  const lower = of('lower');
  const upper = of('upper');
  if (isSame(lower, upper)) return [lower];
  return [
    { ...lower, side: 'lower' },
    { ...upper, side: 'upper' },
  ];
}

function isSame(a: AclrChannel, b: AclrChannel): boolean {
  return a.offsetHz === b.offsetHz && a.bandwidthHz === b.bandwidthHz && a.own?.bandwidthHz === b.own?.bandwidthHz;
}

function channelBeside(
  rule: AclrRuleTable,
  rows: readonly Numerology[],
  { name, channelBandwidths, fixedHz, bandwidthHz, filter }: AclrRuleChannel,
  carrier: AclrCarrier,
): AclrChannel {
  const transmissionHz = transmissionBandwidthHz(rule, rows, carrier) ?? carrier.occupiedBandwidthHz;
  const channel = {
    name,
    offsetHz: channelBandwidths * carrier.channelBandwidthHz + fixedHz,
    bandwidthHz: bandwidthHz === 'transmission' ? transmissionHz : bandwidthHz,
    filter,
  };
  if (rule.ownFilter === 'occupied') return channel;
  const own: MeasuringFilter =
    rule.ownFilter === 'rrc3840' ? UTRA_FILTER : { kind: 'square', bandwidthHz: transmissionHz };
  return { ...channel, own };
}

/** Bandwidth the rule gives a channel like the carrier's; null where its table has no such channel. */
export function transmissionBandwidthHz(
  { transmission }: AclrRuleTable,
  rows: readonly Numerology[],
  { channelBandwidthHz }: AclrCarrier,
): number | null {
  if (transmission === null) return null;
  const standard = transmission === 'lte' ? 'lte' : 'nr';
  const same = rows.filter((row) => row.standard === standard && row.channelBandwidthHz === channelBandwidthHz);
  if (same.length === 0) return null;
  if (transmission !== 'nrReference') return Math.max(...same.map((row) => row.transmissionBandwidthHz));
  const spacing = channelBandwidthHz <= REFERENCE_SPACING_UP_TO_HZ ? 15e3 : 30e3;
  const reference = same.find((row) => row.subcarrierSpacingHz === spacing);
  return reference === undefined ? null : spacing * (12 * reference.resourceBlockCount + 1);
}

/** TS 38.101-1 Table 6.5.2.4.1-1: REF_SCS is 15 kHz up to 50 MHz and 30 kHz above. */
const REFERENCE_SPACING_UP_TO_HZ = 50e6;

/** A gap between the channels of two neighbouring carriers. */
export interface CarrierGap {
  readonly fromHz: number;
  readonly toHz: number;
  /** Indices into the carriers: the one below and the one above. */
  readonly between: readonly [number, number];
}

/** The gaps between the channels of neighbouring carriers, rising; touching channels leave none. */
function gapsBetween(carriers: readonly AclrCarrier[]): CarrierGap[] {
  const rising = carriers.map((_, i) => i).sort((a, b) => carriers[a].offsetHz - carriers[b].offsetHz);
  return rising.slice(1).flatMap((above, i): CarrierGap[] => {
    const below = rising[i];
    const fromHz = carriers[below].offsetHz + carriers[below].channelBandwidthHz / 2;
    const toHz = carriers[above].offsetHz - carriers[above].channelBandwidthHz / 2;
    return toHz - fromHz > GAP_TOLERANCE_HZ ? [{ fromHz, toHz, between: [below, above] }] : [];
  });
}

function classOf({ channelBandwidthHz }: AclrCarrier): CarrierClass {
  return channelBandwidthHz < WIDE_CARRIER_HZ ? 'upTo20MHz' : 'from25MHz';
}

function gapSlots(rule: AclrRuleTable, carriers: readonly AclrCarrier[]): AclrChannel[] {
  if (rule.gap === null) return [];
  const { slots } = rule.gap;
  return gapsBetween(carriers).flatMap((gap) =>
    (['lower', 'upper'] as const).flatMap((side) => slots.flatMap((slot) => slotAt(slot, gap, side, carriers))),
  );
}

/** The slot counted from one edge of a gap, or nothing where the table has none. */
function slotAt(
  slot: GapSlotRule,
  { fromHz, toHz, between: [below, above] }: CarrierGap,
  side: 'lower' | 'upper',
  carriers: readonly AclrCarrier[],
): AclrChannel[] {
  const [own, other] = side === 'lower' ? [below, above] : [above, below];
  const width = toHz - fromHz;
  if (classOf(carriers[own]) !== slot.carrier) return [];
  const isWideEnough = slot.fromIncluded
    ? width >= slot.fromHz - GAP_TOLERANCE_HZ
    : width > slot.fromHz + GAP_TOLERANCE_HZ;
  if (!isWideEnough) return [];
  const isAlone = width >= slot.aloneFromHz[classOf(carriers[other])] - GAP_TOLERANCE_HZ;
  const { offsetHz, bandwidthHz, filter } = slot;
  const centreHz = side === 'lower' ? fromHz + offsetHz : toHz - offsetHz;
  const references = isAlone ? [own] : [below, above];
  return [{ name: 'gap', side, offsetHz, bandwidthHz, filter, gap: { centreHz, references } }];
}
