// The answers: each limit with its readings, margins, verdicts and the floor that speaks, if one does.
import { css, html, LitElement, nothing } from 'lit';
import { formatSigned } from '../../../shared/format/numbers.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import {
  FLOOR_NAMES,
  type LimitGroup,
  type LimitRow,
  limitGroups,
  STATE_WORDS,
  STATUS_TEXTS,
} from '../format/verdicts.ts';
import { baseStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import './marginBar.ts';
import './swatch.ts';
import './warnings.ts';

export class Limits extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  #row({ verdict, reading, place }: LimitRow) {
    const style = TRACE_STYLES[verdict.of];
    const floor = verdict.limitedBy === null ? '' : `limited by ${FLOOR_NAMES[verdict.limitedBy]}`;
    const note = [place, floor].filter((text) => text !== '').join('; ');
    return html`<li class="row">
      <span class="of"><kp-swatch .trace=${style}></kp-swatch>${style.name}</span>
      <span class="reading figure">${reading}</span>
      <kp-margin-bar .marginDb=${verdict.marginDb} .spreadDb=${verdict.spreadDb ?? 0}></kp-margin-bar>
      <span class="margin figure ${verdict.state}">
        ${STATE_WORDS[verdict.state]} ${formatSigned(verdict.marginDb, 'dB')}
      </span>
      ${note === '' ? nothing : html`<span class="note figure">${note}</span>`}
    </li>`;
  }

  #group({ title, requirement, source, status, rows }: LimitGroup) {
    return html`<section>
      <h3>
        <span>${title}</span>
        <span class="required figure">${requirement}</span>
      </h3>
      ${
        rows.length === 0
          ? html`<p class="note">Not judged: the output has no such reading.</p>`
          : html`<ul>
              ${rows.map((row) => this.#row(row))}
            </ul>`
      }
      <p class="condition">${source}${status === 'own' ? '' : ` (${STATUS_TEXTS[status]})`}</p>
    </section>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return html`<h2>Limits</h2><p class="muted">The first result is on its way.</p>`;
    const groups = limitGroups(report);
    return html`
      <h2>Limits</h2>
      ${groups.length === 0 ? html`<p class="muted">None set. Add one at the antenna port.</p>` : groups.map((group) => this.#group(group))}
      <kp-warnings .warnings=${warningsAt('limits', report.warnings, this.detail)}></kp-warnings>
    `;
  }

  static override styles = [
    baseStyles,
    css`
      section {
        padding: 0.5rem 0 0.625rem;
        border-bottom: 1px solid var(--rule);
      }
      section:last-of-type {
        border-bottom: 0;
      }
      h3 {
        display: flex;
        flex-wrap: wrap;
        align-items: baseline;
        justify-content: space-between;
        gap: 0 0.5rem;
      }
      .required {
        color: var(--muted);
        font-weight: 400;
        font-size: var(--small);
      }
      .row {
        display: grid;
        grid-template-columns: 1fr auto;
        align-items: center;
        gap: 0.125rem 0.75rem;
        padding: 0.375rem 0;
      }
      .of {
        display: flex;
        align-items: center;
        gap: 0.5rem;
      }
      .reading {
        font-size: var(--head);
        font-weight: 600;
        text-align: right;
        white-space: nowrap;
      }
      .margin {
        font-size: var(--small);
        text-align: right;
        white-space: nowrap;
        min-width: 8.5rem;
      }
      .pass {
        color: var(--within);
      }
      .fail {
        color: var(--over);
      }
      .note {
        grid-column: 1 / -1;
        color: var(--muted);
        font-size: var(--small);
      }
    `,
  ];
}

customElements.define('kp-limits', Limits);

declare global {
  interface HTMLElementTagNameMap {
    'kp-limits': Limits;
  }
}
