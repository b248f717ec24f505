// Gain trail and phase trail (AM/AM and AM/PM): clouds of both outputs and their mean curves.
import { css, html, LitElement, nothing } from 'lit';
import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import type { AmAmAmPmTrace, Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { trailModel } from '../charts/xyModels.ts';
import type { XyModel } from '../charts/xyPlot.ts';
import { recordCondition } from '../format/conditions.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import { pictureStyles } from './pictureStyles.ts';
import '../charts/xyPlot.ts';
import './swatch.ts';

const TABLE_ROWS = 16;

export class Trails extends LitElement {
  static override properties = { report: { attribute: false } };
  declare report: Report | null;
  #gain: XyModel | null = null;
  #phase: XyModel | null = null;

  constructor() {
    super();
    this.report = null;
  }

  protected override willUpdate(): void {
    this.#gain = this.report === null ? null : trailModel(this.report, 'gain');
    this.#phase = this.report === null ? null : trailModel(this.report, 'phase');
  }

  #table(name: 'uncorrected' | 'corrected', trace: AmAmAmPmTrace | null) {
    if (trace === null) return nothing;
    const step = Math.max(1, Math.ceil(trace.driveDb.length / TABLE_ROWS));
    const rows = Array.from({ length: Math.ceil(trace.driveDb.length / step) }, (_, i) => i * step);
    return html`<table>
      <caption>${TRACE_STYLES[name].name}: mean curve, dB and degrees re small signal</caption>
      <thead>
        <tr>
          <th scope="col">Drive re knee</th>
          <th scope="col">Gain</th>
          <th scope="col">Spread</th>
          <th scope="col">Phase</th>
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          (i) => html`<tr>
            <th scope="row">${formatQuantity(trace.driveDb[i] ?? null, 'dB')}</th>
            <td>${formatFixed(trace.gainDb[i] ?? 0, 2)}</td>
            <td>${formatFixed(trace.gainSpreadDb[i] ?? 0, 2)}</td>
            <td>${formatFixed(trace.phaseDeg[i] ?? 0, 1)}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const { uncorrected, corrected } = report.traces.amAmAmPm;
    return html`
      <h2>Gain trail and phase trail</h2>
      <p class="legend">
        <span><kp-swatch .trace=${TRACE_STYLES.uncorrected}></kp-swatch>Uncorrected cloud, mean dashed</span>
        ${
          corrected === null
            ? nothing
            : html`<span><kp-swatch .trace=${TRACE_STYLES.corrected}></kp-swatch>Corrected cloud, mean solid</span>`
        }
      </p>
      <div class="pair">
        <kp-xy-plot .model=${this.#gain}></kp-xy-plot>
        <kp-xy-plot .model=${this.#phase}></kp-xy-plot>
      </div>
      <p class="condition">${recordCondition(report)}; small-signal gain and phase removed</p>
      <details>
        <summary>Mean curves as tables</summary>
        <div class="scroll" tabindex="0" role="region" aria-label="Mean curves as tables">
          ${this.#table('uncorrected', uncorrected)} ${this.#table('corrected', corrected)}
        </div>
      </details>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    pictureStyles,
    css`
      .pair {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(17rem, 1fr));
        gap: 0.5rem 1.5rem;
      }
      table + table {
        margin-top: 1rem;
      }
    `,
  ];
}

customElements.define('kp-trails', Trails);

declare global {
  interface HTMLElementTagNameMap {
    'kp-trails': Trails;
  }
}
