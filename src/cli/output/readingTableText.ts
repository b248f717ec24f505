// A table of readings for a terminal: group names over their columns, numbers on the decimal point.
import { groupSpans, type ReadingTable } from '../../../shared/reports/readingTable.ts';
import { alignPoints, padEnd, padStart, widthOf } from './table.ts';

const GAP = '  ';

/** Caption, headings, rows; without the columns that are details. */
export function readingTableText(whole: ReadingTable): string {
  const table = withoutDetails(whole);
  const columns = table.columns.map(({ heading, isText }, i) => {
    const cells = alignPoints(table.rows.map(({ texts }) => texts[i] ?? ''));
    const width = Math.max(widthOf(heading), ...cells.map(widthOf));
    const pad = isText ? padEnd : padStart;
    return { width, isText, lines: [heading, ...cells].map((cell) => pad(cell, width)) };
  });
  const groups = groupSpans(table.columns.map(({ group }) => group));
  let at = 0;
  for (const { text, count } of groups) {
    // A group name wider than its columns widens the first of them.
    const own = columns.slice(at, at + count);
    const width = own.reduce((sum, column) => sum + column.width, GAP.length * (count - 1));
    const first = own[0];
    if (first !== undefined && widthOf(text) > width) {
      first.width += widthOf(text) - width;
      first.lines = first.lines.map((line) => (first.isText ? padEnd : padStart)(line, first.width));
    }
    at += count;
  }
  const hasGroups = groups.some(({ text }) => text !== '');
  const lines =
    columns[0]?.lines.map((_, r) =>
      columns
        .map((column) => column.lines[r] ?? '')
        .join(GAP)
        .trimEnd(),
    ) ?? [];
  return `${[table.caption, ...(hasGroups ? [groupLine(groups, columns)] : []), ...lines].join('\n')}\n`;
}

function withoutDetails({ columns, rows, ...table }: ReadingTable): ReadingTable {
  const isKept = (_: unknown, i: number) => columns[i]?.isDetail === false;
  return {
    ...table,
    columns: columns.filter(isKept),
    rows: rows.map(({ values, texts, isBest }) => ({
      values: values.filter(isKept),
      texts: texts.filter(isKept),
      isBest,
    })),
  };
}

/** Each group name at the right end of its columns. */
function groupLine(groups: ReturnType<typeof groupSpans>, columns: readonly { readonly width: number }[]): string {
  let at = 0;
  const parts = groups.map(({ text, count }) => {
    const width = columns.slice(at, at + count).reduce((sum, column) => sum + column.width, GAP.length * (count - 1));
    at += count;
    return padStart(text, width);
  });
  return parts.join(GAP).trimEnd();
}
