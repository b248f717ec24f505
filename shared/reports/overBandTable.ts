// The amplifier over its band as cells, for terminal and pages.
import { formatEngineering, formatFixed, NO_READING } from '../format/numbers.ts';
import type { OverBandReport, OverBandRow } from '../schema/overBand.ts';

interface OverBandTable {
  readonly headings: readonly string[];
  /** One for each frequency; the channel's label says so. */
  readonly rows: readonly { readonly label: string; readonly cells: readonly string[]; readonly isChannel: boolean }[];
}

/** Frequency, gain, phase, saturated power, 1 dB compression, AM/PM; powers in dB where no scale is known. */
export function overBandTable({ rows }: OverBandReport): OverBandTable {
  const hasScale = rows.every(({ saturatedPowerDbm }) => saturatedPowerDbm !== null);
  const unit = hasScale ? 'dBm' : 'dB';
  return {
    headings: ['gain, dB', 'phase, °', `saturated, ${unit}`, `P1dB, ${unit}`, 'AM/PM, °'],
    rows: rows.map((row) => ({
      label: `${formatEngineering(row.frequencyHz, 'Hz', 7)}${row.isChannel ? ', channel' : ''}`,
      cells: cellsOf(row, hasScale),
      isChannel: row.isChannel,
    })),
  };
}

function cellsOf(row: OverBandRow, hasScale: boolean): string[] {
  const compressed = hasScale ? row.outputAtOneDbCompressionDbm : row.outputAtOneDbCompressionDb;
  return [
    formatFixed(row.gainDb, 2),
    formatFixed(row.phaseDeg, 1),
    formatFixed((hasScale ? row.saturatedPowerDbm : row.saturatedPowerDb) ?? 0, 2),
    compressed === null ? NO_READING : formatFixed(compressed, 2),
    formatFixed(row.amPmDeg, 1),
  ];
}

/** What the table shows, in words. */
export const OVER_BAND_TITLE = 'Amplifier over its band, by a constant carrier';
