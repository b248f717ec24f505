// Trained on × used on: a row for the condition that was learned, a column for the one it is used under. A cell is chosen
// by pointer or by arrow keys; it emits `hold-cell`.
import { css, html, LitElement } from 'lit';
import { formatFixed } from '../../../../shared/format/numbers.ts';
import type { HoldCell, HoldResult } from '../../../../shared/schema/holdReport.ts';
import { cellOf, cellText, isWorst, lossShade } from '../../charts/holdModels.ts';
import { baseStyles } from '../../styles/shared.ts';

export type HoldCellChosen = CustomEvent<HoldCell>;

function idOf({ trainedOn, usedOn }: Pick<HoldCell, 'trainedOn' | 'usedOn'>): string {
  return `cell-${trainedOn}-${usedOn}`;
}

export class HoldGrid extends LitElement {
  static override properties = { result: { attribute: false }, chosen: { attribute: false } };
  declare result: HoldResult | null;
  declare chosen: HoldCell | null;

  constructor() {
    super();
    this.result = null;
    this.chosen = null;
  }

  #choose(cell: HoldCell): void {
    this.dispatchEvent(new CustomEvent('hold-cell', { detail: cell }) satisfies HoldCellChosen);
  }

  get #rows(): readonly number[] {
    return [...new Set((this.result?.cells ?? []).map(({ trainedOn }) => trainedOn))].sort((a, b) => a - b);
  }

  #onKey(event: KeyboardEvent, { trainedOn, usedOn }: HoldCell): void {
    const rows = this.#rows;
    const row = rows.indexOf(trainedOn);
    const moves: Readonly<Record<string, readonly [number | undefined, number]>> = {
      ArrowUp: [rows[row - 1], usedOn],
      ArrowDown: [rows[row + 1], usedOn],
      ArrowLeft: [trainedOn, usedOn - 1],
      ArrowRight: [trainedOn, usedOn + 1],
    };
    const move = moves[event.key];
    if (move === undefined || this.result === null) return;
    event.preventDefault();
    const next = move[0] === undefined ? null : cellOf(this.result, move[0], move[1]);
    if (next === null) return;
    this.#choose(next);
    this.renderRoot.querySelector<HTMLElement>(`#${idOf(next)}`)?.focus();
  }

  #figure({ reading }: HoldCell): string {
    if (reading === null) return '–';
    const { worstAclrDb, evmPercent } = reading;
    if (worstAclrDb !== null) return formatFixed(worstAclrDb, 1);
    return evmPercent === null ? '–' : `${formatFixed(evmPercent, 1)} %`;
  }

  #cell(result: HoldResult, trainedOn: number, usedOn: number) {
    const cell = cellOf(result, trainedOn, usedOn);
    if (cell === null) return html`<td class="pending">·</td>`;
    const isOwn = trainedOn === usedOn;
    const shade = cell.lossDb === null || isOwn ? '' : `shade-${lossShade(cell.lossDb)}`;
    const worst = isWorst(result, cell);
    const isChosen = this.chosen?.trainedOn === trainedOn && this.chosen.usedOn === usedOn;
    // One stop of the tab key for the whole grid.
    const isStop = this.chosen === null ? cell === result.cells[0] : isChosen;
    return html`<td>
      <button
        id=${idOf(cell)}
        class="${shade} ${worst ? 'worst' : ''} ${isOwn ? 'own' : ''}"
        aria-pressed=${isChosen}
        aria-label="${cellText(result, cell)}${worst ? '; the worst' : ''}"
        tabindex=${isStop ? 0 : -1}
        @click=${() => this.#choose(cell)}
        @pointerenter=${({ pointerType }: PointerEvent) => {
          if (pointerType === 'mouse') this.#choose(cell);
        }}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, cell)}
      >
        ${worst ? html`<span aria-hidden="true">✕ </span>` : ''}${this.#figure(cell)}
      </button>
    </td>`;
  }

  protected override render() {
    const { result } = this;
    if (result === null) return '';
    const { conditions } = result;
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Learned under × used under">
      <table>
        <caption>
          ACLR in dB; rows learned, columns used. The diagonal is retrained
        </caption>
        <thead>
          <tr>
            <th scope="col">learned ↓ used →</th>
            ${conditions.map(({ label, isOwn }) => html`<th scope="col">${label}${isOwn ? ' *' : ''}</th>`)}
          </tr>
        </thead>
        <tbody>
          ${this.#rows.map(
            (row) => html`<tr>
              <th scope="row">${conditions[row]?.label}${conditions[row]?.isOwn ? ' *' : ''}</th>
              ${conditions.map((_, column) => this.#cell(result, row, column))}
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  static override styles = [
    baseStyles,
    css`
      .scroll {
        overflow-x: auto;
      }
      table {
        border-collapse: separate;
        border-spacing: 3px;
        font-variant-numeric: tabular-nums;
      }
      caption {
        padding-bottom: 0.25rem;
        color: var(--muted);
        font-size: var(--small);
        text-align: left;
      }
      th {
        padding: 0 0.375rem;
        color: var(--muted);
        font-weight: 400;
        font-size: var(--small);
        white-space: nowrap;
      }
      tbody th {
        position: sticky;
        left: 0;
        background: var(--paper);
        color: var(--ink);
        text-align: left;
      }
      td {
        min-width: 3.75rem;
        padding: 0;
      }
      .pending {
        border: 1px dashed var(--rule);
        border-radius: 3px;
        color: var(--muted);
        text-align: center;
      }
      button {
        width: 100%;
        min-height: 2.25rem;
        padding: 0 0.25rem;
        border: 1px solid var(--rule);
        white-space: nowrap;
        border-radius: 3px;
        background: var(--panel);
        color: var(--ink);
        font: inherit;
        cursor: pointer;
      }
      button.own {
        border-style: dashed;
        border-color: var(--edge);
      }
      .shade-0 {
        background: color-mix(in srgb, var(--within) 12%, var(--panel));
      }
      .shade-2 {
        background: color-mix(in srgb, var(--over) 10%, var(--panel));
      }
      .shade-3 {
        background: color-mix(in srgb, var(--over) 20%, var(--panel));
      }
      .shade-4 {
        background: color-mix(in srgb, var(--over) 30%, var(--panel));
      }
      button.worst {
        outline: 3px solid var(--over);
        outline-offset: -1px;
        font-weight: 600;
      }
      button[aria-pressed="true"] {
        border-color: var(--action);
        box-shadow: inset 0 0 0 2px var(--action);
      }
      button:focus-visible {
        outline: 3px solid var(--action);
        outline-offset: 1px;
      }
    `,
  ];
}

customElements.define('kp-hold-grid', HoldGrid);

declare global {
  interface HTMLElementTagNameMap {
    'kp-hold-grid': HoldGrid;
  }
}
