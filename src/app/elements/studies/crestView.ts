// Which crest factor: the output back-off each target needs and the EVM it spends.
import { css, html, LitElement, nothing } from 'lit';
import { formatQuantity } from '../../../../shared/format/numbers.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { ShapeQuestion } from '../../../../shared/schema/study.ts';
import type { ShapePoint, ShapeResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import { crestModel, placeOf } from '../../charts/crestModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

export class CrestView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    cursorX: { state: true },
  };
  declare report: StudyReport | null;
  declare question: ShapeQuestion | null;
  declare scenario: Scenario | null;
  declare cursorX: number | null;
  #backoff: LineModel | null = null;
  #evm: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
    this.cursorX = null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report') && !changed.has('scenario')) return;
    const result = this.#result;
    const scenario = this.scenario;
    this.#backoff = result && scenario && crestModel(result, scenario, 'backoff');
    this.#evm = result && scenario && crestModel(result, scenario, 'evm');
  }

  get #result(): ShapeResult | null {
    return this.report?.result.kind === 'shape' ? this.report.result : null;
  }

  #at(result: ShapeResult): ShapePoint | null {
    const { cursorX } = this;
    return cursorX === null ? null : (result.points.find((point) => placeOf(point) === cursorX) ?? null);
  }

  #cursorText(result: ShapeResult): string {
    const point = this.#at(result);
    if (point === null) return '';
    const target =
      point.targetPaprDb === null
        ? `Left as it is, ${formatQuantity(point.reachedPaprDb, 'dB')}`
        : `Target ${formatQuantity(point.targetPaprDb, 'dB')}`;
    const needs = `back-off ${formatQuantity(point.correctedBackoffDb, 'dB')} corrected, ${formatQuantity(point.uncorrectedBackoffDb, 'dB')} uncorrected`;
    const budget = point.withinEvmBudget ? '' : ', over the EVM budget';
    return `${target}: ${needs}; EVM spent ${formatQuantity(point.crestEvmPercent, '%', 2)}${budget}`;
  }

  #settings() {
    const { question, scenario } = this;
    if (question === null) return nothing;
    return html`<div class="settings-line" role="group" aria-label="Limits and targets">
      ${limitFields(scenario?.limits ?? [])}
      <kp-number-list
        .label=${'Targets'}
        .unit=${'dB'}
        .values=${question.targetPaprDb}
        @list-set=${({ detail }: ListSet) => tellQuestion(this, { targetPaprDb: detail })}
      ></kp-number-list>
    </div>`;
  }

  #plot(model: LineModel | null, text: string, className: string) {
    if (model === null) return nothing;
    return html`<kp-line-plot
      class=${className}
      .model=${model}
      .cursorX=${this.cursorX}
      .cursorText=${text}
      @cursor-placed=${({ detail }: CursorPlaced) => {
        this.cursorX = detail.x;
      }}
    ></kp-line-plot>`;
  }

  #legend(model: LineModel | null) {
    return html`<p class="legend narrow">
      ${(model?.curves ?? []).map(
        ({ name, variable, dash }) =>
          html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
      )}
    </p>`;
  }

  #takeBest({ best }: ShapeResult) {
    const target = best?.targetPaprDb ?? null;
    if (target === null || this.scenario?.waveform.crestFactorReduction === null) return nothing;
    return html`<p class="buttons">
      <button
        @click=${() => tellEdit(this, 'waveform.crestFactorReduction.targetPaprDb', target, false)}
      >
        Set the bench to a target of ${formatQuantity(target, 'dB')}
      </button>
    </p>`;
  }

  #answered() {
    const { report } = this;
    const result = this.#result;
    if (report === null || result === null) return html`<div class="empty"></div>`;
    const text = this.#cursorText(result);
    return html`${this.#legend(this.#backoff)} ${this.#plot(this.#backoff, text, 'upper')}
      ${this.#legend(this.#evm)} ${this.#plot(this.#evm, text, 'lower')}
      <p class="read-out figure">${text === '' ? 'Point at a picture, or use the arrow keys, to read it.' : text}</p>
      <p class="condition">${report.conditions}</p>
      ${this.#takeBest(result)} ${tablesNamed(report, ['crest'])} ${tablesBehind(report, ['crest'])}`;
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
      .upper {
        height: clamp(13rem, 30vh, 22rem);
      }
      .lower {
        height: clamp(12rem, 27vh, 20rem);
      }
      .empty {
        height: 24rem;
      }
    `,
  ];
}

customElements.define('kp-crest-view', CrestView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-crest-view': CrestView;
  }
}
