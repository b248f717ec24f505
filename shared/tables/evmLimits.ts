// Largest EVM by modulation, from the standards' tables. Every table says how it came here.
import type { TableStatus } from './emissionMasks.ts';
import table from './evmLimits.json' with { type: 'json' };

export type EvmTableId = 'nrStation' | 'lteStation' | 'nrEquipment' | 'lteEquipment' | 'utraStation';

export interface EvmTable {
  readonly id: EvmTableId;
  readonly source: string;
  readonly status: TableStatus;
  /** In order; a row with `upToHz` holds for carriers up to this frequency. */
  readonly limits: readonly { readonly modulation: string; readonly percent: number; readonly upToHz?: number }[];
}

export const evmTables = table.tables as readonly EvmTable[];

/** The table of this id. */
export function evmTable(id: EvmTableId): EvmTable {
  return evmTables.find((one) => one.id === id) as EvmTable;
}

/** Largest EVM in per cent, or null when the table has no such modulation. */
export function evmLimitPercent(id: EvmTableId, modulation: string, carrierFrequencyHz: number): number | null {
  const row = evmTable(id).limits.find(
    (one) => one.modulation === modulation && carrierFrequencyHz <= (one.upToHz ?? Number.POSITIVE_INFINITY),
  );
  return row?.percent ?? null;
}
