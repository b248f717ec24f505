// Spectra as CSV: CRLF line ends (RFC 4180), full precision, the unit of every column in its heading.

export interface CsvColumn {
  readonly heading: string;
  readonly values: ArrayLike<number>;
}

export function toCsv(columns: readonly CsvColumn[]): string {
  const rows = columns[0]?.values.length ?? 0;
  const lines = [columns.map(({ heading }) => `"${heading.replaceAll('"', '""')}"`).join(',')];
  for (let r = 0; r < rows; r++) lines.push(columns.map(({ values }) => String(values[r] ?? '')).join(','));
  return `${lines.join('\r\n')}\r\n`;
}
