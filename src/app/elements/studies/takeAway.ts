// What a question gives away, and outcomes brought back in. Its writers are loaded when they are first asked for.
import { css, html, LitElement } from 'lit';
import type { StudyExport } from '../../state/studyExports.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';

const FORMS: readonly (readonly [StudyExport, string, string])[] = [
  ['page', 'Report', 'one HTML file with pictures, tables and conditions; it prints'],
  ['table', 'Table', 'CSV, full precision'],
  ['pictures', 'Pictures', 'SVG'],
  ['report', 'Figures', 'JSON, all figures at full precision'],
  ['study', 'Study', 'JSON, for the command line'],
  ['outcomes', 'Outcomes', 'JSON Lines, every run so far; the command line reads the same'],
];

export type ExportAsked = CustomEvent<StudyExport>;
export type OutcomesBrought = CustomEvent<string>;

export class TakeAway extends LitElement {
  static override properties = { message: {} };
  /** Short word on the last export or import. */
  declare message: string;

  constructor() {
    super();
    this.message = '';
  }

  #ask(form: StudyExport): void {
    this.dispatchEvent(new CustomEvent('export-asked', { detail: form }) satisfies ExportAsked);
  }

  async #onFile(event: Event): Promise<void> {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file === undefined) return;
    const text = await file.text();
    input.value = '';
    this.dispatchEvent(new CustomEvent('outcomes-brought', { detail: text }) satisfies OutcomesBrought);
  }

  protected override render() {
    return html`<div class="line">
      <span class="muted">Take away:</span>
      ${FORMS.map(
        ([form, text, note]) =>
          html`<button class="plain" title=${note} @click=${() => this.#ask(form)}>${text}</button>`,
      )}
      <label class="file">
        <input type="file" accept=".jsonl,application/jsonl" @change=${this.#onFile} />
        <span>Bring outcomes in</span>
      </label>
      <span class="muted" role="status">${this.message}</span>
    </div>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .line {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.25rem 0.75rem;
        margin-top: 1.25rem;
        padding-top: 0.5rem;
        border-top: 1px solid var(--rule);
        font-size: var(--small);
      }
      .file {
        position: relative;
        padding: 0.125rem 0.375rem;
        border-radius: 4px;
        color: var(--action);
        cursor: pointer;
      }
      .file:hover {
        text-decoration: underline;
      }
      .file:focus-within {
        outline: 2px solid var(--action);
        outline-offset: 2px;
      }
      .file input {
        position: absolute;
        inset: 0;
        width: 100%;
        opacity: 0;
        cursor: pointer;
      }
    `,
  ];
}

customElements.define('kp-take-away', TakeAway);

declare global {
  interface HTMLElementTagNameMap {
    'kp-take-away': TakeAway;
  }
}
