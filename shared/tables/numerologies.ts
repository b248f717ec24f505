// Channel bandwidths and what they hold: rows of TS 36.104 (LTE, 15 kHz) and TS 38.104 FR1 (NR).
import table from './numerologies.json' with { type: 'json' };

/** One row of the standards' numerology tables. Lengths in samples hold at fftLength × subcarrier spacing. */
export interface Numerology {
  readonly standard: 'lte' | 'nr';
  readonly channelBandwidthHz: number;
  readonly subcarrierSpacingHz: number;
  readonly resourceBlockCount: number;
  /** 12 × resource blocks × subcarrier spacing. */
  readonly transmissionBandwidthHz: number;
  readonly fftLength: number;
  readonly cyclicPrefixSamples: number;
  /** EVM window length W of TS 38.104 Table B.5.2-1 and TS 36.104 Table E.5.1-1. */
  readonly evmWindowSamples: number;
}

export const numerologies: readonly Numerology[] = table.rows as readonly Numerology[];
export const numerologySources: Readonly<Record<'lte' | 'nr', string>> = table.sources;

/** The table's row, or undefined when the standard has no such channel. */
export function findNumerology(
  standard: 'lte' | 'nr',
  channelBandwidthHz: number,
  subcarrierSpacingHz: number,
): Numerology | undefined {
  return numerologies.find(
    (row) =>
      row.standard === standard &&
      row.channelBandwidthHz === channelBandwidthHz &&
      row.subcarrierSpacingHz === subcarrierSpacingHz,
  );
}
