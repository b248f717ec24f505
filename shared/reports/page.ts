// The self-contained HTML page that every report is: nothing is loaded, nothing runs, and it prints on A4.
import { PALETTE, SANS } from '../figures/palette.ts';
import { escapeXml } from '../figures/svgText.ts';

const STYLE = `
:root { color-scheme: light; }
body { margin: 0; background: ${PALETTE.paper}; color: ${PALETTE.ink}; font: 15px/1.5 ${SANS}; }
main { max-width: 960px; margin: 0 auto; padding: 32px 16px 64px; }
h1 { font-size: 19px; margin: 0 0 8px; font-weight: 600; }
h2 { font-size: 15px; margin: 40px 0 8px; break-after: avoid; }
p, li { max-width: 70ch; }
ul { padding-left: 20px; }
.answer { font-size: 27px; line-height: 1.3; margin: 0 0 24px; max-width: 40ch; }
.muted, caption, .note, .unit { color: ${PALETTE.muted}; }
.note { font-size: 13px; margin: 4px 0; max-width: 100ch; }
.over { color: ${PALETTE.over}; font-weight: 600; }
.within { color: ${PALETTE.within}; font-weight: 600; }
figure { margin: 24px 0; overflow-x: auto; break-inside: avoid; }
svg { max-width: 100%; height: auto; display: block; }
.wide { overflow-x: auto; margin: 8px 0 16px; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
caption { text-align: left; padding: 0 0 4px; white-space: nowrap; }
th { text-align: left; font-weight: 400; white-space: nowrap; }
thead th { white-space: normal; }
thead .groups th { white-space: nowrap; }
th, td { padding: 4px 18px 4px 0; border-bottom: 1px solid ${PALETTE.rule}; vertical-align: baseline; }
th:last-child, td:last-child { padding-right: 0; }
thead th { color: ${PALETTE.muted}; text-align: right; vertical-align: bottom; }
thead tr.groups th, thead tr.groups td { border-bottom: none; padding-bottom: 0; }
td { text-align: right; white-space: nowrap; }
td.text, thead th.text { text-align: left; }
th.number { text-align: right; }
.words td { text-align: left; white-space: nowrap; }
.words td.prose, td.prose { white-space: normal; text-align: left; min-width: 16ch; }
tr.best td, tr.best th { font-weight: 600; background: ${PALETTE.chosen}; print-color-adjust: exact; }
pre { font: 13px/1.45 ui-monospace, Menlo, Consolas, monospace; overflow-x: auto; }
.digest { font: 13px/1.45 ui-monospace, Menlo, Consolas, monospace; overflow-wrap: anywhere; }
.checks { width: 100%; table-layout: fixed; }
.checks td, .checks th { vertical-align: top; padding: 6px 16px 6px 0; }
.checks td:first-child { width: 16px; text-align: left; }
.checks th { width: 25%; white-space: normal; }
.blank { min-width: 96px; }
.tick { width: 14px; height: 14px; border: 1px solid ${PALETTE.muted}; display: inline-block; vertical-align: -2px; }
/* Pictures stay readable on a phone and scroll sideways. */
@media screen and (max-width: 700px) { figure > svg { width: 720px; max-width: none; } }
@page { size: A4; margin: 16mm 14mm; }
@media print {
  body { background: none; font-size: 10pt; }
  main { max-width: none; padding: 0; }
  h1 { font-size: 12pt; }
  h2 { font-size: 11pt; margin-top: 18pt; }
  .answer { font-size: 17pt; margin-bottom: 12pt; }
  .note { font-size: 8.5pt; }
  details { display: none; }
  figure { margin: 10pt 0; overflow: visible; }
  figure > svg { width: 100%; }
  /* The paper behind a picture, and behind each chart of a stack. */
  figure > svg > rect:first-of-type, figure > svg > svg > svg > rect:first-of-type { fill: none; }
  .wide { overflow: visible; }
  table { font-size: 8.5pt; }
  th, td { padding: 2pt 8pt 2pt 0; }
  thead { display: table-header-group; }
  tr { break-inside: avoid; }
  td, thead th { white-space: normal; }
  tbody tr:first-child { break-before: avoid; }
  .short { break-inside: avoid; }
}
`;

export interface PageParts {
  readonly title: string;
  /** The largest type on the page: one sentence. */
  readonly answer: string;
  /** HTML of each section, in order; empty ones are left out. */
  readonly sections: readonly string[];
  /** HTML in the head beside title and style, such as a digest. */
  readonly head?: string;
}

/** The whole document. */
export function htmlPage({ title, answer, sections, head }: PageParts): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
${head === undefined ? '' : `${head}\n`}<title>${escapeXml(title)}</title>
<style>${STYLE}</style>
</head>
<body><main>
<h1>${escapeXml(title)}</h1>
<p class="answer">${escapeXml(keepUnits(answer))}</p>
${sections.filter((section) => section !== '').join('\n')}
</main></body>
</html>
`;
}

/** A number and its unit stay on one line. */
function keepUnits(text: string): string {
  return text.replace(/(\d) (?=(?:dBm?|dBc|m?W|%|[kMG]?Hz)\b|%)/g, '$1\u00a0');
}

/** A heading and what stands under it; nothing when there is nothing. */
export function section(heading: string, body: string): string {
  return body === '' ? '' : `<section><h2>${escapeXml(heading)}</h2>${body}</section>`;
}

export function paragraph(text: string, className?: string): string {
  if (text === '') return '';
  return className === undefined ? `<p>${escapeXml(text)}</p>` : `<p class="${className}">${escapeXml(text)}</p>`;
}

export function notes(texts: readonly string[]): string {
  return texts.map((text) => paragraph(text, 'note')).join('');
}

export function list(items: readonly string[]): string {
  return items.length === 0 ? '' : `<ul>${items.map((item) => `<li>${escapeXml(item)}</li>`).join('')}</ul>`;
}

export function figure(svg: string): string {
  return `<figure>${svg.trim()}</figure>`;
}

/** A text of data that opens on demand; it stays off the printed page. */
export function foldedText(summary: string, text: string): string {
  return `<details><summary>${escapeXml(summary)}</summary><pre>${escapeXml(text)}</pre></details>`;
}

/** Rows of words; the first cell may carry a class, and the last is prose. */
export function wordTable(rows: readonly (readonly string[])[], firstClass?: (row: number) => string): string {
  if (rows.length === 0) return '';
  const cell = (text: string, i: number, count: number, r: number) => {
    const name = i === 0 && firstClass !== undefined ? firstClass(r) : i === count - 1 ? 'prose' : '';
    return name === '' ? `<td>${escapeXml(text)}</td>` : `<td class="${name}">${escapeXml(text)}</td>`;
  };
  const body = rows.map((row, r) => `<tr>${row.map((text, i) => cell(text, i, row.length, r)).join('')}</tr>`);
  return `<div class="wide"><table class="words"><tbody>${body.join('')}</tbody></table></div>`;
}
