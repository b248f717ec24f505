// A study's figures as tables on the page: the same tables as in its report and on the command line.
import { html, nothing } from 'lit';
import { groupSpans, type ReadingTable } from '../../../../shared/reports/readingTable.ts';
import { studyTables } from '../../../../shared/reports/studyTables.ts';
import type { StudyReport } from '../../../../shared/schema/studyReport.ts';

/** One table with its caption; it scrolls by itself where it is wide. */
export function readingTable(table: ReadingTable) {
  const spans = groupSpans(table.columns.map(({ group }) => group));
  const isGrouped = spans.some(({ text }) => text !== '');
  return html`<div class="scroll" tabindex="0" role="region" aria-label=${table.caption}>
    <table>
      <caption>${table.caption}</caption>
      <thead>
        ${
          isGrouped
            ? html`<tr class="groups">
                ${spans.map(({ text, count }) =>
                  text === ''
                    ? html`<td colspan=${count}></td>`
                    : html`<th scope="colgroup" colspan=${count}>${text}</th>`,
                )}
              </tr>`
            : nothing
        }
        <tr>
          ${table.columns.map(({ heading, isText }) => html`<th scope="col" class=${isText ? 'text' : ''}>${heading}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${table.rows.map(
          ({ texts, isBest }) => html`<tr class=${isBest ? 'chosen' : ''}>
            ${texts.map((text, i) =>
              i === 0
                ? html`<th scope="row">${text}</th>`
                : html`<td class=${table.columns[i]?.isText ? 'text' : ''}>${text}</td>`,
            )}
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

/** The tables of these names, or all but these. */
export function tablesNamed(report: StudyReport, names: readonly string[]) {
  return studyTables(report)
    .filter(({ name }) => names.includes(name))
    .map(readingTable);
}

/** Everything else behind a summary: the twin of the pictures. */
export function tablesBehind(report: StudyReport, shown: readonly string[] = []) {
  const tables = studyTables(report).filter(({ name }) => !shown.includes(name));
  if (tables.length === 0) return nothing;
  return html`<details>
    <summary>All figures as tables</summary>
    ${tables.map(readingTable)}
  </details>`;
}
