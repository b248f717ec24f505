// A dialog that only tells: the cautions, the terms.
import { css, html, LitElement } from 'lit';
import { baseStyles, controlStyles } from '../styles/shared.ts';

export interface LeafletEntry {
  readonly term?: string;
  readonly text: string;
}

export class Leaflet extends LitElement {
  static override properties = { heading: {}, entries: { attribute: false } };
  declare heading: string;
  declare entries: readonly LeafletEntry[];

  constructor() {
    super();
    this.heading = '';
    this.entries = [];
  }

  get #dialog(): HTMLDialogElement | null {
    return this.renderRoot.querySelector('dialog');
  }

  open(): void {
    this.#dialog?.showModal();
  }

  protected override render() {
    return html`<dialog aria-labelledby="title">
      <h2 id="title">${this.heading}</h2>
      <div class="entries" tabindex="0" role="region" aria-labelledby="title">
        ${this.entries.map(
          ({ term, text }) => html`<p>${term === undefined ? '' : html`<strong>${term}.</strong> `}${text}</p>`,
        )}
      </div>
      <button @click=${() => this.#dialog?.close()}>Close</button>
    </dialog>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      dialog {
        width: min(46rem, calc(100vw - 2rem));
        max-height: calc(100vh - 2rem);
        padding: 1.25rem;
        border: 1px solid var(--edge);
        border-radius: 6px;
        background: var(--paper);
        color: var(--ink);
      }
      dialog::backdrop {
        background: rgb(0 0 0 / 45%);
      }
      .entries {
        max-height: 65vh;
        margin: 0.75rem 0 1rem;
        overflow: auto;
      }
      p {
        max-width: 70ch;
        padding: 0.375rem 0;
      }
    `,
  ];
}

customElements.define('kp-leaflet', Leaflet);

declare global {
  interface HTMLElementTagNameMap {
    'kp-leaflet': Leaflet;
  }
}
