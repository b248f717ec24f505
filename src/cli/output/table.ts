// Tables and prose for a terminal: numbers stand under each other on the decimal point, prose is at most 78 wide.

export interface TableRow {
  readonly label: string;
  readonly cells: readonly string[];
}

const GAP = 3;
const PROSE_COLUMNS = 78;

/** Characters as they stand on the screen; all that are printed here are one column wide. */
export function widthOf(text: string): number {
  return [...text].length;
}

export function padEnd(text: string, width: number): string {
  return text + ' '.repeat(Math.max(0, width - widthOf(text)));
}

export function padStart(text: string, width: number): string {
  return ' '.repeat(Math.max(0, width - widthOf(text))) + text;
}

/** Headings over right-aligned columns; the numbers of a column share one place of the decimal point. */
export function formatTable(headings: readonly string[], rows: readonly TableRow[]): string {
  const labelWidth = Math.max(...rows.map(({ label }) => widthOf(label)));
  const columns = headings.map((heading, i) => {
    const cells = alignPoints(rows.map(({ cells }) => cells[i] ?? ''));
    const width = Math.max(widthOf(heading), ...cells.map(widthOf));
    return [heading, ...cells].map((cell) => padStart(cell, width));
  });
  const lines = ['', ...rows.map(({ label }) => label)].map((label, r) =>
    [padEnd(label, labelWidth), ...columns.map((cells) => cells[r] as string)].join(' '.repeat(GAP)).trimEnd(),
  );
  return `${lines.join('\n')}\n`;
}

/** Blanks behind the numbers of a column so that their points stand under each other when aligned right. */
export function alignPoints(cells: readonly string[]): string[] {
  const fractions = cells.map((cell) => (/^[−+]?\d/.test(cell) ? (/\.\d*$/.exec(cell)?.[0] ?? '') : null));
  const width = Math.max(0, ...fractions.map((fraction) => (fraction === null ? 0 : fraction.length)));
  return cells.map((cell, i) => {
    const fraction = fractions[i];
    // A dash for a missing reading stands where the units of a number stand.
    if (fraction === null || fraction === undefined) return cell === '–' ? cell + ' '.repeat(width) : cell;
    return cell + ' '.repeat(width - fraction.length);
  });
}

/** Left-aligned columns without headings. */
export function formatLines(rows: readonly (readonly string[])[], indent = ''): string {
  if (rows.length === 0) return '';
  const count = Math.max(...rows.map((row) => row.length));
  const widths = Array.from({ length: count }, (_, i) => Math.max(...rows.map((row) => widthOf(row[i] ?? ''))));
  const lines = rows.map(
    (row) =>
      indent +
      row
        .map((cell, i) => padEnd(cell, widths[i] as number))
        .join('  ')
        .trimEnd(),
  );
  return `${lines.join('\n')}\n`;
}

/** Prose broken at blanks; further lines may be indented. `before`: columns already taken on the first line. */
export function wrap(text: string, indent = '', before = 0): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    const room = PROSE_COLUMNS - (lines.length === 0 ? before : widthOf(indent));
    if (line !== '' && widthOf(longer) > room) {
      lines.push(line);
      line = word;
    } else {
      line = longer;
    }
  }
  return [...lines, line].map((part, i) => (i === 0 ? part : indent + part)).join('\n');
}
