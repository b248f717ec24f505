// The lab check list for a terminal or a text file.
import { type CheckItem, checkList } from '../../../shared/reports/checklist.ts';
import { TOLERANCE_NOTE } from '../../../shared/reports/expectedReadings.ts';
import type { Report } from '../../engine/index.ts';
import { readingTableText } from './readingTableText.ts';
import { wrap } from './table.ts';

export function checklistText(report: Report): string {
  const { title, subject, groups, expected, cautions } = checkList(report);
  const parts = [
    `${title}\n${wrap(subject)}\n`,
    ...groups.map(({ heading, items }) => `${heading}\n${items.map(itemText).join('')}`),
    `${readingTableText(expected)}${wrap(TOLERANCE_NOTE)}\n`,
    `Cautions\n${cautions.map((caution) => `  ${wrap(caution, '  ', 2)}\n`).join('')}`,
  ];
  return parts.join('\n');
}

const INDENT = '    ';

function itemText({ what, setting, why, source }: CheckItem): string {
  return `[ ] ${wrap(`${what}: ${setting}.`, INDENT, INDENT.length)}\n${INDENT}${wrap(`${why}. Source: ${source}.`, INDENT, INDENT.length)}\n`;
}
