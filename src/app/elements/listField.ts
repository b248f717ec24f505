// A list written as text: orders "1, 3, 5" or filter taps "1, 0.06 − 0.04j". What cannot be read is passed on as text,
// so that the engine's own issue answers it.
import { css, html, LitElement, nothing } from 'lit';
import type { Issue } from '../../../shared/schema/issue.ts';
import { type ListKind, listText, readList } from '../fields/listText.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { tellEdit } from './events.ts';

export class ListField extends LitElement {
  static override properties = {
    path: {},
    kind: {},
    caption: {},
    hint: {},
    value: { attribute: false },
    issue: { attribute: false },
  };
  declare path: string;
  declare kind: ListKind;
  declare caption: string;
  declare hint: string;
  declare value: unknown;
  declare issue: Issue | null;

  constructor() {
    super();
    this.path = '';
    this.kind = 'numbers';
    this.caption = '';
    this.hint = '';
    this.value = [];
    this.issue = null;
  }

  #onChange(event: Event): void {
    tellEdit(this, this.path, readList((event.target as HTMLInputElement).value, this.kind), false);
  }

  protected override render() {
    return html`
      <label for="control">${this.caption}</label>
      <input
        id="control"
        type="text"
        spellcheck="false"
        autocomplete="off"
        aria-describedby="hint"
        aria-invalid=${this.issue === null ? 'false' : 'true'}
        .value=${listText(this.value, this.kind)}
        @change=${this.#onChange}
      />
      <p id="hint" class="condition">${this.hint}</p>
      ${
        this.issue === null
          ? nothing
          : html`<p class="issue">
              <span aria-hidden="true">✕</span> ${this.issue.rule}, got ${this.issue.value}; ${this.issue.remedy}.
            </p>`
      }
    `;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      :host {
        padding: 0.25rem 0;
      }
      input {
        width: 100%;
        margin: 0.125rem 0;
        font-variant-numeric: tabular-nums;
      }
      .issue {
        color: var(--over);
        font-size: var(--small);
      }
    `,
  ];
}

customElements.define('kp-list-field', ListField);

declare global {
  interface HTMLElementTagNameMap {
    'kp-list-field': ListField;
  }
}
