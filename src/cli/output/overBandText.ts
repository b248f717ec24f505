// An amplifier over its band as a part of the text: one line a frequency. No part without one.
import { OVER_BAND_TITLE, overBandTable } from '../../../shared/reports/overBandTable.ts';
import type { OverBandReport } from '../../../shared/schema/overBand.ts';
import { formatTable } from './table.ts';

export function overBandPart(overBand: OverBandReport | null): string[] {
  if (overBand === null) return [];
  const { headings, rows } = overBandTable(overBand);
  return [`${OVER_BAND_TITLE}\n${formatTable(headings, rows)}`];
}
