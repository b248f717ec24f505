// The order map itself: one grid for each structure, order down, memory depth across, the margin in each cell. A cell is
// chosen by pointer or by arrow keys; it emits `cell-chosen`.
import { css, html, LitElement } from 'lit';
import { cellMark, isSameCell, type MapStructure, STRUCTURE_NAMES } from '../../../../shared/format/mapCells.ts';
import { formatFixed, formatQuantity, formatSigned } from '../../../../shared/format/numbers.ts';
import { structureName } from '../../../../shared/format/structureName.ts';
import type { MapQuestion } from '../../../../shared/schema/study.ts';
import type { MapCell, MapResult } from '../../../../shared/schema/studyReport.ts';
import { meritOf } from '../../charts/orderModels.ts';
import { baseStyles } from '../../styles/shared.ts';

export type CellChosen = CustomEvent<MapCell>;

/** Steps of margin, in dB, at which a cell takes the next shade. */
const SHADES_DB = [-6, -3, 0, 3, 6] as const;

function shadeOf(marginDb: number): string {
  return `shade-${SHADES_DB.filter((step) => marginDb >= step).length}`;
}

export class OrderGrid extends LitElement {
  static override properties = {
    structure: {},
    result: { attribute: false },
    question: { attribute: false },
    hasLimits: { type: Boolean },
    isComplete: { type: Boolean },
    chosen: { attribute: false },
  };
  declare structure: MapStructure;
  declare result: MapResult | null;
  declare question: MapQuestion | null;
  declare hasLimits: boolean;
  /** Cells still missing are none of this structure. */
  declare isComplete: boolean;
  declare chosen: MapCell | null;

  constructor() {
    super();
    this.structure = 'memoryPolynomial';
    this.result = null;
    this.question = null;
    this.hasLimits = true;
    this.isComplete = false;
    this.chosen = null;
  }

  get #orders(): readonly number[] {
    return [...new Set(this.question?.highestOrders ?? [])].sort((a, b) => a - b);
  }

  get #depths(): readonly number[] {
    return [...new Set(this.question?.memoryDepths ?? [])].sort((a, b) => a - b);
  }

  #cellAt(order: number | undefined, depth: number | undefined): MapCell | null {
    const found = this.result?.cells.find(
      (cell) => cell.structure === this.structure && cell.highestOrder === order && cell.memoryDepth === depth,
    );
    return found ?? null;
  }

  #choose(cell: MapCell): void {
    this.dispatchEvent(new CustomEvent('cell-chosen', { detail: cell }) satisfies CellChosen);
  }

  #onKey(event: KeyboardEvent, order: number, depth: number): void {
    const [row, column] = [this.#orders.indexOf(order), this.#depths.indexOf(depth)];
    const moves: Readonly<Record<string, readonly [number, number]>> = {
      ArrowUp: [row - 1, column],
      ArrowDown: [row + 1, column],
      ArrowLeft: [row, column - 1],
      ArrowRight: [row, column + 1],
      Home: [row, 0],
      End: [row, this.#depths.length - 1],
    };
    const move = moves[event.key];
    if (move === undefined) return;
    event.preventDefault();
    const cell = this.#cellAt(this.#orders[move[0]], this.#depths[move[1]]);
    if (cell === null) return;
    this.#choose(cell);
    this.renderRoot.querySelector<HTMLElement>(`#${idOf(cell.highestOrder, cell.memoryDepth)}`)?.focus();
  }

  #text(cell: MapCell): string {
    const merit = meritOf(cell, this.hasLimits);
    if (merit === null) return '–';
    return this.hasLimits ? formatSigned(merit, '', 1) : formatFixed(merit, 1);
  }

  #label(cell: MapCell): string {
    const { highestOrder, memoryDepth, worstMarginDb, worstAclrDb, correctionUsed } = cell;
    const margin = worstMarginDb === null ? '' : `, margin ${formatSigned(worstMarginDb, 'dB')}`;
    const ring = isSameCell(cell, this.result?.ringed ?? null) ? ', cheapest that passes' : '';
    const used = correctionUsed ? '' : ', correction not used';
    return `${structureName(highestOrder, memoryDepth)}${margin}, ACLR ${formatQuantity(worstAclrDb, 'dB')}${ring}${used}`;
  }

  #cell(order: number, depth: number) {
    const cell = this.#cellAt(order, depth);
    const { result } = this;
    if (cell === null || result === null) return this.isComplete ? html`<td></td>` : html`<td class="pending">·</td>`;
    const isRinged = isSameCell(cell, result.ringed);
    const isChosen = isSameCell(cell, this.chosen);
    const shade = cell.worstMarginDb === null ? '' : shadeOf(cell.worstMarginDb - result.wantedMarginDb);
    // One stop of the tab key for the whole grid.
    const isStop = this.chosen?.structure === this.structure ? isChosen : cell === this.#firstCell;
    return html`<td>
      <button
        id=${idOf(order, depth)}
        class="${shade} ${isRinged ? 'ringed' : ''} ${cell.onFront ? 'front' : ''}"
        aria-pressed=${isChosen}
        aria-label=${this.#label(cell)}
        tabindex=${isStop ? 0 : -1}
        @click=${() => this.#choose(cell)}
        @pointerenter=${(event: PointerEvent) => {
          if (event.pointerType === 'mouse') this.#choose(cell);
        }}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, order, depth)}
      >
        <span class="mark" aria-hidden="true">${cellMark(cell, result).trim()}</span>
        <span class="value">${this.#text(cell)}</span>
      </button>
    </td>`;
  }

  get #firstCell(): MapCell | null {
    return this.result?.cells.find(({ structure }) => structure === this.structure) ?? null;
  }

  protected override render() {
    return html`<table>
      <caption>${STRUCTURE_NAMES[this.structure]}</caption>
      <thead>
        <tr>
          <th scope="col">order</th>
          ${this.#depths.map((depth) => html`<th scope="col">${depth} ${depth === 1 ? 'tap' : 'taps'}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${this.#orders.map(
          (order) => html`<tr>
            <th scope="row">${order}</th>
            ${this.#depths.map((depth) => this.#cell(order, depth))}
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  static override styles = [
    baseStyles,
    css`
      table {
        width: 100%;
        border-collapse: separate;
        border-spacing: 3px;
        table-layout: fixed;
        font-variant-numeric: tabular-nums;
      }
      caption {
        padding-bottom: 0.25rem;
        font-weight: 600;
        text-align: left;
      }
      caption::first-letter {
        text-transform: uppercase;
      }
      th {
        color: var(--muted);
        font-weight: 400;
        font-size: var(--small);
      }
      tr > th:first-child {
        width: 2.5rem;
        text-align: left;
      }
      tbody th {
        color: var(--ink);
        font-size: var(--body);
      }
      td {
        padding: 0;
      }
      td {
        height: 2.75rem;
      }
      .pending {
        border: 1px dashed var(--rule);
        border-radius: 3px;
        color: var(--muted);
        text-align: center;
      }
      button {
        display: flex;
        align-items: center;
        justify-content: center;
        gap: 0.25rem;
        width: 100%;
        min-height: 2.75rem;
        padding: 0;
        border: 1px solid var(--rule);
        border-radius: 3px;
        background: var(--panel);
        color: var(--ink);
        font: inherit;
        cursor: pointer;
      }
      .mark {
        font-size: var(--small);
      }
      .shade-0 {
        background: color-mix(in srgb, var(--over) 34%, var(--panel));
      }
      .shade-1 {
        background: color-mix(in srgb, var(--over) 22%, var(--panel));
      }
      .shade-2 {
        background: color-mix(in srgb, var(--over) 11%, var(--panel));
      }
      .shade-3 {
        background: color-mix(in srgb, var(--within) 12%, var(--panel));
      }
      .shade-4 {
        background: color-mix(in srgb, var(--within) 24%, var(--panel));
      }
      .shade-5 {
        background: color-mix(in srgb, var(--within) 36%, var(--panel));
      }
      button.front .value {
        font-weight: 700;
        text-decoration: underline;
        text-underline-offset: 3px;
      }
      button.ringed {
        outline: 3px solid var(--ink);
        outline-offset: -1px;
      }
      button[aria-pressed="true"] {
        border-color: var(--action);
        box-shadow: inset 0 0 0 2px var(--action);
      }
      button:focus-visible {
        outline: 3px solid var(--action);
        outline-offset: 1px;
      }
      @media (max-width: 640px) {
        .mark {
          display: none;
        }
        thead th {
          font-size: 0.75rem;
        }
      }
    `,
  ];
}

function idOf(order: number, depth: number): string {
  return `cell-${order}-${depth}`;
}

customElements.define('kp-order-grid', OrderGrid);

declare global {
  interface HTMLElementTagNameMap {
    'kp-order-grid': OrderGrid;
  }
}
