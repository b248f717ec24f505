// Why nothing is computed: all faults of the draft at once, in the engine's words.
import { css, html, LitElement, nothing } from 'lit';
import { formatIssue, type Issue } from '../../../shared/schema/issue.ts';
import { baseStyles } from '../styles/shared.ts';

export class FaultList extends LitElement {
  static override properties = { issues: { attribute: false } };
  declare issues: readonly Issue[];

  constructor() {
    super();
    this.issues = [];
  }

  protected override render() {
    const { issues } = this;
    if (issues.length === 0) return nothing;
    return html`<div class="faults" role="alert">
      <p><strong>Not computed:</strong> ${issues.length === 1 ? 'one setting is' : `${issues.length} settings are`}
        refused. The last good result stays.</p>
      <ul>
        ${issues.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</li>`)}
      </ul>
    </div>`;
  }

  static override styles = [
    baseStyles,
    css`
      /* Over the end of the settings, so that no control moves under the hand. */
      :host {
        position: sticky;
        bottom: 0;
      }
      .faults {
        max-height: 12rem;
        margin-top: 1rem;
        overflow-y: auto;
        padding: 0.5rem 0.75rem;
        border: 1px solid var(--over);
        border-left-width: 4px;
        border-radius: 4px;
        background: var(--panel);
        font-size: var(--small);
        overflow-wrap: anywhere;
      }
      strong,
      li span {
        color: var(--over);
      }
      li {
        margin-top: 0.25rem;
      }
    `,
  ];
}

customElements.define('kp-fault-list', FaultList);

declare global {
  interface HTMLElementTagNameMap {
    'kp-fault-list': FaultList;
  }
}
