// An amplifier from measured points: pasted or dropped as CSV, read by the command line's own reader, edited in a table
// while they are few. Every fault of a text is told at once, with its line.
import { css, html, LitElement, nothing } from 'lit';
import { formatCount, formatQuantity } from '../../../../shared/format/numbers.ts';
import { pointsScale } from '../../../../shared/schema/amplifierCurves.ts';
import { readEnvelopePoints } from '../../../../shared/schema/envelopePointsText.ts';
import { formatIssue, type Issue } from '../../../../shared/schema/issue.ts';
import type { AmplifierSettings, EnvelopePoint } from '../../../../shared/schema/scenario.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';
import { tellAction, tellEdit } from '../events.ts';
import { rowStyles } from '../waveform/rowStyles.ts';
import { MODEL_PATH } from './origins.ts';

/** More points than this are told in a line, and edited as text. */
const MOST_ROWS = 30;
const LEAST_POINTS = 3;
/** Faults listed; a file of another kind has one in every line. */
const MOST_FAULTS = 12;
const PATH = `${MODEL_PATH}.points`;

const COLUMNS = [
  ['inputDbm', 'input, dBm'],
  ['outputDbm', 'output, dBm'],
  ['phaseDeg', 'phase, °'],
] as const satisfies readonly (readonly [keyof EnvelopePoint, string])[];

export class PointsEditor extends LitElement {
  static override properties = {
    amplifier: { attribute: false },
    doubt: {},
    issues: { attribute: false },
    faults: { state: true },
    taken: { state: true },
    isOver: { state: true },
  };
  declare amplifier: AmplifierSettings | null;
  /** What the engine says of points whose powers are not the amplifier's. */
  declare doubt: string;
  /** The engine's, of the points in the scenario. */
  declare issues: readonly Issue[];
  /** Of the text brought in last. */
  declare faults: readonly Issue[];
  declare taken: string;
  declare isOver: boolean;

  constructor() {
    super();
    this.amplifier = null;
    this.doubt = '';
    this.issues = [];
    this.faults = [];
    this.taken = '';
    this.isOver = false;
  }

  get points(): readonly EnvelopePoint[] {
    const model = this.amplifier?.model;
    return model?.kind === 'envelopePoints' ? model.points : [];
  }

  /** Takes a text's points, or tells all that is wrong with it. */
  #read(text: string): void {
    if (text.trim() === '') {
      this.faults = [];
      return;
    }
    const outcome = readEnvelopePoints(text);
    this.faults = outcome.kind === 'invalid' ? outcome.issues : [];
    this.taken = '';
    if (outcome.kind === 'points') this.#take(outcome.points);
  }

  /** Measured points bring their power scale along. */
  #take(points: readonly EnvelopePoint[]): void {
    const scale = pointsScale(points);
    this.taken = `${formatCount(points.length)} points taken, saturated power and gain with them`;
    tellEdit(this, 'amplifier', { ...this.amplifier, ...scale, model: { kind: 'envelopePoints', points } }, false);
  }

  async #readFile(file: File | undefined): Promise<void> {
    if (file !== undefined) this.#read(await file.text());
  }

  /** A pasted text is there once the browser has put it in. */
  #onPaste(event: ClipboardEvent): void {
    const box = event.target as HTMLTextAreaElement;
    setTimeout(() => this.#read(box.value));
  }

  #onDrop(event: DragEvent): void {
    event.preventDefault();
    // The page would take a CSV file for a record.
    event.stopPropagation();
    this.isOver = false;
    void this.#readFile(event.dataTransfer?.files[0]);
  }

  #onCell(event: Event, index: number, name: keyof EnvelopePoint): void {
    const input = event.target as HTMLInputElement;
    const value = Number(input.value);
    if (input.value.trim() === '' || !Number.isFinite(value)) {
      input.value = String(this.points[index]?.[name] ?? '');
      return;
    }
    this.taken = '';
    tellEdit(this, `${PATH}.${index}.${name}`, value, false);
  }

  #remove(index: number): void {
    this.taken = '';
    tellEdit(
      this,
      PATH,
      this.points.filter((_, i) => i !== index),
      false,
    );
  }

  /** One more past the last, as far away as the last from the one before. */
  #add(): void {
    const [before, last] = [this.points.at(-2), this.points.at(-1)];
    if (before === undefined || last === undefined) return;
    const inputDbm = last.inputDbm + Math.max(1, last.inputDbm - before.inputDbm);
    tellEdit(this, PATH, [...this.points, { ...last, inputDbm }], false);
  }

  #box() {
    return html`<div
      class="drop ${this.isOver ? 'over' : ''}"
      @dragover=${(event: DragEvent) => {
        event.preventDefault();
        this.isOver = true;
      }}
      @dragleave=${() => {
        this.isOver = false;
      }}
      @drop=${this.#onDrop}
    >
      <label for="paste">Paste points, or drop a CSV file here</label>
      <textarea
        id="paste"
        rows="3"
        spellcheck="false"
        placeholder="input dBm; output dBm; phase"
        @paste=${this.#onPaste}
        @change=${(event: Event) => this.#read((event.target as HTMLTextAreaElement).value)}
      ></textarea>
      <label class="files">
        <input
          class="unseen"
          type="file"
          accept=".csv,.tsv,.txt"
          @change=${(event: Event) => {
            const input = event.target as HTMLInputElement;
            void this.#readFile(input.files?.[0]);
            input.value = '';
          }}
        />
        <span>CSV file…</span>
      </label>
      <p class="condition" role="status">
        ${this.taken === '' ? 'A point a line: input dBm, output dBm or gain dB, phase in degrees. A header may name them.' : `✓ ${this.taken}`}
      </p>
    </div>`;
  }

  #faultList() {
    const { faults } = this;
    if (faults.length === 0) return nothing;
    const more = faults.length - MOST_FAULTS;
    return html`<div class="faults" role="alert">
      <p><strong>Not taken:</strong> ${faults.length === 1 ? 'one fault' : `${formatCount(faults.length)} faults`}. The points below stay.</p>
      <ul>
        ${faults.slice(0, MOST_FAULTS).map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</li>`)}
        ${more > 0 ? html`<li>and ${formatCount(more)} more</li>` : nothing}
      </ul>
    </div>`;
  }

  #table() {
    return html`<table>
        <thead>
          <tr>
            ${COLUMNS.map(([, text]) => html`<th scope="col">${text}</th>`)}
            <th scope="col"><span class="unseen">Remove</span></th>
          </tr>
        </thead>
        <tbody>
          ${this.points.map((point, i) => this.#row(point, i))}
        </tbody>
      </table>
      <button class="plain" @click=${() => this.#add()}>Add a point</button>`;
  }

  #row(point: EnvelopePoint, index: number) {
    return html`<tr>
      ${COLUMNS.map(([name, text]) => {
        const path = `${PATH}.${index}.${name}`;
        return html`<td>
          <input
            type="number"
            step="any"
            inputmode="decimal"
            aria-label="Point ${index + 1}, ${text}"
            aria-invalid=${this.issues.some((issue) => issue.path === path) ? 'true' : 'false'}
            .value=${String(point[name] ?? '')}
            @change=${(event: Event) => this.#onCell(event, index, name)}
          />
        </td>`;
      })}
      <td>
        <button
          class="plain"
          aria-label="Remove point ${index + 1}"
          ?disabled=${this.points.length <= LEAST_POINTS}
          @click=${() => this.#remove(index)}
        >
          ✕
        </button>
      </td>
    </tr>`;
  }

  #summary() {
    const { points } = this;
    const [first, last] = [points[0], points.at(-1)];
    return html`<p class="condition figure">
      ${formatCount(points.length)} points, input ${formatQuantity(first?.inputDbm ?? null, 'dBm', 1)} to
      ${formatQuantity(last?.inputDbm ?? null, 'dBm', 1)},
      <button class="plain" @click=${() => tellAction(this, 'open-text')}>edited as text</button>
    </p>`;
  }

  protected override render() {
    const { points } = this;
    const own = this.issues.filter(({ path }) => path === PATH || path.startsWith(`${PATH}.`));
    return html`${
      this.doubt === ''
        ? nothing
        : html`<p class="note">
              ${this.doubt}
              <button class="plain" @click=${() => this.#take(points)}>Take the points’ own</button>
            </p>`
    }
      ${this.#box()} ${this.#faultList()}
      ${own.map((issue) => html`<p class="issue"><span aria-hidden="true">✕</span> ${issue.rule}, got ${issue.value}; ${issue.remedy}.</p>`)}
      ${points.length <= MOST_ROWS ? this.#table() : this.#summary()}`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    rowStyles,
    css`
      .note {
        margin: 0.5rem 0;
        padding-left: 0.625rem;
        border-left: 3px solid var(--over);
        font-size: var(--small);
      }
      .note .plain {
        min-height: 0;
        padding: 0;
      }
      .drop {
        margin-top: 0.25rem;
        padding: 0.5rem;
        border: 1px dashed var(--edge);
        border-radius: 4px;
      }
      .drop.over {
        border-color: var(--action);
      }
      textarea {
        display: block;
        width: 100%;
        margin-top: 0.25rem;
        font-family: var(--mono, ui-monospace, monospace);
        font-size: var(--small);
        resize: vertical;
      }
      .faults {
        margin: 0.5rem 0;
        padding: 0.375rem 0.625rem;
        border: 1px solid var(--over);
        border-left-width: 4px;
        border-radius: 4px;
        font-size: var(--small);
        overflow-wrap: anywhere;
      }
      .faults strong,
      .faults li span {
        color: var(--over);
      }
      table {
        width: 100%;
        margin-top: 0.5rem;
        border-collapse: collapse;
      }
      th {
        padding: 0 0.25rem 0.125rem 0;
        color: var(--muted);
        font-size: var(--small);
        font-weight: 400;
        text-align: right;
        white-space: nowrap;
      }
      td {
        padding: 0 0.25rem 0 0;
        border-bottom: 1px solid var(--rule);
      }
      td:last-child {
        width: 1.75rem;
        padding: 0;
      }
      td input[type="number"] {
        width: 100%;
        min-height: 1.75rem;
        border-color: transparent;
        background: none;
        appearance: textfield;
      }
      td input[type="number"]:is(:hover, :focus, [aria-invalid="true"]) {
        border-color: var(--edge);
      }
    `,
  ];
}

customElements.define('kp-points-editor', PointsEditor);

declare global {
  interface HTMLElementTagNameMap {
    'kp-points-editor': PointsEditor;
  }
}
