// The learning strip: what each pass gave, which one is used, and how well conditioned the fit was.
import { css, html, LitElement, nothing } from 'lit';
import {
  formatCount,
  formatFixed,
  formatSigned,
  formatSignificant,
  NO_READING,
} from '../../../shared/format/numbers.ts';
import type { LearningPass, LearningReport, Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { conditionNumberText } from '../format/conditions.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import './warnings.ts';

export class Learning extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  #pass(pass: LearningPass, index: number, chosen: number | null) {
    const isChosen = index === chosen;
    return html`<tr class=${isChosen ? 'chosen' : ''}>
      <th scope="row">
        <span class="mark" aria-hidden="true">${isChosen ? '●' : '○'}</span> ${index + 1}${isChosen ? ' kept' : ''}
      </th>
      <td>${pass.worstAclrDb === null ? NO_READING : formatFixed(pass.worstAclrDb, 1)}</td>
      <td>${pass.evmPercent === null ? NO_READING : formatFixed(pass.evmPercent, 2)}</td>
      <td>${formatFixed(pass.nmseDb, 1)}</td>
      <td>${formatSigned(pass.drivePeakDb, '', 1)}</td>
      <td>${formatSignificant(100 * pass.heldSampleRatio, 2)}</td>
      <td>${conditionNumberText(pass.conditionNumber)}</td>
    </tr>`;
  }

  #table(learning: LearningReport) {
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Learning passes">
      <table>
        <caption>ACLR and EVM on the selection record, NMSE on the training record</caption>
        <thead>
          <tr>
            <th scope="col">Pass</th>
            <th scope="col">Worst<br />ACLR, dB</th>
            <th scope="col">EVM,<br />%</th>
            <th scope="col">NMSE,<br />dB</th>
            <th scope="col">Drive peak<br />re knee, dB</th>
            <th scope="col">Held,<br />%</th>
            <th scope="col">Condition<br />number</th>
          </tr>
        </thead>
        <tbody>
          ${learning.passes.map((pass, index) => this.#pass(pass, index, learning.chosenPass))}
        </tbody>
      </table>
    </div>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const { learning } = report;
    if (learning === null) {
      return html`<h2>Learning</h2>
        <p class="muted">No predistorter: nothing is learned. Switch it on in the chain.</p>`;
    }
    const { seeds } = report.scenario;
    return html`
      <h2>Learning</h2>
      ${this.#table(learning)}
      <p class="condition figure">
        Indirect learning of ${formatCount(learning.coefficientCount)} coefficients from
        ${formatCount(learning.trainingSampleCount)} samples, training seed ${seeds.training}, selection seed
        ${seeds.selection}; raw condition number ${conditionNumberText(learning.rawConditionNumber)}.
      </p>
      ${
        learning.chosenPass === null
          ? html`<p class="over">No pass is used: ${learning.rejectedBecause ?? 'each was worse than no correction'}</p>`
          : nothing
      }
      <kp-warnings .warnings=${warningsAt('learning', report.warnings, this.detail)}></kp-warnings>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      .chosen td,
      .chosen th {
        color: var(--trace-corrected);
        font-weight: 600;
      }
      .mark {
        display: inline-block;
        width: 1rem;
      }
      .condition {
        margin-top: 0.375rem;
      }
      .over {
        margin-top: 0.375rem;
        color: var(--over);
      }
    `,
  ];
}

customElements.define('kp-learning', Learning);

declare global {
  interface HTMLElementTagNameMap {
    'kp-learning': Learning;
  }
}
