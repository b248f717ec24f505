// Records that could not be taken, each with all that is wrong with it; and the sample rate, where that is all it lacks.
import { css, html, LitElement, nothing } from 'lit';
import { formatIssue } from '../../../../shared/schema/issue.ts';
import type { RecordFault } from '../../state/records.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';

/** Asks for the same files again, at a rate in Hz; without a rate the list is closed. */
export type FaultsAnswered = CustomEvent<number | null>;

export class RecordFaults extends LitElement {
  static override properties = { faults: { attribute: false } };
  declare faults: readonly RecordFault[];

  constructor() {
    super();
    this.faults = [];
  }

  #answer(rateHz: number | null): void {
    this.dispatchEvent(new CustomEvent('faults-answered', { detail: rateHz }) satisfies FaultsAnswered);
  }

  #onRate(event: SubmitEvent): void {
    event.preventDefault();
    const input = this.renderRoot.querySelector('input');
    const rateMHz = Number(input?.value);
    if (Number.isFinite(rateMHz) && rateMHz > 0) this.#answer(Number((rateMHz * 1e6).toPrecision(12)));
  }

  #rateForm() {
    const lacksRate = this.faults.some(({ issues }) => issues.some(({ path }) => path === 'sample rate'));
    if (!lacksRate) return nothing;
    return html`<form @submit=${this.#onRate}>
      <label for="rate">Sample rate</label>
      <input id="rate" type="number" step="any" min="0" inputmode="decimal" required />
      <span class="muted">MHz</span>
      <button>Read again</button>
    </form>`;
  }

  protected override render() {
    if (this.faults.length === 0) return nothing;
    return html`<div class="faults" role="alert">
      ${this.faults.map(
        ({ name, issues }) => html`<p><strong>Not taken:</strong> ${name}</p>
          <ul>
            ${issues.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</li>`)}
          </ul>`,
      )}
      ${this.#rateForm()}
      <button class="plain" @click=${() => this.#answer(null)}>Close</button>
    </div>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .faults {
        margin-bottom: 1rem;
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
      form {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.25rem 0.5rem;
        margin-top: 0.5rem;
      }
      input {
        width: 5rem;
      }
      .plain {
        margin-left: -0.375rem;
      }
    `,
  ];
}

customElements.define('kp-record-faults', RecordFaults);

declare global {
  interface HTMLElementTagNameMap {
    'kp-record-faults': RecordFaults;
  }
}
