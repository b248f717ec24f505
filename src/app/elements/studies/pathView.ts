// How good an observation path: correction against one figure of the observation or of the transmitter, and from where on
// more of it stops helping.
import { css, html, LitElement, nothing } from 'lit';
import { pathValueText } from '../../../../shared/format/pathText.ts';
import { listedIn } from '../../../../shared/reports/pathTable.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import { PATH_PARAMETERS, type PathParameter, type PathQuestion } from '../../../../shared/schema/study.ts';
import type { PathResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { pathModel, pathPlace, pathPointAt, pathPointText } from '../../charts/pathModels.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

export class PathView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    cursorX: { state: true },
  };
  declare report: StudyReport | null;
  declare question: PathQuestion | null;
  declare scenario: Scenario | null;
  declare cursorX: number | null;
  #model: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
    this.cursorX = null;
  }

  get #result(): PathResult | null {
    return this.report?.result.kind === 'path' ? this.report.result : null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has('report')) this.#model = this.#result && pathModel(this.#result);
  }

  /** As asked; the usual ones as far as the result tells them. */
  #values(question: PathQuestion): readonly number[] {
    const { divisor } = listedIn(question.parameter);
    const result = this.#result?.parameter === question.parameter ? this.#result : null;
    if (question.values !== null) return question.values.map((value) => Number((value / divisor).toPrecision(12)));
    return (result?.points ?? []).flatMap(({ value }) =>
      value === null || result === null ? [] : [pathPlace(result, value)],
    );
  }

  #settings() {
    const { question } = this;
    if (question === null) return nothing;
    const { unit, divisor } = listedIn(question.parameter);
    return html`<div class="settings-line" role="group" aria-label="Varied figure, values, tolerance">
      <label class="varied small">
        Varied
        <select
          @change=${({ target }: Event) => {
            this.cursorX = null;
            tellQuestion(this, { parameter: (target as HTMLSelectElement).value, values: null });
          }}
        >
          ${(Object.keys(PATH_PARAMETERS) as PathParameter[]).map(
            (name) =>
              html`<option value=${name} ?selected=${name === question.parameter}>
                ${PATH_PARAMETERS[name].label.toLowerCase()}
              </option>`,
          )}
        </select>
      </label>
      <kp-number-list
        .label=${'Values'}
        .unit=${unit}
        .values=${this.#values(question)}
        @list-set=${({ detail }: ListSet) =>
          tellQuestion(this, {
            values: detail.length === 0 ? null : detail.map((value) => Number((value * divisor).toPrecision(12))),
          })}
      ></kp-number-list>
      <kp-number
        .label=${'Good enough within'}
        .unit=${'dB'}
        .value=${question.withinDb}
        @number-set=${({ detail }: NumberSet) => tellQuestion(this, { withinDb: detail })}
      ></kp-number>
    </div>`;
  }

  /** The bench takes the least that will do. */
  #offer({ parameter, knee }: PathResult) {
    if (knee === null || parameter === 'observationDelayS' || this.scenario?.predistorter == null) return nothing;
    const { place, label } = PATH_PARAMETERS[parameter];
    return html`<p class="buttons">
      <button @click=${() => tellEdit(this, place, knee.from, false)}>
        Set the bench’s ${label.toLowerCase()} to ${pathValueText(parameter, knee.from)}
      </button>
    </p>`;
  }

  #refused({ parameter, refused }: PathResult) {
    return refused.map(
      ({ value, reason }) => html`<p class="condition">Not run, ${pathValueText(parameter, value)}: ${reason}</p>`,
    );
  }

  #answered() {
    const { report } = this;
    const result = this.#result;
    if (report === null || result === null || this.#model === null) return html`<div class="empty"></div>`;
    const point = pathPointAt(result, this.cursorX);
    const text = point === null ? '' : pathPointText(result, point);
    return html`<p class="legend narrow">
        ${this.#model.curves.map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot
        .model=${this.#model}
        .cursorX=${this.cursorX}
        .cursorText=${text}
        @cursor-placed=${({ detail }: CursorPlaced) => {
          this.cursorX = detail.x;
        }}
      ></kp-line-plot>
      <p class="read-out figure">${text === '' ? 'Point at the picture, or use the arrow keys, to read a value.' : text}</p>
      <p class="condition">${report.conditions}</p>
      ${this.#refused(result)} ${report.warnings.map(({ message }) => html`<p class="condition">Doubt: ${message}</p>`)}
      ${this.#offer(result)} ${tablesNamed(report, ['path'])} ${tablesBehind(report, ['path'])}`;
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
      kp-line-plot {
        height: clamp(16rem, 44vh, 30rem);
      }
      .varied {
        display: inline-flex;
        align-items: center;
        gap: 0.375rem;
      }
      .varied select {
        min-height: 1.75rem;
      }
      kp-number-list {
        --list-width: 17rem;
      }
      .empty {
        height: 24rem;
      }
      @container (max-width: 38rem) {
        .varied {
          grid-column: 1 / -1;
          justify-content: space-between;
        }
      }
    `,
  ];
}

customElements.define('kp-path-view', PathView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-path-view': PathView;
  }
}
