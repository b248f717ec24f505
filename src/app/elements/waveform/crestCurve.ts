// The exceedance curve beside the waveform's settings: it follows the hand, and tells each stage's level at the
// probability that crest-factor reduction aims at.
import { css, html, LitElement, nothing } from 'lit';
import { formatProbability, formatQuantity } from '../../../../shared/format/numbers.ts';
import type { Report } from '../../../../shared/schema/report.ts';
import { type MarkedExceedance, markedExceedance } from '../../charts/exceedanceLevels.ts';
import { recordCondition } from '../../format/conditions.ts';
import { baseStyles, tableStyles } from '../../styles/shared.ts';
import '../../charts/xyPlot.ts';
import '../swatch.ts';

export class CrestCurve extends LitElement {
  static override properties = { report: { attribute: false }, probability: { attribute: false } };
  declare report: Report | null;
  declare probability: number;
  #marked: MarkedExceedance | null = null;

  constructor() {
    super();
    this.report = null;
    this.probability = 1e-4;
  }

  protected override willUpdate(): void {
    this.#marked = this.report === null ? null : markedExceedance(this.report, this.probability);
  }

  #table({ levels }: MarkedExceedance) {
    return html`<table>
      <caption>Level over the mean that a share of ${formatProbability(this.probability)} of the samples exceeds</caption>
      <tbody>
        ${levels.map(
          ({ name, variable, dash, levelDb }) => html`<tr>
            <th scope="row"><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch> ${name}</th>
            <td>${formatQuantity(levelDb, 'dB')}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  protected override render() {
    const marked = this.#marked;
    if (marked === null || this.report === null) return nothing;
    return html`
      <h2>Exceedance curve</h2>
      <kp-xy-plot .model=${marked.model}></kp-xy-plot>
      ${this.#table(marked)}
      <p class="condition">${recordCondition(this.report)}; envelope power over its mean
        (CCDF)${marked.levels.some(({ levelDb }) => levelDb === null) ? '; a dash: the record is too short to tell' : ''}</p>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      kp-xy-plot {
        height: 15rem;
      }
      table {
        margin-top: 0.25rem;
      }
      tbody th {
        font-size: var(--small);
      }
      td,
      tbody th {
        padding-block: 0.1875rem;
      }
      kp-swatch {
        margin-right: 0.375rem;
        vertical-align: 1px;
      }
      .condition {
        margin-top: 0.25rem;
      }
    `,
  ];
}

customElements.define('kp-crest-curve', CrestCurve);

declare global {
  interface HTMLElementTagNameMap {
    'kp-crest-curve': CrestCurve;
  }
}
