// Several numbers of a question written as one text, such as "6.5, 7, 7.5". Emits `list-set`.
import { css, html, LitElement, nothing } from 'lit';
import { baseStyles, controlStyles } from '../../styles/shared.ts';

export type ListSet = CustomEvent<readonly number[]>;

export class NumberList extends LitElement {
  static override properties = { label: {}, unit: {}, values: { attribute: false }, isRefused: { state: true } };
  declare label: string;
  declare unit: string;
  declare values: readonly number[];
  declare isRefused: boolean;
  /** The text being typed: figures that come in meanwhile do not rewrite it under the hand. */
  #typed: string | null = null;

  constructor() {
    super();
    this.label = '';
    this.unit = '';
    this.values = [];
    this.isRefused = false;
  }

  #onChange(event: Event): void {
    this.#typed = null;
    const parts = (event.target as HTMLInputElement).value.split(/[\s,;]+/).filter((part) => part !== '');
    const values = parts.map(Number);
    this.isRefused = values.some((value) => !Number.isFinite(value));
    if (!this.isRefused) this.dispatchEvent(new CustomEvent('list-set', { detail: values }) satisfies ListSet);
  }

  protected override render() {
    return html`<label for="control">${this.label}</label>
      <input
        id="control"
        type="text"
        spellcheck="false"
        .value=${this.#typed ?? this.values.join(', ')}
        aria-invalid=${this.isRefused ? 'true' : 'false'}
        aria-describedby=${this.isRefused ? 'refused' : nothing}
        @input=${({ target }: Event) => {
          this.#typed = (target as HTMLInputElement).value;
        }}
        @blur=${() => {
          this.#typed = null;
        }}
        @change=${this.#onChange}
      /><span class="muted small">${this.unit}</span>
      ${this.isRefused ? html`<span id="refused" class="refused">✕ write numbers, with commas between</span>` : nothing}`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      :host {
        display: inline-flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.375rem;
        font-size: var(--small);
      }
      input[type="text"] {
        width: var(--list-width, 13rem);
        min-height: 1.75rem;
        font-variant-numeric: tabular-nums;
      }
      .refused {
        color: var(--over);
      }
    `,
  ];
}

customElements.define('kp-number-list', NumberList);

declare global {
  interface HTMLElementTagNameMap {
    'kp-number-list': NumberList;
  }
}
