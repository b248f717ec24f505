// A table of figures that every face writes: aligned text in a terminal, HTML on a page, full precision in CSV.
import { escapeXml } from '../figures/svgText.ts';
import { formatFixed, NO_READING } from '../format/numbers.ts';
import { type CsvColumn, toCsv } from './csv.ts';

export type CellValue = number | string | boolean | null;

/** One column over rows of some kind. */
export interface ColumnOf<Row> {
  /** Stands over neighbouring columns of the same group. */
  readonly group?: string;
  /** With its unit. */
  readonly heading: string;
  readonly value: (row: Row) => CellValue;
  /** Decimals of a number on screen; a column without is text. */
  readonly decimals?: number | ((row: Row) => number);
  /** Kept although no row has a value. */
  readonly keep?: boolean;
  /** For pages and files; a terminal is too narrow for it. */
  readonly isDetail?: boolean;
}

export interface ReadingTable {
  /** File name stem of its CSV. */
  readonly name: string;
  readonly caption: string;
  readonly columns: readonly {
    readonly group: string;
    readonly heading: string;
    readonly isText: boolean;
    readonly isDetail: boolean;
  }[];
  readonly rows: readonly {
    readonly values: readonly CellValue[];
    readonly texts: readonly string[];
    /** The row that answers the question. */
    readonly isBest: boolean;
  }[];
}

/** Fills a table; columns in which no row has a value are left out. */
export function fillTable<Row>(
  name: string,
  caption: string,
  rows: readonly Row[],
  columns: readonly ColumnOf<Row>[],
  isBest: (row: Row) => boolean = () => false,
): ReadingTable {
  const used = columns.filter(
    ({ value, keep }) => keep === true || rows.some((row) => value(row) !== null && value(row) !== ''),
  );
  return {
    name,
    caption,
    columns: used.map(({ group, heading, decimals, isDetail }) => ({
      group: group ?? '',
      heading,
      isText: decimals === undefined,
      isDetail: isDetail === true,
    })),
    rows: rows.map((row) => {
      const values = used.map(({ value }) => value(row));
      const texts = values.map((value, i) => cellText(value, decimalsFor(used[i]?.decimals, row)));
      return { values, texts, isBest: isBest(row) };
    }),
  };
}

function decimalsFor<Row>(decimals: ColumnOf<Row>['decimals'], row: Row): number | undefined {
  return typeof decimals === 'function' ? decimals(row) : decimals;
}

function cellText(value: CellValue, decimals: number | undefined): string {
  if (value === null) return NO_READING;
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'string') return value;
  return decimals === undefined ? String(value) : formatFixed(value, decimals);
}

/** Group and heading together. */
function fullHeading({ group, heading }: ReadingTable['columns'][number]): string {
  return group === '' ? heading : `${group}, ${heading}`;
}

/** Every value at full precision; missing ones are empty. */
export function tableCsv(table: ReadingTable): string {
  const columns: CsvColumn[] = table.columns.map((column, i) => ({
    heading: fullHeading(column),
    values: table.rows.map(({ values }) => values[i] ?? ''),
  }));
  return toCsv(columns);
}

/** Up to so many rows stay on one printed page. */
const SHORT_TABLE = 16;

/** The table as HTML, its caption above; nothing without rows. */
export function tableHtml(table: ReadingTable): string {
  if (table.rows.length === 0) return '';
  const body = table.rows.map(({ texts, isBest }) => {
    const cells = texts.map((text, i) => {
      const name = table.columns[i]?.isText ? ' class="text"' : '';
      if (i === 0) return `<th scope="row"${name === '' ? ' class="number"' : ''}>${escapeXml(text)}</th>`;
      return `<td${name}>${escapeXml(text)}</td>`;
    });
    return `<tr${isBest ? ' class="best"' : ''}>${cells.join('')}</tr>`;
  });
  const caption = `<caption>${escapeXml(table.caption)}</caption>`;
  const name = table.rows.length <= SHORT_TABLE ? 'wide short' : 'wide';
  return `<div class="${name}"><table>${caption}<thead>${headHtml(table)}</thead><tbody>${body.join('')}</tbody></table></div>`;
}

function headHtml({ columns }: ReadingTable): string {
  const name = (isText: boolean) => (isText ? ' class="text"' : '');
  const second = columns.map(({ heading, isText }) => `<th scope="col"${name(isText)}>${escapeXml(heading)}</th>`);
  const spans = groupSpans(columns.map(({ group }) => group));
  if (spans.every(({ text }) => text === '')) return `<tr>${second.join('')}</tr>`;
  const first = spans.map(({ text, count }) =>
    text === '' ? `<td colspan="${count}"></td>` : `<th scope="colgroup" colspan="${count}">${escapeXml(text)}</th>`,
  );
  return `<tr class="groups">${first.join('')}</tr><tr>${second.join('')}</tr>`;
}

/** Runs of equal group names. */
export function groupSpans(groups: readonly string[]): { readonly text: string; readonly count: number }[] {
  const spans: { text: string; count: number }[] = [];
  for (const text of groups) {
    const last = spans.at(-1);
    if (last?.text === text) last.count++;
    else spans.push({ text, count: 1 });
  }
  return spans;
}
