// An identified amplifier as text: how far to trust it, alignment, what each structure reaches, shares of the error.
import {
  type IdentificationPart,
  identificationParts,
  identificationTitle,
  type PairNames,
  trustSentence,
} from '../../../shared/reports/identificationRows.ts';
import type { IdentificationReport } from '../../../shared/schema/identificationReport.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function identifyText(names: PairNames, report: IdentificationReport, model: AmplifierModelSettings): string {
  const head = `${wrap(identificationTitle(names))}\n${wrap(trustSentence(report))}\n`;
  return [head, ...identificationParts(report, model).map(partText)].join('\n');
}

function partText({ heading, rows, table, note }: IdentificationPart): string {
  const figures = table === null ? '' : formatTable(table.headings, table.rows);
  return `${heading}\n${formatLines(rows, '  ')}${figures}${note === '' ? '' : `${wrap(note)}\n`}`;
}
