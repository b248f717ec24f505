// The scenario as text: to read, edit, copy, bring in from a file.
import { css, html, LitElement, nothing } from 'lit';
import { formatIssue, type Issue } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { scenarioText } from '../state/downloads.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { tellAction } from './events.ts';

/** Answers with the faults of a text; none means that it was taken. */
export type ReadText = (text: string, origin: string) => readonly Issue[];

export class ScenarioText extends LitElement {
  static override properties = {
    draft: { attribute: false },
    readText: { attribute: false },
    text: { state: true },
    issues: { state: true },
    message: { state: true },
  };
  declare draft: Scenario | null;
  declare readText: ReadText;
  declare text: string;
  declare issues: readonly Issue[];
  declare message: string;

  constructor() {
    super();
    this.draft = null;
    this.readText = () => [];
    this.text = '';
    this.issues = [];
    this.message = '';
  }

  async open(): Promise<void> {
    this.text = this.draft === null ? '' : scenarioText(this.draft);
    this.issues = [];
    this.message = '';
    await this.updateComplete;
    this.#dialog?.showModal();
    const area = this.renderRoot.querySelector('textarea');
    area?.setSelectionRange(0, 0);
    area?.scrollTo(0, 0);
  }

  get #dialog(): HTMLDialogElement | null {
    return this.renderRoot.querySelector('dialog');
  }

  #take(text: string, origin: string): void {
    this.text = text;
    this.issues = this.readText(text, origin);
    if (this.issues.length === 0) this.#dialog?.close();
  }

  async #onFile(event: Event): Promise<void> {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file === undefined) return;
    this.#take(await file.text(), 'file');
    // The same file may be chosen again after it was corrected.
    input.value = '';
  }

  async #copy(): Promise<void> {
    try {
      await navigator.clipboard.writeText(this.text);
      this.message = 'copied';
    } catch {
      this.message = 'the browser refused; select the text and copy it by hand';
    }
  }

  #faults() {
    if (this.issues.length === 0) return nothing;
    return html`<div class="faults" role="alert">
      <p>Not taken: ${this.issues.length} ${this.issues.length === 1 ? 'fault' : 'faults'}.</p>
      <ul>
        ${this.issues.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}</li>`)}
      </ul>
    </div>`;
  }

  protected override render() {
    return html`<dialog aria-labelledby="title">
      <h2 id="title">Scenario as text</h2>
      <p class="condition">
        JSON with every default filled in; the command line reads the same file. Units are in the names.
      </p>
      <textarea
        aria-label="Scenario as JSON"
        spellcheck="false"
        .value=${this.text}
        @input=${(event: Event) => {
          this.text = (event.target as HTMLTextAreaElement).value;
        }}
      ></textarea>
      ${this.#faults()}
      <div class="buttons">
        <button class="main" @click=${() => this.#take(this.text, 'text')}>Use this text</button>
        <label class="file">
          <input type="file" accept=".json,application/json" @change=${this.#onFile} />
          <span>Open a file</span>
        </label>
        <button @click=${this.#copy}>Copy</button>
        <button @click=${() => tellAction(this, 'save-scenario')}>Download</button>
        <span class="condition" role="status">${this.message}</span>
        <button class="close" @click=${() => this.#dialog?.close()}>Close</button>
      </div>
    </dialog>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      dialog {
        width: min(52rem, calc(100vw - 2rem));
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
      textarea {
        width: 100%;
        height: min(32rem, 55vh);
        margin: 0.5rem 0;
        font: var(--small) / 1.45 var(--mono);
        resize: vertical;
      }
      .buttons {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.5rem;
      }
      .main {
        border-color: var(--action);
        background: var(--action);
        color: var(--paper);
      }
      .main:hover:not(:disabled) {
        color: var(--paper);
        filter: brightness(1.1);
      }
      .close {
        margin-left: auto;
      }
      .file {
        position: relative;
      }
      .file input {
        position: absolute;
        inset: 0;
        width: 100%;
        opacity: 0;
        cursor: pointer;
      }
      .file span {
        display: inline-flex;
        align-items: center;
        min-height: 2rem;
        padding: 0.25rem 0.75rem;
        border: 1px solid var(--edge);
        border-radius: 4px;
        background: var(--panel);
      }
      .file input:focus-visible + span {
        outline: 2px solid var(--action);
        outline-offset: 2px;
      }
      .faults {
        max-height: 10rem;
        margin-bottom: 0.75rem;
        overflow: auto;
        color: var(--over);
        font-size: var(--small);
      }
    `,
  ];
}

customElements.define('kp-scenario-text', ScenarioText);

declare global {
  interface HTMLElementTagNameMap {
    'kp-scenario-text': ScenarioText;
  }
}
