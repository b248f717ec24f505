// Does it hold: one correction, frozen, while level, amplifier, load, channel or signal change; retrained beside it. The
// worst cell is linked to its spectrum.
import { css, html, LitElement, nothing } from 'lit';
import { HOLD_AXES } from '../../../../shared/schema/holdQuestion.ts';
import type { HoldCell, HoldResult } from '../../../../shared/schema/holdReport.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../../shared/schema/study.ts';
import type { StudyReport } from '../../../../shared/schema/studyReport.ts';
import { AXIS_TEXTS, cellOf, cellText, holdModel, holdPlace, worstModel } from '../../charts/holdModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import type { HoldCellChosen } from './holdGrid.ts';
import './holdGrid.ts';
import { carrierSetList, holdUnit } from './holdSettings.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

export class HoldView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    chosen: { state: true },
  };
  declare report: StudyReport | null;
  declare question: HoldQuestion | null;
  declare scenario: Scenario | null;
  /** The cell read out, by its conditions. */
  declare chosen: Pick<HoldCell, 'trainedOn' | 'usedOn'> | null;
  #model: LineModel | null = null;
  #spectrum: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
    this.chosen = null;
  }

  get #result(): HoldResult | null {
    return this.report?.result.kind === 'hold' ? this.report.result : null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const result = this.#result;
    this.#model = result && holdModel(result);
    const { scenario } = this;
    this.#spectrum = result === null || scenario === null ? null : worstModel(result, scenario);
  }

  #axisChoice(question: HoldQuestion) {
    return html`<label class="axis small">
      What changes
      <select
        @change=${({ target }: Event) => {
          this.chosen = null;
          tellQuestion(this, { axis: (target as HTMLSelectElement).value, values: null });
        }}
      >
        ${HOLD_AXES.map(
          (axis) => html`<option value=${axis} ?selected=${axis === question.axis}>${AXIS_TEXTS[axis]}</option>`,
        )}
      </select>
    </label>`;
  }

  /** As asked; the usual ones as far as the result tells them. */
  #values(question: HoldQuestion): readonly number[] {
    const { divisor } = holdUnit(question.axis);
    if (question.values !== null) return question.values.map((value) => Number((value / divisor).toPrecision(12)));
    const result = this.#result?.axis === question.axis ? this.#result : null;
    return (result?.conditions ?? []).flatMap((condition) =>
      result === null ? [] : (holdPlace(result, condition) ?? []),
    );
  }

  #valueList(question: HoldQuestion) {
    const { unit, divisor } = holdUnit(question.axis);
    return html`<kp-number-list
      .label=${'Values'}
      .unit=${unit}
      .values=${this.#values(question)}
      @list-set=${({ detail }: ListSet) =>
        tellQuestion(this, {
          values: detail.length === 0 ? null : detail.map((value) => Number((value * divisor).toPrecision(12))),
        })}
    ></kp-number-list>`;
  }

  #settings() {
    const { question, scenario } = this;
    if (question === null) return nothing;
    return html`<div class="settings-line" role="group" aria-label="What changes, values, what is learned">
      ${this.#axisChoice(question)}
      ${question.axis === 'carriers' ? carrierSetList(this, question, scenario) : this.#valueList(question)}
      ${
        question.axis === 'channel'
          ? html`<kp-number-list
              .label=${'Stored sets'}
              .unit=${''}
              .values=${question.setCounts}
              @list-set=${({ detail }: ListSet) => tellQuestion(this, { setCounts: detail })}
            ></kp-number-list>
            <kp-number
              .label=${'Warm passes'}
              .unit=${''}
              .value=${question.warmPassCount}
              @number-set=${({ detail }: NumberSet) => tellQuestion(this, { warmPassCount: detail })}
            ></kp-number>`
          : nothing
      }
      <label class="small">
        <input
          type="checkbox"
          .checked=${question.trainedOn === 'each'}
          @change=${({ target }: Event) =>
            tellQuestion(this, { trainedOn: (target as HTMLInputElement).checked ? 'each' : 'own' })}
        />
        learn under each
      </label>
    </div>`;
  }

  /** On the picture the cursor reads the correction of the scenario's own condition. */
  #onCursor(result: HoldResult, place: number | null): void {
    const usedOn = result.conditions.findIndex((condition) => holdPlace(result, condition) === place);
    const trainedOn = result.conditions.findIndex(({ isOwn }) => isOwn);
    this.chosen = place === null || usedOn < 0 ? null : { trainedOn, usedOn };
  }

  #picture(result: HoldResult, model: LineModel, cell: HoldCell | null) {
    const used = cell === null ? undefined : result.conditions[cell.usedOn];
    return html`<p class="legend narrow">
        ${model.curves.map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot
        class="aclr"
        .model=${model}
        .cursorX=${used === undefined ? null : holdPlace(result, used)}
        .cursorText=${cell === null ? '' : cellText(result, cell)}
        @cursor-placed=${({ detail }: CursorPlaced) => this.#onCursor(result, detail.x)}
      ></kp-line-plot>`;
  }

  #worst(result: HoldResult) {
    const { worst } = result;
    if (worst === null || this.#spectrum === null) return nothing;
    return html`<h3>The worst of them</h3>
      <p class="figure">${cellText(result, worst)}.</p>
      <p class="legend">
        ${this.#spectrum.curves.map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot class="spectrum" .model=${this.#spectrum}></kp-line-plot>`;
  }

  #answered() {
    const { report, chosen } = this;
    const result = this.#result;
    if (report === null || result === null || result.cells.length === 0) return html`<div class="empty"></div>`;
    const cell = chosen === null ? null : cellOf(result, chosen.trainedOn, chosen.usedOn);
    return html`${this.#model === null ? nothing : this.#picture(result, this.#model, cell)}
      <p class="read-out figure">
        ${cell === null ? 'Point at the picture or at a cell, or use the arrow keys, to read it.' : cellText(result, cell)}
      </p>
      <kp-hold-grid
        .result=${result}
        .chosen=${cell}
        @hold-cell=${({ detail }: HoldCellChosen) => {
          this.chosen = detail;
        }}
      ></kp-hold-grid>
      <p class="condition">* as on the bench. ✕ the worst. Green: less than 1 dB lost against retraining; red: more than 3, 6, 12 dB.</p>
      <p class="condition">${report.conditions}</p>
      ${report.warnings.map(({ message }) => html`<p class="condition">Doubt: ${message}</p>`)} ${this.#worst(result)}
      ${tablesBehind(report)}`;
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
      .aclr {
        height: clamp(14rem, 36vh, 24rem);
      }
      .spectrum {
        height: clamp(14rem, 36vh, 24rem);
      }
      .axis {
        display: inline-flex;
        align-items: center;
        gap: 0.375rem;
      }
      .axis select {
        min-width: 0;
        min-height: 1.75rem;
      }
      .sets {
        display: inline-flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.25rem 0.75rem;
        font-size: var(--small);
      }
      .sets button {
        min-height: 1.75rem;
        font-size: var(--small);
      }
      .empty {
        height: 24rem;
      }
      @container (max-width: 38rem) {
        .axis,
        .sets {
          grid-column: 1 / -1;
        }
      }
    `,
  ];
}

customElements.define('kp-hold-view', HoldView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-hold-view': HoldView;
  }
}
