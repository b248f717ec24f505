// Columns as CSV: CRLF line ends (RFC 4180), full precision, the unit of every column in its heading.

export interface CsvColumn {
  readonly heading: string;
  readonly values: ArrayLike<number | string | boolean>;
}

export function toCsv(columns: readonly CsvColumn[]): string {
  const rows = columns[0]?.values.length ?? 0;
  const lines = [columns.map(({ heading }) => quote(heading)).join(',')];
  for (let r = 0; r < rows; r++) lines.push(columns.map(({ values }) => cell(values[r] ?? '')).join(','));
  return `${lines.join('\r\n')}\r\n`;
}

function cell(value: number | string | boolean): string {
  return typeof value === 'string' && value !== '' ? quote(value) : String(value);
}

/**
 * A text that begins like a formula is a formula to a spreadsheet; an apostrophe keeps it a text. Source: common
 * practice, no source.
 */
function quote(text: string): string {
  const safe = /^[=+@\t-]/.test(text) ? `'${text}` : text;
  return `"${safe.replaceAll('"', '""')}"`;
}
