// Warnings of one place: what is doubtful, with its numbers, and what to do.
import { css, html, LitElement, nothing } from 'lit';
import type { Warning } from '../../../shared/schema/issue.ts';
import { baseStyles } from '../styles/shared.ts';

export class Warnings extends LitElement {
  static override properties = { warnings: { attribute: false } };
  declare warnings: readonly Warning[];

  constructor() {
    super();
    this.warnings = [];
  }

  protected override render() {
    if (this.warnings.length === 0) return nothing;
    return html`<ul>
      ${this.warnings.map(({ message }) => html`<li><span class="mark">Doubt</span> ${message}</li>`)}
    </ul>`;
  }

  static override styles = [
    baseStyles,
    css`
      ul {
        display: grid;
        gap: 0.375rem;
        margin-top: 0.5rem;
      }
      li {
        max-width: 70ch;
        padding-left: 0.625rem;
        border-left: 2px solid var(--trace-data);
        font-size: var(--small);
        line-height: 1.4;
      }
      .mark {
        font-weight: 600;
      }
    `,
  ];
}

customElements.define('kp-warnings', Warnings);

declare global {
  interface HTMLElementTagNameMap {
    'kp-warnings': Warnings;
  }
}
