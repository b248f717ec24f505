// Emission masks of the standards, as tables: operating band unwanted emissions of base stations (TS 38.104 clause 6.6.4,
// TS 36.104 clause 6.6.3, TS 25.104) and the spectrum emission masks of user equipment (TS 38.101-1, TS 36.101).
//
//   f_offset  edge of the channel to the centre of the measuring filter: what pieces are counted in
//   Δf        edge of the channel to the nearest −3 dB point of that filter, Δf = f_offset − measuring bandwidth/2
//   f_offset_max, Δf_max  the same where the rule ends: Δf_OBUE outside the operating band
//
// Each table says how its values came here: read in the text, boundaries read and slopes recalled, or recalled.
import type { MaskLimitSettings, MaskPiece } from '../schema/measurement.ts';
import table from './emissionMasks.json' with { type: 'json' };

export type TableStatus = 'read' | 'read+recalled' | 'recalled';

/** One piece as the table has it; distances of the measuring filter's centre. */
export interface MaskTablePiece {
  readonly fromHz: number;
  /** Null: up to where the rule ends, f_offset_max. */
  readonly toHz: number | null;
  readonly startLevel: number;
  readonly endLevel: number;
  readonly measuringBandwidthHz: number;
  readonly atMostDbm?: number;
}

/** One mask of a base station. */
export interface EmissionMask {
  readonly id: string;
  readonly standard: string;
  readonly edition: string;
  readonly table: string;
  readonly stationClass: string;
  readonly category: string;
  /** Bands and channel bandwidths it holds for. */
  readonly scope: string;
  readonly unit: MaskLimitSettings['unit'];
  readonly measuredFrom: MaskLimitSettings['measuredFrom'];
  readonly status: TableStatus;
  readonly sources: readonly string[];
  readonly note: string | null;
  readonly pieces: readonly MaskTablePiece[];
}

/** A distance that may go with the channel: hz + channels·channelBandwidthHz. */
interface RowDistance {
  readonly hz: number;
  readonly channels: number;
}

/** One row of a mask of user equipment: Δf to Δf, for channels from … to. */
export interface EquipmentMaskRow {
  readonly from: RowDistance;
  readonly to: RowDistance;
  readonly channelHz: readonly number[];
  readonly level: number;
  /** Fixed, or a share of the channel bandwidth. */
  readonly measuring: { readonly hz?: number; readonly channelShare?: number };
}

export interface EquipmentMask {
  readonly id: string;
  readonly standard: string;
  readonly edition: string;
  readonly table: string;
  readonly scope: string;
  readonly status: TableStatus;
  readonly sources: readonly string[];
  readonly channelBandwidthsHz: readonly number[];
  readonly rows: readonly EquipmentMaskRow[];
}

export const emissionMasks = table.masks as readonly EmissionMask[];
export const equipmentMasks = table.equipmentMasks as readonly EquipmentMask[];
/** Where values were read, by the short names the masks give. */
export const maskSources: Readonly<Record<string, string>> = table.sources;

/** The mask of this id. RangeError for an unknown one. */
export function emissionMask(id: string): EmissionMask {
  const found = emissionMasks.find((mask) => mask.id === id);
  if (found === undefined) throw new RangeError(`emissionMask: no mask ${id}`);
  return found;
}

/** Such as "TS 38.104 v19.4.0 Table 6.6.4.2.1-2, Wide Area, category A, NR bands above 1 GHz". */
export function maskSource(mask: EmissionMask): string {
  const edition = mask.edition === 'from memory' ? '' : ` ${mask.edition}`;
  return `${mask.standard}${edition} Table ${mask.table}, ${mask.stationClass}, category ${mask.category}, ${mask.scope}`;
}

/** Δf_OBUE of a base station of type 1-C by the width of its operating band. TS 38.104 v19.4.0 Table 6.6.1-1 (read). */
export function obueRangeHz(operatingBandwidthHz: number): number {
  return operatingBandwidthHz <= 200e6 ? 10e6 : 40e6;
}

/** Where a UTRA mask ends from the carrier's centre, at the least (TS 25.104, from memory). */
export const UTRA_RANGE_HZ = 12.5e6;

export interface MaskChoice {
  readonly name: string;
  /** f_offset_max: how far the rule reaches; null as far as the record shows. */
  readonly rangeHz: number | null;
  /** For masks against rated power. */
  readonly ratedPowerDbm?: number | null;
}

/**
 * A mask of the table as a limit. Pieces are cut at f_offset_max, and pieces that begin beyond it do not hold: the last
 * one, from Δf = 10 MHz, falls away when Δf_max < 10 MHz, as the tables' notes have it.
 */
export function maskLimit(mask: EmissionMask, { name, rangeHz, ratedPowerDbm = null }: MaskChoice): MaskLimitSettings {
  const reach = rangeHz ?? Number.POSITIVE_INFINITY;
  return {
    reading: 'mask',
    name,
    unit: mask.unit,
    measuredFrom: mask.measuredFrom,
    ratedPowerDbm: mask.unit === 'dBrRated' ? ratedPowerDbm : null,
    pieces: mask.pieces.filter(({ fromHz }) => fromHz <= reach).map((piece) => cutAt(piece, reach)),
    source: maskSource(mask),
    status: mask.status,
  };
}

function cutAt(piece: MaskTablePiece, reachHz: number): MaskPiece {
  const { fromHz, startLevel, measuringBandwidthHz, atMostDbm = null } = piece;
  const tableEnd = piece.toHz ?? Number.POSITIVE_INFINITY;
  const end = Math.min(tableEnd, reachHz);
  const isCut = end < tableEnd && Number.isFinite(tableEnd) && tableEnd > fromHz;
  const share = isCut ? (end - fromHz) / (tableEnd - fromHz) : 1;
  return {
    fromHz,
    toHz: Number.isFinite(end) ? end : 'end',
    startLevel,
    endLevel: startLevel + share * (piece.endLevel - startLevel),
    measuringBandwidthHz,
    atMostDbm,
    atLeastDbm: null,
  };
}

/**
 * The mask of user equipment for one channel bandwidth as a limit; null when the table has no such channel. The filter
 * lies inside its row: first and last centre are half a measuring bandwidth from the row's ends (note of the tables,
 * from memory); where a row is narrower, the filter begins at the row's nearer end. Neighbouring rows of one level and
 * one bandwidth are one piece.
 */
export function equipmentMaskLimit(
  mask: EquipmentMask,
  channelBandwidthHz: number,
  name: string,
): MaskLimitSettings | null {
  if (!mask.channelBandwidthsHz.includes(channelBandwidthHz)) return null;
  const distance = ({ hz, channels }: RowDistance) => hz + channels * channelBandwidthHz;
  const rows: { from: number; to: number; level: number; bandwidthHz: number }[] = [];
  for (const { from, to, channelHz, level, measuring } of mask.rows) {
    const [least = 0, most = least] = channelHz;
    if (channelBandwidthHz < least || channelBandwidthHz > most) continue;
    const bandwidthHz = measuring.hz ?? (measuring.channelShare ?? 0) * channelBandwidthHz;
    const last = rows.at(-1);
    if (last?.level === level && last.bandwidthHz === bandwidthHz && last.to === distance(from)) last.to = distance(to);
    else rows.push({ from: distance(from), to: distance(to), level, bandwidthHz });
  }
  return {
    reading: 'mask',
    name,
    unit: 'dBm',
    measuredFrom: 'channelEdge',
    ratedPowerDbm: null,
    pieces: rows.map(({ from, to, level, bandwidthHz }) => ({
      fromHz: from + bandwidthHz / 2,
      toHz: Math.max(from, to - bandwidthHz) + bandwidthHz / 2,
      startLevel: level,
      endLevel: level,
      measuringBandwidthHz: bandwidthHz,
      atMostDbm: null,
      atLeastDbm: null,
    })),
    source: `${mask.standard} ${mask.edition} Table ${mask.table}, ${mask.scope}, ${channelBandwidthHz / 1e6} MHz`,
    status: mask.status,
  };
}
