// How much back-off: ACLR and EVM against output back-off, with limits to move, crossings, and the region that passes.
import { css, html, LitElement, nothing } from 'lit';
import { limitName } from '../../../../shared/format/limitText.ts';
import { formatQuantity } from '../../../../shared/format/numbers.ts';
import { ladderPowerNote } from '../../../../shared/format/powerText.ts';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import type { LadderQuestion } from '../../../../shared/schema/study.ts';
import type { LadderPoint, LadderResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import { answeringSubject, crossingFor, type LadderShown, ladderModel } from '../../charts/ladderModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { TRACE_STYLES } from '../../charts/traceStyles.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { NumberSet } from './numberField.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

/** The pictures are of EVM and of the adjacent channel's ACLR. */
function isDrawn(limit: LimitSettings): boolean {
  return limit.reading === 'evm' || (limit.reading === 'aclr' && limit.channel !== 'alternate');
}

export class LadderView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    limits: { attribute: false },
    cursorX: { state: true },
  };
  declare report: StudyReport | null;
  declare question: LadderQuestion | null;
  /** As they stand under the hand. */
  declare limits: readonly LimitSettings[];
  declare cursorX: number | null;
  #aclr: LineModel | null = null;
  #evm: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.limits = [];
    this.cursorX = null;
  }

  get #result(): LadderResult | null {
    const result = this.report?.result;
    return result?.kind === 'ladder' ? result : null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report') && !changed.has('limits')) return;
    const shown = shownLadder(this.report, this.limits);
    this.#aclr = shown && ladderModel(shown, 'aclr');
    this.#evm = shown && ladderModel(shown, 'evm');
    if (this.#evm?.curves.length === 0) this.#evm = null;
  }

  #place({ detail }: CursorPlaced): void {
    this.cursorX = detail.x;
  }

  #at(result: LadderResult): LadderPoint | null {
    return result.points.find(({ outputBackoffDb }) => outputBackoffDb === this.cursorX) ?? null;
  }

  #readOut(result: LadderResult) {
    const point = this.#at(result);
    if (point === null) {
      return html`<p class="read-out condition">
        Point at a picture, or focus it and use the arrow keys, to read it. Drag a limit line, or focus its grip, to move it.
      </p>`;
    }
    return html`<p class="read-out figure">
      <span class="at">${formatQuantity(point.outputBackoffDb, 'dB')} · ${formatQuantity(point.meanPowerDbm, 'dBm')}</span>
      ${point.subjects.map(
        ({ of, worstAclrDb, evmPercent, dcPowerW, heatW }) => html`<span>
          <kp-swatch .trace=${TRACE_STYLES[of]}></kp-swatch>${formatQuantity(worstAclrDb, 'dB')},
          ${formatQuantity(evmPercent, '%', 2)}${
            dcPowerW === null
              ? nothing
              : html`, ideal ${formatQuantity(dcPowerW, 'W')} DC, ${formatQuantity(heatW, 'W')} heat`
          }
        </span>`,
      )}
      ${point.correctionUsed || point.subjects.length < 3 ? nothing : html`<span class="over">correction not used here</span>`}
    </p>`;
  }

  #cursorText(result: LadderResult): string {
    const point = this.#at(result);
    if (point === null) return '';
    const readings = point.subjects.map(
      ({ of, worstAclrDb, evmPercent }) =>
        `${TRACE_STYLES[of].name} ${formatQuantity(worstAclrDb, 'dB')} and ${formatQuantity(evmPercent, '%', 2)}`,
    );
    return `${formatQuantity(point.outputBackoffDb, 'dB')} of output back-off: ${readings.join('; ')}`;
  }

  #settings() {
    const range = this.question?.outputBackoff;
    if (range === undefined) return nothing;
    const field = (key: 'fromDb' | 'toDb' | 'stepDb', label: string) => html`<kp-number
      .label=${label}
      .unit=${'dB'}
      .value=${range[key]}
      @number-set=${(event: NumberSet) => tellQuestion(this, { outputBackoff: { ...range, [key]: event.detail } })}
    ></kp-number>`;
    return html`<div class="settings-line" role="group" aria-label="Limits and range">
      ${limitFields(this.limits)} ${field('fromDb', 'Output back-off from')} ${field('toDb', 'to')}
      ${field('stepDb', 'in steps of')}
    </div>`;
  }

  #pictures(result: LadderResult) {
    const text = this.#cursorText(result);
    return html`
      <p class="legend narrow">
        ${(this.#aclr?.curves ?? []).map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot
        class="upper"
        .model=${this.#aclr}
        .cursorX=${this.cursorX}
        .cursorText=${text}
        @cursor-placed=${this.#place}
      ></kp-line-plot>
      ${
        this.#evm === null
          ? nothing
          : html`<kp-line-plot
              class="lower"
              .model=${this.#evm}
              .cursorX=${this.cursorX}
              .cursorText=${text}
              @cursor-placed=${this.#place}
            ></kp-line-plot>`
      }
      ${this.#readOut(result)}
    `;
  }

  /** The answer's back-off on the bench, to look at its spectrum. */
  #setOnBench(result: LadderResult) {
    const report = this.report;
    const crossing = report && crossingFor(result, answeringSubject(report));
    if (crossing === null || crossing.isEstimate) return nothing;
    // Upwards, so that the limits hold there.
    const outputBackoffDb = Math.ceil(100 * crossing.outputBackoffDb) / 100;
    return html`<p class="buttons">
      <button @click=${() => tellEdit(this, 'operatingPoint', { outputBackoffDb }, false)}>
        Set the bench to ${formatQuantity(outputBackoffDb, 'dB', 2)} of output back-off
      </button>
    </p>`;
  }

  /** Limits that count in the answer and have no picture here. */
  #undrawn() {
    const names = this.limits.filter((limit) => !isDrawn(limit)).map(limitName);
    return names.length === 0
      ? nothing
      : html`<p class="condition">Not drawn, and counted in the answer all the same: ${names.join('; ')}.</p>`;
  }

  #tables() {
    if (this.report === null) return nothing;
    return html`${tablesNamed(this.report, ['crossings'])} ${tablesBehind(this.report, ['crossings', 'correction'])}`;
  }

  protected override render() {
    const result = this.#result;
    return html`${this.#settings()}
      ${
        result === null
          ? html`<div class="empty"></div>`
          : html`${this.#pictures(result)}
              <p class="condition">${this.report?.conditions ?? ''}</p>
              ${this.#undrawn()} ${powerText(result)}
              ${failsText(result)} ${this.#setOnBench(result)} ${this.#tables()}`
      }`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    studyStyles,
    css`
      .upper {
        height: clamp(13rem, 30vh, 26rem);
      }
      .lower {
        height: clamp(11.5rem, 25vh, 20rem);
      }
      .empty {
        height: 24rem;
      }
    `,
  ];
}

function failsText({ correctionFailsBelowDb }: LadderResult) {
  if (correctionFailsBelowDb === null) return nothing;
  return html`<p class="condition">
    At ${formatQuantity(correctionFailsBelowDb, 'dB')} of output back-off and below, correction is no better than none or is
    not used.
  </p>`;
}

/** The ideal power model behind DC power and heat; nothing without a power scale. */
export function powerText(result: LadderResult) {
  const note = ladderPowerNote(result);
  return note === null ? nothing : html`<p class="condition">${note}</p>`;
}

/** What the pictures of the ladder need, from its report and the limits under the hand. */
export function shownLadder(report: StudyReport | null, limits: readonly LimitSettings[]): LadderShown | null {
  if (report?.result.kind !== 'ladder' || report.study.question.kind !== 'ladder') return null;
  const { scenario, result } = report;
  // A limit was added or taken away a moment ago: the report's own stand until it follows.
  const held = limits.length === scenario.limits.length ? limits : scenario.limits;
  return { result, scenario, range: report.study.question.outputBackoff, limits: held };
}

customElements.define('kp-ladder-view', LadderView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-ladder-view': LadderView;
  }
}
