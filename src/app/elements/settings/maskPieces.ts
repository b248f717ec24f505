// The pieces of an emission mask as a table to type in: distances in MHz, levels in the mask's unit, width in kHz.
import { css, html, LitElement } from 'lit';
import type { MaskLimitSettings, MaskPiece } from '../../../../shared/schema/measurement.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';

interface Column {
  readonly field: keyof MaskPiece;
  readonly heading: string;
  readonly label: string;
  readonly factor: number;
  /** What an empty cell stands for; null where a number is needed. */
  readonly empty: 'end' | null;
  readonly canBeEmpty: boolean;
}

const NUMBER = { factor: 1, empty: null, canBeEmpty: false } as const;
const COLUMNS: readonly Column[] = [
  { ...NUMBER, field: 'fromHz', heading: 'from', label: 'from, MHz', factor: 1e6 },
  {
    ...NUMBER,
    field: 'toHz',
    heading: 'to',
    label: 'to, MHz; empty is the end',
    factor: 1e6,
    empty: 'end',
    canBeEmpty: true,
  },
  { ...NUMBER, field: 'startLevel', heading: 'level', label: 'level at the first distance' },
  { ...NUMBER, field: 'endLevel', heading: 'to level', label: 'level at the last distance' },
  { ...NUMBER, field: 'measuringBandwidthHz', heading: 'in', label: 'measuring bandwidth, kHz', factor: 1e3 },
  { ...NUMBER, field: 'atMostDbm', heading: 'at most', label: 'at most, dBm; empty is no bound', canBeEmpty: true },
  { ...NUMBER, field: 'atLeastDbm', heading: 'at least', label: 'at least, dBm; empty is no bound', canBeEmpty: true },
];
const UNITS = ['MHz', 'MHz', '', '', 'kHz', 'dBm', 'dBm'];
/** Removes the noise of the scaling. */
const DIGITS = 12;

export class MaskPieces extends LitElement {
  static override properties = { path: {}, unit: {}, pieces: { attribute: false } };
  declare path: string;
  declare unit: MaskLimitSettings['unit'];
  declare pieces: readonly MaskPiece[];

  constructor() {
    super();
    this.path = '';
    this.unit = 'dBm';
    this.pieces = [];
  }

  #tell(pieces: readonly MaskPiece[]): void {
    tellEdit(this, this.path, pieces, false);
  }

  #onCell(event: Event, index: number, { field, factor, empty, canBeEmpty }: Column): void {
    const input = event.target as HTMLInputElement;
    const text = input.value.trim().replace(/[−–]/g, '-');
    const isEmpty = text === '' || text === 'end';
    const number = Number(text) * factor;
    if (isEmpty ? !canBeEmpty : !Number.isFinite(number)) {
      input.value = this.#text(index, field, factor);
      return;
    }
    const value = isEmpty ? empty : Number(number.toPrecision(DIGITS));
    this.#tell(this.pieces.map((piece, i) => (i === index ? { ...piece, [field]: value } : piece)));
  }

  #text(index: number, field: keyof MaskPiece, factor: number): string {
    const value = this.pieces[index]?.[field] ?? null;
    return typeof value === 'number' ? String(Number((value / factor).toPrecision(DIGITS))) : '';
  }

  /** A new piece goes on where the last one ends. */
  #add(): void {
    const last = this.pieces.at(-1);
    if (last === undefined) return;
    const fromHz = typeof last.toHz === 'number' ? last.toHz : last.fromHz + 1e6;
    const kept = this.pieces.slice(0, -1);
    const before = { ...last, toHz: fromHz };
    const after = { ...last, fromHz, toHz: 'end' as const, startLevel: last.endLevel, endLevel: last.endLevel };
    this.#tell([...kept, before, after]);
  }

  protected override render() {
    const level = this.unit === 'dBm' ? 'dBm' : 'dB';
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Pieces of the mask">
        <table>
          <thead>
            <tr>
              ${COLUMNS.map(
                ({ heading }, i) => html`<th scope="col">${heading}<br />${UNITS[i] === '' ? level : UNITS[i]}</th>`,
              )}
              <th scope="col"><span class="unseen">Remove</span></th>
            </tr>
          </thead>
          <tbody>
            ${this.pieces.map(
              (_, index) => html`<tr>
                ${COLUMNS.map(
                  (column) => html`<td>
                    <input
                      type="text"
                      inputmode="decimal"
                      aria-label="Piece ${index + 1}, ${column.label}"
                      placeholder=${column.empty ?? (column.canBeEmpty ? '–' : '')}
                      .value=${this.#text(index, column.field, column.factor)}
                      @change=${(event: Event) => this.#onCell(event, index, column)}
                    />
                  </td>`,
                )}
                <td>
                  <button
                    class="plain"
                    aria-label="Remove piece ${index + 1}"
                    ?disabled=${this.pieces.length === 1}
                    @click=${() => this.#tell(this.pieces.filter((_piece, i) => i !== index))}
                  >
                    ✕
                  </button>
                </td>
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      <button class="plain" @click=${this.#add}>Add a piece</button>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    css`
      th,
      td {
        padding: 0.125rem;
      }
      th,
      th:first-child {
        text-align: right;
      }
      input[type="text"] {
        width: 3.5rem;
        min-height: 1.75rem;
        padding: 0.125rem 0.25rem;
        font-size: var(--small);
        font-variant-numeric: tabular-nums;
        text-align: right;
      }
    `,
  ];
}

customElements.define('kp-mask-pieces', MaskPieces);

declare global {
  interface HTMLElementTagNameMap {
    'kp-mask-pieces': MaskPieces;
  }
}
