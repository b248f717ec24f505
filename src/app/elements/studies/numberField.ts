// One number of a question: label, number, unit. Emits `number-set`; the engine names what it refuses.
import { css, html, LitElement } from 'lit';
import { baseStyles, controlStyles } from '../../styles/shared.ts';

export type NumberSet = CustomEvent<number>;

export class NumberField extends LitElement {
  static override properties = { label: {}, unit: {}, value: { type: Number } };
  declare label: string;
  declare unit: string;
  declare value: number;

  constructor() {
    super();
    this.label = '';
    this.unit = '';
    this.value = 0;
  }

  #onChange(event: Event): void {
    const input = event.target as HTMLInputElement;
    const value = Number(input.value);
    if (input.value.trim() === '' || !Number.isFinite(value)) {
      input.value = String(this.value);
      return;
    }
    this.dispatchEvent(new CustomEvent('number-set', { detail: value }) satisfies NumberSet);
  }

  protected override render() {
    return html`<label for="control">${this.label}</label>
      <input
        id="control"
        type="number"
        step="any"
        inputmode="decimal"
        .value=${String(this.value)}
        @change=${this.#onChange}
      /><span class="muted small">${this.unit}</span>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      :host {
        display: inline-flex;
        align-items: center;
        gap: 0.375rem;
        font-size: var(--small);
      }
      label {
        flex: 1;
      }
      input {
        flex: none;
        width: 4rem;
        min-height: 1.75rem;
        appearance: textfield;
      }
      input::-webkit-inner-spin-button {
        display: none;
      }
    `,
  ];
}

customElements.define('kp-number', NumberField);

declare global {
  interface HTMLElementTagNameMap {
    'kp-number': NumberField;
  }
}
