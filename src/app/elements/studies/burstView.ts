// How does a burst start: EVM symbol by symbol after silences in which heat and traps relax, and what of it the spectrum
// of the whole burst tells.
import { css, html, LitElement, nothing } from 'lit';
import { burstLook } from '../../../../shared/figures/burstFigure.ts';
import { formatFixed, formatQuantity } from '../../../../shared/format/numbers.ts';
import { burstName, burstsOf } from '../../../../shared/reports/burstTables.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { BurstQuestion } from '../../../../shared/schema/study.ts';
import type { BurstResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import { burstModel, symbolAt } from '../../charts/burstModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';
import { SLOW_STATES_PATH, SLOW_STATES_START } from '../settings/slowStatesSettings.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

/** Seconds as milliseconds and back, without digits that only the arithmetic made. */
const toMs = (seconds: number) => Number((1e3 * seconds).toPrecision(12));
const toSeconds = (ms: number) => Number((ms / 1e3).toPrecision(12));

export class BurstView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    cursorX: { state: true },
  };
  declare report: StudyReport | null;
  declare question: BurstQuestion | null;
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

  get #result(): BurstResult | null {
    return this.report?.result.kind === 'burst' ? this.report.result : null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has('report')) this.#model = this.#result && burstModel(this.#result);
  }

  #settings() {
    const { question } = this;
    if (question === null) return nothing;
    return html`<div class="settings-line" role="group" aria-label="Silences, records, threshold">
      <kp-number-list
        .label=${'Silences'}
        .unit=${'ms'}
        .values=${question.silencesS.map(toMs)}
        @list-set=${({ detail }: ListSet) => tellQuestion(this, { silencesS: detail.map(toSeconds) })}
      ></kp-number-list>
      <kp-number
        .label=${'Records'}
        .value=${question.recordCount}
        @number-set=${({ detail }: NumberSet) => tellQuestion(this, { recordCount: Math.round(detail) })}
      ></kp-number>
      <kp-number
        .label=${'Settled under'}
        .unit=${'%'}
        .value=${question.evmWithinPercent}
        @number-set=${({ detail }: NumberSet) => tellQuestion(this, { evmWithinPercent: detail })}
      ></kp-number>
    </div>`;
  }

  /** An amplifier without slow states has nothing to show; they are given to any model at once. */
  #offer() {
    if (this.scenario === null || this.scenario.amplifier.slowStates !== null) return nothing;
    return html`<p class="buttons">
      <button @click=${() => tellEdit(this, SLOW_STATES_PATH, SLOW_STATES_START, false)}>
        Give this amplifier heat and traps
      </button>
    </p>`;
  }

  #cursorText(result: BurstResult): string {
    const symbol = symbolAt(result, this.cursorX);
    if (symbol === null) return '';
    const begins = formatQuantity(1e3 * symbol * (result.symbolDurationS ?? 0), 'ms', 2);
    const figures = burstsOf(result).map((burst) => `${burstName(burst)} ${this.#figure(burst, symbol)}`);
    return `Symbol ${symbol}, from ${begins}: ${figures.join('; ')}`;
  }

  #figure({ netPercent, netSpreadPercent }: ReturnType<typeof burstsOf>[number], symbol: number): string {
    const spread = netSpreadPercent?.[symbol];
    const value = netPercent[symbol] ?? null;
    return value === null || spread === undefined
      ? formatQuantity(value, '%', 2)
      : `${formatFixed(value, 2)} ± ${formatQuantity(spread, '%', 2)}`;
  }

  #readOut(result: BurstResult) {
    const symbol = symbolAt(result, this.cursorX);
    const bursts = burstsOf(result);
    if (symbol === null) {
      return html`<p class="read-out condition">
        Point at the picture, or focus it and use the arrow keys, to read a symbol. Rings: from there on the burst has settled.
      </p>`;
    }
    return html`<p class="read-out figure">
      <span class="at">symbol ${symbol} · ${formatQuantity(1e3 * symbol * (result.symbolDurationS ?? 0), 'ms', 2)}</span>
      ${bursts.map((burst, i) => {
        const name = burstName(burst);
        return html`<span><kp-swatch .trace=${{ name, ...burstLook(i, bursts.length) }}></kp-swatch>${this.#figure(burst, symbol)}</span>`;
      })}
    </p>`;
  }

  #picture(result: BurstResult, model: LineModel) {
    return html`<p class="legend narrow">
        ${model.curves.map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot
        .model=${model}
        .cursorX=${this.cursorX}
        .cursorText=${this.#cursorText(result)}
        @cursor-placed=${({ detail }: CursorPlaced) => {
          this.cursorX = detail.x;
        }}
      ></kp-line-plot>
      ${this.#readOut(result)}`;
  }

  #answered() {
    const { report } = this;
    const result = this.#result;
    if (report === null || result === null || this.#model === null) {
      return html`<div class="empty"></div>`;
    }
    return html`${this.#picture(result, this.#model)}
      <p class="condition">${report.conditions}</p>
      <p class="condition help">
        What helps: a set of coefficients for each of the first symbols, more bias while the amplifier is cold, or a preamble
        as long as the settling.
      </p>
      ${report.warnings.map(({ message }) => html`<p class="condition">Doubt: ${message}</p>`)}
      ${tablesNamed(report, ['bursts'])} ${tablesBehind(report, ['bursts'])}`;
  }

  /** The settings keep their place when the first figures come: what is being typed there stays. */
  protected override render() {
    return html`${this.#settings()} ${this.#offer()} ${this.#answered()}`;
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
      .help {
        margin: 0.5rem 0;
      }
      .empty {
        height: 24rem;
      }
    `,
  ];
}

customElements.define('kp-burst-view', BurstView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-burst-view': BurstView;
  }
}
