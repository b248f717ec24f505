// Which order: the maps of both structures, the chosen cell's figures, margin against cost, and the corrected spectra.
import { css, html, LitElement, nothing } from 'lit';
import { STRUCTURE_NAMES } from '../../../../shared/format/mapCells.ts';
import { formatCount, formatQuantity, formatSigned } from '../../../../shared/format/numbers.ts';
import { structureName } from '../../../../shared/format/structureName.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../../shared/schema/study.ts';
import type { MapCell, MapResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import { frontModel, overlayModel } from '../../charts/orderModels.ts';
import { conditionNumberText } from '../../format/conditions.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { NumberSet } from './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import type { CellChosen } from './orderGrid.ts';
import './orderGrid.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

/** Tables that are not folded away. */
const SHOWN_TABLES = ['changes', 'front'];

export class OrderView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    chosen: { state: true },
  };
  declare report: StudyReport | null;
  declare question: MapQuestion | null;
  declare scenario: Scenario | null;
  /** Order, depth and structure of the cell looked at; null takes the ringed one. */
  declare chosen: Pick<MapCell, 'structure' | 'highestOrder' | 'memoryDepth'> | null;
  #front: LineModel | null = null;
  #overlay: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
    this.chosen = null;
  }

  get #result(): MapResult | null {
    return this.report?.result.kind === 'map' ? this.report.result : null;
  }

  get #hasLimits(): boolean {
    return (this.report?.scenario.limits.length ?? 0) > 0;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const result = this.#result;
    this.#front = result && frontModel(result, this.#hasLimits);
    this.#overlay = result && this.report && overlayModel(result, this.report.scenario);
  }

  get #chosenCell(): MapCell | null {
    const { chosen } = this;
    const result = this.#result;
    if (chosen === null || result === null) return result?.ringed ?? null;
    const found = result.cells.find(
      ({ structure, highestOrder, memoryDepth }) =>
        structure === chosen.structure && highestOrder === chosen.highestOrder && memoryDepth === chosen.memoryDepth,
    );
    return found ?? null;
  }

  #settings() {
    const { question } = this;
    if (question === null) return nothing;
    return html`<div class="settings-line" role="group" aria-label="Limits, margin and structures">
      ${limitFields(this.scenario?.limits ?? [])}
      <kp-number
        .label=${'Margin wanted'}
        .unit=${'dB'}
        .value=${question.wantedMarginDb}
        @number-set=${({ detail }: NumberSet) => tellQuestion(this, { wantedMarginDb: detail })}
      ></kp-number>
      <kp-number-list
        class="short"
        .label=${'Orders'}
        .values=${question.highestOrders}
        @list-set=${({ detail }: ListSet) => tellQuestion(this, { highestOrders: detail })}
      ></kp-number-list>
      <kp-number-list
        class="short"
        .label=${'Taps'}
        .values=${question.memoryDepths}
        @list-set=${({ detail }: ListSet) => tellQuestion(this, { memoryDepths: detail })}
      ></kp-number-list>
    </div>`;
  }

  #take(cell: MapCell): void {
    const learning = this.scenario?.predistorter?.learning;
    const nonlinearOrders = Array.from({ length: (cell.highestOrder + 1) / 2 }, (_, i) => 2 * i + 1);
    const { structure: kind, memoryDepth } = cell;
    tellEdit(this, 'predistorter', { kind, nonlinearOrders, memoryDepth, learning }, false);
  }

  #figures(cell: MapCell | null) {
    if (cell === null) {
      return html`<p class="condition">
        No structure keeps the margin yet. Point at a cell, or move with the arrow keys, to read its figures.
      </p>`;
    }
    const { cost } = cell;
    return html`<div class="cell">
      <p>
        <strong>${structureName(cell.highestOrder, cell.memoryDepth)}</strong>, ${STRUCTURE_NAMES[cell.structure]}${
          cell.correctionUsed ? '' : '; correction not used: no better than none'
        }
      </p>
      <dl class="facts">
        <div>
          <dt>Smallest margin</dt>
          <dd>${cell.worstMarginDb === null ? '–' : formatSigned(cell.worstMarginDb, 'dB', 2)}</dd>
        </div>
        <div>
          <dt>ACLR, EVM, NMSE on fresh data</dt>
          <dd>${formatQuantity(cell.worstAclrDb, 'dB')}</dd>
          <dd class="note">${formatQuantity(cell.evmPercent, '%', 2)}, ${formatQuantity(cell.nmseDb, 'dB')}</dd>
        </div>
        <div>
          <dt>Multiplies a sample</dt>
          <dd>${formatCount(cost.realMultipliesPerSample)}</dd>
          <dd class="note">
            ${cost.tableCount} ${cost.tableCount === 1 ? 'table' : 'tables'}, ${formatCount(cost.bytesPerSet)} bytes a set;
            ${formatCount(cost.floatingPointOperationsPerSample)} floating-point operations term by term
          </dd>
        </div>
        <div>
          <dt>Coefficients</dt>
          <dd>${formatCount(cost.coefficientCount)}</dd>
          <dd class="note">
            condition number ${cell.conditionNumber === null ? '–' : conditionNumberText(cell.conditionNumber)}
          </dd>
        </div>
      </dl>
      ${
        cell.structure === 'memoryPolynomial'
          ? html`<p class="buttons"><button @click=${() => this.#take(cell)}>Set the bench to this structure</button></p>`
          : nothing
      }
    </div>`;
  }

  #grids(result: MapResult) {
    const structures = this.question?.structures ?? [];
    return html`<div class="grids">
        ${structures.map(
          (structure) => html`<kp-order-grid
            .structure=${structure}
            .result=${result}
            .question=${this.question}
            .hasLimits=${this.#hasLimits}
            .isComplete=${this.report?.complete ?? false}
            .chosen=${this.#chosenCell}
            @cell-chosen=${({ detail }: CellChosen) => {
              this.chosen = detail;
            }}
          ></kp-order-grid>`,
        )}
      </div>
      <p class="condition">
        In each cell: ${this.#hasLimits ? 'smallest margin over all limits, dB' : 'ACLR of the worse side, dB'}. ✓ keeps the
        wanted margin, ✕ does not, ◎ in the ring is the cheapest that does; underlined cells lie on the front of margin
        against cost.
      </p>`;
  }

  #plots() {
    return html`<div class="pair">
      <div>
        <h3>Margin against cost</h3>
        <p class="legend">
          <span><span class="dot" aria-hidden="true"></span>memory polynomial</span>
          <span><span class="square" aria-hidden="true"></span>generalized</span>
        </p>
        <kp-line-plot .model=${this.#front}></kp-line-plot>
      </div>
      ${
        this.#overlay === null
          ? nothing
          : html`<div>
              <h3>Corrected spectra at equal output power</h3>
              <p class="legend">
                ${this.#overlay.curves.map(
                  ({ name, variable, dash }) =>
                    html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
                )}
              </p>
              <kp-line-plot .model=${this.#overlay}></kp-line-plot>
            </div>`
      }
    </div>`;
  }

  #answered() {
    const { report } = this;
    const result = this.#result;
    if (report === null || result === null) return html`<div class="empty"></div>`;
    return html`${this.#grids(result)} ${this.#figures(this.#chosenCell)} ${this.#plots()}
      <p class="condition">${report.conditions}</p>
      ${tablesNamed(report, SHOWN_TABLES)} ${tablesBehind(report, SHOWN_TABLES)}`;
  }

  /** The settings keep their place when the first figures come: what is being typed there stays. */
  protected override render() {
    return html`${this.#settings()} ${this.#answered()}`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    studyStyles,
    css`
      .grids,
      .pair {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(22rem, 100%), 1fr));
        gap: 1.25rem 2.5rem;
      }
      .grids {
        margin: 0.5rem 0;
      }
      .pair > div {
        min-width: 0;
      }
      .cell {
        margin-top: 1rem;
      }
      kp-line-plot {
        height: 20rem;
      }
      .dot,
      .square {
        width: 0.5rem;
        height: 0.5rem;
        background: var(--trace-corrected);
        border-radius: 50%;
      }
      .square {
        border-radius: 0;
        background: var(--trace-drive);
      }
      .short {
        --list-width: 6.5rem;
      }
      .empty {
        height: 24rem;
      }
    `,
  ];
}

customElements.define('kp-order-view', OrderView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-order-view': OrderView;
  }
}
