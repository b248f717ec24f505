// One place for a record: files are dropped on it or chosen; what is wrong with them stands in it.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering } from '../../../../shared/format/numbers.ts';
import { formatIssue, type Issue } from '../../../../shared/schema/issue.ts';
import type { RecordPlace } from '../../state/identifyFiles.ts';
import type { FileSet } from '../../state/records.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';

export type RecordPlaced = CustomEvent<{ readonly place: RecordPlace; readonly files: readonly File[] }>;
export type RecordRemoved = CustomEvent<RecordPlace>;

const ACCEPTED = '.sigmf-meta,.sigmf-data,.csv,.txt';

export class RecordPlaceElement extends LitElement {
  static override properties = {
    place: {},
    label: {},
    hint: {},
    record: { attribute: false },
    issues: { attribute: false },
    isOver: { state: true },
  };
  declare place: RecordPlace;
  declare label: string;
  /** What belongs here, in a few words. */
  declare hint: string;
  declare record: FileSet | null;
  declare issues: readonly Issue[];
  declare isOver: boolean;

  constructor() {
    super();
    this.place = 'drive';
    this.label = '';
    this.hint = '';
    this.record = null;
    this.issues = [];
    this.isOver = false;
  }

  #tell(files: readonly File[]): void {
    if (files.length === 0) return;
    const detail = { place: this.place, files };
    this.dispatchEvent(new CustomEvent('record-placed', { detail }) satisfies RecordPlaced);
  }

  #onDrop(event: DragEvent): void {
    const files = [...(event.dataTransfer?.files ?? [])];
    this.isOver = false;
    event.preventDefault();
    // The page would take them for another place.
    event.stopPropagation();
    this.#tell(files);
  }

  #onChosen(event: Event): void {
    const input = event.target as HTMLInputElement;
    const files = [...(input.files ?? [])];
    // The same files may be chosen again after a fault was cured.
    input.value = '';
    this.#tell(files);
  }

  #chooser(text: string) {
    return html`<label class="files">
      <input class="unseen" type="file" multiple accept=${ACCEPTED} aria-label="${this.label}: ${text}" @change=${this.#onChosen} />
      <span>${text}</span>
    </label>`;
  }

  #content() {
    const { record } = this;
    if (record === null) {
      return html`<p class="condition">Drop both files of a SigMF record here, or one CSV file.</p>
        <p class="acts">${this.#chooser('Choose files')}</p>`;
    }
    const form = record.format === 'sigmf' ? 'SigMF' : 'CSV';
    return html`<p class="name">${record.name}</p>
      <p class="acts">
        <span class="condition">${form}, ${formatEngineering(record.data.size, 'B')}</span>
        ${this.#chooser('Other files')}
        <button
          class="plain"
          aria-label="${this.label}: remove"
          @click=${() => this.dispatchEvent(new CustomEvent('record-removed', { detail: this.place }) satisfies RecordRemoved)}
        >
          Remove
        </button>
      </p>`;
  }

  protected override render() {
    const state = [this.record === null ? 'empty' : '', this.isOver ? 'over' : ''].join(' ');
    return html`<div
      class="place ${state}"
      role="group"
      aria-label=${this.label}
      @dragover=${(event: DragEvent) => {
        if (!event.dataTransfer?.types.includes('Files')) return;
        event.preventDefault();
        this.isOver = true;
      }}
      @dragleave=${() => {
        this.isOver = false;
      }}
      @drop=${this.#onDrop}
    >
      <p><strong>${this.label}</strong> <span class="condition">${this.hint}</span></p>
      ${this.#content()}
      ${
        this.issues.length === 0
          ? nothing
          : html`<ul role="alert">
              ${this.issues.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</li>`)}
            </ul>`
      }
    </div>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .place {
        height: 100%;
        padding: 0.5rem 0.75rem;
        border: 1px solid var(--rule);
        border-radius: 4px;
        background: var(--panel);
        overflow-wrap: anywhere;
      }
      .empty {
        border-color: var(--edge);
        border-style: dashed;
        background: none;
      }
      .over {
        border-color: var(--action);
        background: var(--action-wash);
      }
      .name {
        margin-top: 0.125rem;
      }
      li {
        margin-top: 0.25rem;
        font-size: var(--small);
      }
      li span {
        color: var(--over);
      }
      .acts {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0 0.5rem;
        min-height: 1.75rem;
        font-size: var(--small);
      }
      .files {
        cursor: pointer;
        color: var(--action);
      }
      .files span {
        padding: 0.125rem 0.375rem;
        border-radius: 4px;
      }
      .files:hover span {
        text-decoration: underline;
      }
      .empty .files span {
        padding: 0.25rem 0.75rem;
        border: 1px solid var(--edge);
        background: var(--panel);
      }
      .files input:focus-visible + span {
        outline: 2px solid var(--action);
        outline-offset: 2px;
      }
      .empty .acts {
        margin-top: 0.375rem;
        min-height: 2rem;
      }
    `,
  ];
}

customElements.define('kp-record-place', RecordPlaceElement);

declare global {
  interface HTMLElementTagNameMap {
    'kp-record-place': RecordPlaceElement;
  }
}
