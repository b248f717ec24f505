// All emission readings in one table, both sides and both channels, and the floors beneath them.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering, formatFixed, formatQuantity, NO_READING } from '../../../shared/format/numbers.ts';
import type { AclrReading, Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { powerText } from '../format/conditions.ts';
import { FLOOR_NAMES } from '../format/verdicts.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import './swatch.ts';

export class Readings extends LitElement {
  static override properties = { report: { attribute: false } };
  declare report: Report | null;

  constructor() {
    super();
    this.report = null;
  }

  #aclr(report: Report) {
    const { waveform, uncorrected, corrected, ideal } = report;
    const same = (readings: readonly AclrReading[] | undefined, { channel, side }: AclrReading) =>
      readings?.find((reading) => reading.channel === channel && reading.side === side) ?? null;
    const cell = (reading: AclrReading | null) =>
      html`<td>${reading === null ? NO_READING : formatFixed(reading.aclrDb, 1)}</td>`;
    return html`<div class="scroll" tabindex="0" role="region" aria-label="ACLR, both sides">
      <table>
        <caption>ACLR in dB: own channel over the neighbouring one; larger is better</caption>
        <thead>
          <tr>
            <th scope="col">Channel</th>
            <th scope="col"><kp-swatch .trace=${TRACE_STYLES.uncorrected}></kp-swatch><br />Uncorrected</th>
            ${corrected === null ? nothing : html`<th scope="col"><kp-swatch .trace=${TRACE_STYLES.corrected}></kp-swatch><br />Corrected</th>`}
            <th scope="col"><kp-swatch .trace=${TRACE_STYLES.ideal}></kp-swatch><br />Ideal limiter</th>
            <th scope="col"><kp-swatch .trace=${TRACE_STYLES.waveform}></kp-swatch><br />Waveform</th>
          </tr>
        </thead>
        <tbody>
          ${uncorrected.aclr.map(
            (reading) => html`<tr>
              <th scope="row">${reading.channel}, ${reading.side}</th>
              ${cell(reading)}${corrected === null ? nothing : cell(same(corrected.aclr, reading))}
              ${cell(same(ideal.aclr, reading))}${cell(same(waveform.aclr, reading))}
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  /** Where the channels lie and how wide they are, each said once. */
  #channels({ uncorrected }: Report): string {
    const texts = uncorrected.aclr.map(({ channel, offsetHz, bandwidthHz }) => {
      const width = formatEngineering(bandwidthHz, 'Hz', 4);
      return `${channel} at ${formatEngineering(offsetHz, 'Hz', 4)} in ${width}`;
    });
    return [...new Set(texts)].join(', ');
  }

  #floors({ floors }: Report) {
    return html`<h3>Floor check</h3>
      <dl>
        ${floors.map(
          ({ name, aclrDb, meaning }) => html`<div>
            <dt>${FLOOR_NAMES[name]}</dt>
            <dd>
              <span class="figure">${formatQuantity(aclrDb, 'dB')}</span> <span class="muted small">${meaning}</span>
            </dd>
          </div>`,
        )}
      </dl>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    return html`
      <h2>Adjacent channels</h2>
      ${this.#aclr(report)}
      <p class="condition">${powerText(report)}; ${this.#channels(report)}, from the outer carriers</p>
      ${this.#floors(report)}
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      h3 {
        margin: 1rem 0 0.25rem;
      }
      .condition {
        margin-top: 0.375rem;
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
    `,
  ];
}

customElements.define('kp-readings', Readings);

declare global {
  interface HTMLElementTagNameMap {
    'kp-readings': Readings;
  }
}
