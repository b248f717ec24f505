// An identified amplifier as text: how far to trust it, alignment, what each structure reaches, shares of the error.
import { identificationVerdict } from '../../../shared/format/identificationText.ts';
import {
  type IdentificationPart,
  identificationParts,
  identificationTitle,
  type PairNames,
  trustSentence,
} from '../../../shared/reports/identificationRows.ts';
import type { IdentificationReport } from '../../../shared/schema/identificationReport.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function identifyText(names: PairNames, report: IdentificationReport): string {
  const head = [identificationTitle(names), identificationVerdict(report), trustSentence(report)].map(
    (text) => `${wrap(text)}\n`,
  );
  return [head.join(''), ...identificationParts(report).map(partText)].join('\n');
}

function partText({ heading, rows, table, note }: IdentificationPart): string {
  const figures = table === null ? '' : formatTable(table.headings, table.rows);
  return `${heading}\n${formatLines(rows, '  ')}${figures}${note === '' ? '' : `${wrap(note)}\n`}`;
}
