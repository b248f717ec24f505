// A dialog that only tells: the cautions, or the trade's terms.
import { css, html, LitElement } from 'lit';
import { cautions } from '../../../shared/cautions.ts';
import { TERMS } from '../format/terms.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';

export type LeafletTopic = 'cautions' | 'terms';

interface Entry {
  readonly term?: string;
  readonly text: string;
}

const HEADINGS: Readonly<Record<LeafletTopic, string>> = { cautions: 'Cautions', terms: 'Terms' };
const ENTRIES: Readonly<Record<LeafletTopic, readonly Entry[]>> = {
  cautions: cautions.map((text) => ({ text })),
  terms: TERMS.map(([term, text]) => ({ term, text })),
};

export class Leaflet extends LitElement {
  static override properties = { topic: { state: true } };
  declare topic: LeafletTopic;

  constructor() {
    super();
    this.topic = 'cautions';
  }

  get #dialog(): HTMLDialogElement | null {
    return this.renderRoot.querySelector('dialog');
  }

  async open(topic: LeafletTopic): Promise<void> {
    this.topic = topic;
    await this.updateComplete;
    this.#dialog?.showModal();
  }

  protected override render() {
    return html`<dialog aria-labelledby="title">
      <h2 id="title">${HEADINGS[this.topic]}</h2>
      <div class="entries" tabindex="0" role="region" aria-labelledby="title">
        ${ENTRIES[this.topic].map(
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
