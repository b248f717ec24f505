// Which intercept: two tones stepped in level and in spacing. One number where the products follow the third power, the
// refusal in words where they do not.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering, formatFixed, formatQuantity, NO_READING } from '../../../../shared/format/numbers.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { TonesQuestion } from '../../../../shared/schema/study.ts';
import type { StudyReport, TonePoint, TonesResult } from '../../../../shared/schema/studyReport.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { spacingPlace, type ToneLevelModel, toneLevelModel, toneSpacingModel } from '../../charts/toneModels.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind, tablesNamed } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

type Sweep = 'levels' | 'spacings';

export class ToneView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
    cursors: { state: true },
  };
  declare report: StudyReport | null;
  declare question: TonesQuestion | null;
  declare scenario: Scenario | null;
  declare cursors: Readonly<Record<Sweep, number | null>>;
  #levels: ToneLevelModel | null = null;
  #spacings: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
    this.cursors = { levels: null, spacings: null };
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const result = this.#result;
    this.#levels = result && toneLevelModel(result);
    this.#spacings = result === null || result.spacings.length === 0 ? null : toneSpacingModel(result);
  }

  get #result(): TonesResult | null {
    return this.report?.result.kind === 'tones' ? this.report.result : null;
  }

  #settings() {
    const { question, scenario } = this;
    if (question === null) return nothing;
    const { toneBackoff } = question;
    const range = (key: keyof typeof toneBackoff, label: string) => html`<kp-number
      .label=${label}
      .unit=${'dB'}
      .value=${toneBackoff[key]}
      @number-set=${({ detail }: NumberSet) => tellQuestion(this, { toneBackoff: { ...toneBackoff, [key]: detail } })}
    ></kp-number>`;
    return html`<div class="settings-line" role="group" aria-label="Levels">
        <span class="small muted">One tone below saturated power:</span>
        ${range('fromDb', 'from')} ${range('toDb', 'to')} ${range('stepDb', 'step')}
        <kp-number
          .label=${'spacing'}
          .unit=${'MHz'}
          .value=${question.toneSpacingHz / 1e6}
          @number-set=${({ detail }: NumberSet) => tellQuestion(this, { toneSpacingHz: detail * 1e6 })}
        ></kp-number>
      </div>
      <div class="settings-line" role="group" aria-label="Spacings, correction, limits">
        <kp-number-list
          .label=${'Spacings'}
          .unit=${'MHz'}
          .values=${question.spacingsHz.map((hz) => hz / 1e6)}
          @list-set=${({ detail }: ListSet) => tellQuestion(this, { spacingsHz: detail.map((mhz) => mhz * 1e6) })}
        ></kp-number-list>
        <kp-number
          .label=${'at'}
          .unit=${'dB'}
          .value=${question.spacingToneBackoffDb}
          @number-set=${({ detail }: NumberSet) => tellQuestion(this, { spacingToneBackoffDb: detail })}
        ></kp-number>
        <label class="check small">
          <input
            type="checkbox"
            .checked=${question.withCorrection}
            ?disabled=${scenario?.predistorter === null}
            @change=${(event: Event) =>
              tellQuestion(this, { withCorrection: (event.target as HTMLInputElement).checked })}
          />
          with correction
        </label>
        ${limitFields((scenario?.limits ?? []).filter(({ reading }) => reading === 'intermodulation'))}
      </div>`;
  }

  /** The intercept with where it holds, or why there is none. */
  #finding({ intercept, refusal }: TonesResult) {
    if (intercept === null) {
      return refusal === null ? nothing : html`<p class="refusal"><strong>No single intercept.</strong> ${refusal}</p>`;
    }
    const { oip3Dbm, oip3OverSaturationDb, side, fromToneBackoffDb, toToneBackoffDb, slopeLeast, slopeMost } =
      intercept;
    const levels = `${formatFixed(fromToneBackoffDb, 1)} to ${formatQuantity(toToneBackoffDb, 'dB')}`;
    return html`<dl class="facts">
      <div>
        <dt>Output intercept, third order, one tone</dt>
        <dd>${oip3Dbm === null ? formatQuantity(oip3OverSaturationDb, 'dB') : formatQuantity(oip3Dbm, 'dBm')}</dd>
        <dd class="note">${formatQuantity(oip3OverSaturationDb, 'dB')} over saturated power; ${side} side, the worse</dd>
      </div>
      <div>
        <dt>Levels it holds for</dt>
        <dd>${levels}</dd>
        <dd class="note">one tone below saturated power, ${intercept.levelCount} levels</dd>
      </div>
      <div>
        <dt>Slope there</dt>
        <dd>${formatFixed(slopeLeast, 2)} to ${formatFixed(slopeMost, 2)} dB/dB</dd>
        <dd class="note">3 is the third power; outside 2.8 to 3.2 there is no intercept</dd>
      </div>
    </dl>`;
  }

  #plot(model: LineModel | null, sweep: Sweep, text: string) {
    if (model === null) return nothing;
    return html`<p class="legend narrow">
        ${model.curves.map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-line-plot
        class=${sweep}
        .model=${model}
        .cursorX=${this.cursors[sweep]}
        .cursorText=${text}
        @cursor-placed=${({ detail }: CursorPlaced) => {
          this.cursors = { ...this.cursors, [sweep]: detail.x };
        }}
      ></kp-line-plot>
      <p class="read-out figure">${text === '' ? 'Point at the picture, or use the arrow keys, to read it.' : text}</p>`;
  }

  #text(points: readonly TonePoint[], place: (point: TonePoint) => number, at: number | null): string {
    const point = at === null ? undefined : points.find((one) => place(one) === at);
    if (point === undefined) return '';
    const tone =
      point.tonePowerDbm === null
        ? `one tone ${formatQuantity(point.toneBackoffDb, 'dB')} below saturation`
        : `one tone ${formatQuantity(point.tonePowerDbm, 'dBm')}`;
    const products = point.uncorrected.map(({ side, im3Dbc, im5Dbc, im3Slope }) => {
      const slope = im3Slope === null ? '' : `, slope ${formatFixed(im3Slope, 2)}`;
      const fifth = im5Dbc === null ? NO_READING : formatQuantity(im5Dbc, 'dBc');
      return `${side} IM3 ${formatQuantity(im3Dbc, 'dBc')}, IM5 ${fifth}${slope}`;
    });
    return [`${tone}, ${formatEngineering(point.toneSpacingHz, 'Hz', 4)} apart`, ...products].join('; ');
  }

  #answered() {
    const { report, cursors } = this;
    const result = this.#result;
    if (report === null || result === null) return html`<div class="empty"></div>`;
    const levelPlace = this.#levels?.placeOf ?? spacingPlace;
    return html`${this.#finding(result)}
      <h3>Against level</h3>
      ${this.#plot(this.#levels?.model ?? null, 'levels', this.#text(result.levels, levelPlace, cursors.levels))}
      ${
        this.#spacings === null
          ? nothing
          : html`<h3>Against spacing</h3>
              ${this.#plot(this.#spacings, 'spacings', this.#text(result.spacings, spacingPlace, cursors.spacings))}`
      }
      <p class="condition">${report.conditions}</p>
      ${report.warnings.map(({ message }) => html`<p class="condition">Doubt: ${message}</p>`)}
      ${tablesNamed(report, ['intercept', 'limits'])} ${tablesBehind(report, ['intercept', 'limits'])}`;
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
      .levels {
        height: clamp(16rem, 42vh, 28rem);
      }
      .spacings {
        height: clamp(12rem, 30vh, 20rem);
      }
      .empty {
        height: 24rem;
      }
      .refusal {
        max-width: 80ch;
        margin: 0.75rem 0;
        padding-left: 0.75rem;
        border-left: 2px solid var(--over);
      }
      .check {
        display: inline-flex;
        align-items: center;
        gap: 0.375rem;
      }
      .check input {
        margin: 0;
      }
    `,
  ];
}

customElements.define('kp-tone-view', ToneView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-tone-view': ToneView;
  }
}
