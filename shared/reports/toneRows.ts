// Two tones of a single run as rows: the power of each, and its products in dBc. One level gives no intercept: whether
// one may be stated takes several (the question "which intercept").
import { formatEngineering, formatFixed } from '../format/numbers.ts';
import type { OutputReport, Side } from '../schema/report.ts';
import type { RunRow } from './runTable.ts';

type MakeRow = (label: string, digits: number, pick: (output: OutputReport) => number | null | undefined) => RunRow;

/** Nothing without tones. */
export function toneRows({ twoTone }: OutputReport, row: MakeRow): RunRow[] {
  if (twoTone === null) return [];
  const tone = (output: OutputReport, side: Side) => output.twoTone?.tones.find((one) => one.side === side);
  const powers = twoTone.tones.map(({ side }) =>
    row(`one tone, ${side}, dBm`, 2, (output) => tone(output, side)?.powerDbm),
  );
  const products = twoTone.products.map(({ order, side }) =>
    row(`IM${order}, ${side}, dBc`, 1, (output) => {
      const found = output.twoTone?.products.find((one) => one.order === order && one.side === side);
      return found && -found.ratioDb;
    }),
  );
  return [...powers, ...products];
}

/** Whose power is stated, and what both tones carry together. */
export function toneNotes({ twoTone }: OutputReport): string[] {
  if (twoTone === null) return [];
  const levels = twoTone.tones.map(({ levelDb }) => levelDb);
  const sum = levels.reduce((total, level) => total + 10 ** (level / 10), 0);
  const amplitude = levels.reduce((total, level) => total + 10 ** (level / 20), 0);
  const strongest = Math.max(...levels);
  const both = formatFixed(10 * Math.log10(sum) - strongest, 2);
  const peak = formatFixed(20 * Math.log10(amplitude) - strongest, 2);
  return [
    `Two tones ${formatEngineering(twoTone.toneSpacingHz, 'Hz', 4)} apart on exact bins, power per tone: both together ` +
      `${both} dB above the stronger one, envelope peak ${peak} dB; IM against the tone of its side.`,
  ];
}
