// The sentence that answers the scenario, what it was asked, and what must be known before it is believed.
import { css, html, LitElement, nothing } from 'lit';
import { formatQuantity } from '../../../shared/format/numbers.ts';
import { formatIssue, type Issue } from '../../../shared/schema/issue.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { RunDetail } from '../../worker/client.ts';
import { baseStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import './warnings.ts';

function capitalized(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${text.endsWith('.') ? '' : '.'}`;
}

export class Answer extends LitElement {
  static override properties = {
    scenario: { attribute: false },
    report: { attribute: false },
    detail: {},
    fault: {},
    notice: {},
    issues: { attribute: false },
  };
  declare scenario: Scenario | null;
  declare report: Report | null;
  declare detail: RunDetail;
  declare fault: string | null;
  declare notice: string | null;
  /** Faults of the settings: told here as long as there is no result. */
  declare issues: readonly Issue[];

  constructor() {
    super();
    this.scenario = null;
    this.report = null;
    this.detail = 'full';
    this.fault = null;
    this.notice = null;
    this.issues = [];
  }

  #banner(title: string, text: string) {
    return html`<p class="banner"><strong>${title}.</strong> ${text}</p>`;
  }

  #banners() {
    const { report, fault, notice } = this;
    return html`
      ${notice === null ? nothing : this.#banner('Address not read', notice)}
      ${
        fault === null
          ? nothing
          : this.#banner('The computation failed', `The last good result stays. The engine says: ${fault}`)
      }
      ${
        report === null || report.equalPower
          ? nothing
          : this.#banner(
              'Unequal power',
              `Uncorrected and corrected outputs differ by ${formatQuantity(report.powerDifferenceDb, 'dB', 2)}; their figures are not to be compared. Choose a power that both reach.`,
            )
      }
      ${
        report === null || report.scenario.predistorter === null || report.correctionUsed
          ? nothing
          : this.#banner(
              'Correction not used',
              capitalized(report.learning?.rejectedBecause ?? 'it is worse than no correction at this power'),
            )
      }
    `;
  }

  protected override render() {
    const { report, scenario } = this;
    return html`
      <p class="title"><strong>${scenario?.title ?? ''}</strong> <span class="story">${scenario?.story ?? ''}</span></p>
      <p class="answer" aria-live=${this.detail === 'full' ? 'polite' : 'off'}>${report?.answer ?? (this.issues.length > 0 ? 'There is no result yet: a setting is refused.' : 'Computing the first result.')}</p>
      ${this.#banners()}
      ${
        report !== null
          ? nothing
          : this.issues.map(
              (issue) => html`<p class="refused"><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</p>`,
            )
      }
      <kp-warnings .warnings=${report === null ? [] : warningsAt('answer', report.warnings, this.detail)}></kp-warnings>
    `;
  }

  static override styles = [
    baseStyles,
    css`
      .title {
        max-width: 100ch;
        color: var(--muted);
        font-size: var(--small);
      }
      .title strong {
        color: var(--ink);
      }
      .answer {
        max-width: 62ch;
        margin: 0.375rem 0 0;
        font-size: var(--answer);
        font-weight: 500;
        line-height: 1.25;
        letter-spacing: -0.01em;
        font-variant-numeric: tabular-nums;
        text-wrap: pretty;
      }
      .refused {
        max-width: 80ch;
        margin-top: 0.5rem;
        overflow-wrap: anywhere;
      }
      .refused span {
        color: var(--over);
      }
      .banner {
        max-width: 80ch;
        margin-top: 0.5rem;
        padding: 0.5rem 0.75rem;
        border: 1px solid var(--over);
        border-left-width: 4px;
        border-radius: 4px;
        background: var(--panel);
      }
      .banner strong {
        color: var(--over);
      }
      /* A low screen, such as a projector's, keeps its room for the picture. */
      @media (max-height: 800px) and (min-width: 761px) {
        .story {
          display: none;
        }
      }
      @media (max-width: 640px) {
        .answer {
          font-size: 1.3125rem;
        }
      }
    `,
  ];
}

customElements.define('kp-answer', Answer);

declare global {
  interface HTMLElementTagNameMap {
    'kp-answer': Answer;
  }
}
