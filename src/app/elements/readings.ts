// All readings in one table, both sides, every output beside the other, each group with its definition on demand; then the
// floors beneath them.
import { css, html, LitElement, nothing } from 'lit';
import { formatFixed, formatQuantity, NO_READING } from '../../../shared/format/numbers.ts';
import type { Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { powerText } from '../format/conditions.ts';
import {
  type ColumnName,
  columnsOf,
  type ReadingGroup,
  type ReadingRow,
  readingGroups,
} from '../format/readingRows.ts';
import { DEFINITIONS, type DefinitionName } from '../format/terms.ts';
import { channelName, FLOOR_NAMES } from '../format/verdicts.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import './swatch.ts';

const COLUMN_TEXTS: Readonly<Record<ColumnName, string>> = {
  uncorrected: 'Uncorrected',
  corrected: 'Corrected',
  ideal: 'Ideal limiter',
  waveform: 'Waveform',
};

export class Readings extends LitElement {
  static override properties = { report: { attribute: false } };
  declare report: Report | null;

  constructor() {
    super();
    this.report = null;
  }

  #definition(name: DefinitionName, title: string) {
    return html`<details>
      <summary aria-label="Definition of ${title}">definition</summary>
      <p>${DEFINITIONS[name]}</p>
    </details>`;
  }

  /** Roles are said outright: on a phone the rows are laid out as grids, which would drop a table's own. */
  #row({ label, unit, about, cells }: ReadingRow) {
    return html`<tr role="row">
      <th scope="row" role="rowheader">
        ${label}, <span class="muted unit">${unit}</span>${about === '' ? nothing : html` <span class="about">${about}</span>`}
      </th>
      ${cells.map(
        ({ text, note }) =>
          html`<td role="cell">${text}${note === '' ? nothing : html`<br /><span class="muted note">${note}</span>`}</td>`,
      )}
    </tr>`;
  }

  #group({ name, title, rows, condition }: ReadingGroup, columns: readonly ColumnName[]) {
    return html`<tbody role="rowgroup">
      <tr class="group" role="row">
        <th scope="rowgroup" role="rowheader" colspan=${columns.length + 1}>
          <span class="head"><strong>${title}</strong> ${this.#definition(name, title)}</span>
          ${condition === '' ? nothing : html`<span class="condition">${condition}</span>`}
        </th>
      </tr>
      ${rows.map((row) => this.#row(row))}
    </tbody>`;
  }

  #table(report: Report) {
    const columns = columnsOf(report);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Readings of every output">
      <table class="outputs of-${columns.length}" role="table">
        <thead role="rowgroup">
          <tr role="row">
            <th scope="col" role="columnheader" class="first"><span class="unseen">Reading</span></th>
            ${columns.map(
              (column) =>
                html`<th scope="col"><kp-swatch .trace=${TRACE_STYLES[column]}></kp-swatch><br />${COLUMN_TEXTS[column]}</th>`,
            )}
          </tr>
        </thead>
        ${readingGroups(report).map((group) => this.#group(group, columns))}
      </table>
    </div>`;
  }

  #floors({ floors }: Report) {
    return html`<h3 class="head">Floors ${this.#definition('floors', 'floors')}</h3>
      <dl>
        ${floors.map(
          ({ name, aclrDb, meaning }) => html`<div>
            <dt>${FLOOR_NAMES[name]}</dt>
            <dd>
              <span class="figure">${formatQuantity(aclrDb, 'dB')}</span> <span class="muted small">${meaning}</span>
            </dd>
          </div>`,
        )}
      </dl>
      ${this.#floorTable(floors)}`;
  }

  /** Every floor in every channel. */
  #floorTable(floors: Report['floors']) {
    const [longest] = [...floors].sort((a, b) => b.readings.length - a.readings.length);
    if (longest === undefined || longest.readings.length === 0) return nothing;
    return html`<details>
      <summary>Floors in every channel</summary>
      <div class="scroll" tabindex="0" role="region" aria-label="Floors in every channel">
        <table>
          <caption>ACLR that each floor alone would read, dB</caption>
          <thead>
            <tr>
              <th scope="col">Channel</th>
              ${floors.map(({ name }) => html`<th scope="col">${FLOOR_NAMES[name]}</th>`)}
            </tr>
          </thead>
          <tbody>
            ${longest.readings.map(
              (reading) => html`<tr>
                <th scope="row">${channelName(reading.channel)}, ${reading.side}</th>
                ${floors.map(({ readings }) => {
                  const found = readings.find(
                    (one) =>
                      one.channel === reading.channel && one.side === reading.side && one.centreHz === reading.centreHz,
                  );
                  return html`<td>${found === undefined ? NO_READING : formatFixed(found.aclrDb, 1)}</td>`;
                })}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
    </details>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    return html`
      <h2>Readings</h2>
      <p class="condition">${powerText(report)}; judging seed ${report.scenario.seeds.judging}</p>
      ${this.#table(report)} ${this.#floors(report)}
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      h3 {
        margin: 1.25rem 0 0.25rem;
      }
      .head {
        display: flex;
        flex-wrap: wrap;
        align-items: baseline;
        gap: 0 0.75rem;
      }
      .head strong {
        font-weight: 600;
      }
      .head details[open] {
        flex-basis: 100%;
      }
      .head details p {
        max-width: 70ch;
        padding: 0.125rem 0 0.375rem;
        font-size: var(--small);
        font-weight: 400;
        white-space: normal;
      }
      .group .condition {
        display: block;
        white-space: normal;
      }
      .outputs td {
        width: 7.5rem;
        vertical-align: top;
        white-space: normal;
      }
      .outputs tbody th {
        min-width: 13rem;
        vertical-align: top;
      }
      tbody .group th {
        padding-top: 1rem;
        border-bottom-color: var(--edge);
        text-align: left;
      }
      .unit {
        white-space: nowrap;
      }
      .about {
        display: inline-block;
        color: var(--muted);
        font-size: var(--small);
      }
      .note {
        font-size: var(--small);
      }
      dl > div {
        display: grid;
        grid-template-columns: 8.5rem 1fr;
        padding: 0.25rem 0;
        border-bottom: 1px solid var(--rule);
      }
      dt::first-letter {
        text-transform: uppercase;
      }
      dd {
        display: grid;
        grid-template-columns: 4.5rem 1fr;
        gap: 0.75rem;
      }
      dd .figure {
        text-align: right;
      }
      /* The label over its figures, so that all outputs stay in sight. */
      @media (max-width: 640px) {
        .outputs,
        .outputs :is(thead, tbody) {
          display: block;
        }
        .outputs tr {
          display: grid;
          grid-template-columns: repeat(3, minmax(0, 1fr));
          border-bottom: 1px solid var(--rule);
        }
        .outputs.of-4 tr {
          grid-template-columns: repeat(4, minmax(0, 1fr));
        }
        .outputs :is(th, td) {
          width: auto;
          padding: 0.125rem 0;
          border-bottom: 0;
          text-align: right;
          white-space: normal;
        }
        .outputs tbody th {
          grid-column: 1 / -1;
          grid-row: 1;
          min-width: 0;
          padding-top: 0.3125rem;
          text-align: left;
        }
        .outputs tbody td {
          grid-row: 2;
        }
        .outputs .group {
          border-bottom-color: var(--edge);
        }
        .outputs .first {
          display: none;
        }
        dl > div {
          grid-template-columns: 1fr;
        }
      }
    `,
  ];
}

customElements.define('kp-readings', Readings);

declare global {
  interface HTMLElementTagNameMap {
    'kp-readings': Readings;
  }
}
