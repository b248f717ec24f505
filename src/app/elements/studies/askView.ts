// Which amplifier: ways to a wanted clean power, each a bar of the saturated power it needs.
import { css, html, LitElement, nothing, svg } from 'lit';
import { formatCount, formatQuantity } from '../../../../shared/format/numbers.ts';
import { wayText } from '../../../../shared/reports/studyTables.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { AskQuestion } from '../../../../shared/schema/study.ts';
import type { AskOption, AskResult, StudyReport } from '../../../../shared/schema/studyReport.ts';
import { TRACE_STYLES } from '../../charts/traceStyles.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { NumberSet } from './numberField.ts';
import type { ListSet } from './numberList.ts';
import './numberList.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

export class AskView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
  };
  declare report: StudyReport | null;
  declare question: AskQuestion | null;
  declare scenario: Scenario | null;

  constructor() {
    super();
    this.report = null;
    this.question = null;
    this.scenario = null;
  }

  #settings() {
    const { question } = this;
    if (question === null) return nothing;
    return html`<div class="settings-line" role="group" aria-label="Wanted power, limits and crest factors">
      <kp-number
        .label=${'Clean power wanted at the antenna port'}
        .unit=${'dBm'}
        .value=${question.wantedAntennaMeanDbm}
        @number-set=${({ detail }: NumberSet) => tellQuestion(this, { wantedAntennaMeanDbm: detail })}
      ></kp-number>
      ${limitFields(this.scenario?.limits ?? [])}
      <kp-number-list
        .label=${'Crest factors'}
        .unit=${'dB'}
        .values=${question.targetPaprDb}
        @list-set=${({ detail }: ListSet) => tellQuestion(this, { targetPaprDb: detail })}
      ></kp-number-list>
    </div>`;
  }

  /** From the wanted power to the saturated power needed: the bar is the room that must stay above the average. */
  #bar(option: AskOption, result: AskResult, span: readonly [number, number]) {
    const at = (dbm: number) => (100 * (dbm - span[0])) / (span[1] - span[0]);
    const from = at(result.wantedAntennaMeanDbm);
    const to = at(option.neededSaturatedPowerDbm);
    const own = at(result.ownSaturatedPowerDbm);
    return svg`<svg class="bar" viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">
      <rect class=${option.corrected ? 'corrected' : 'uncorrected'} x=${from} y="2" width=${Math.max(0.5, to - from)} height="8" />
      <line x1=${own} x2=${own} y1="0" y2="12" />
    </svg>`;
  }

  #option(option: AskOption, index: number, result: AskResult, span: readonly [number, number]) {
    const crest = option.targetPaprDb === null ? 'left as it is' : formatQuantity(option.targetPaprDb, 'dB');
    const way = option.corrected ? wayText(option) : 'no correction';
    const isOwnEnough = option.neededSaturatedPowerDbm <= result.ownSaturatedPowerDbm;
    return html`<li class=${index === this.#advised(result) ? 'advised' : ''}>
      <span class="needed figure">
        ${option.bracketed ? '' : 'below '}${formatQuantity(option.neededSaturatedPowerDbm, 'dBm')}
      </span>
      <span class="way">
        <kp-swatch .trace=${option.corrected ? TRACE_STYLES.corrected : TRACE_STYLES.uncorrected}></kp-swatch>
        ${way}, crest factor ${crest}
      </span>
      ${this.#bar(option, result, span)}
      <span class="note">
        output back-off ${formatQuantity(option.outputBackoffDb, 'dB')}; ACLR ${formatQuantity(option.worstAclrDb, 'dB')}, EVM
        ${formatQuantity(option.evmPercent, '%')}; DC and heat, ideal, ${formatQuantity(option.dcPowerW, 'W')} and ${formatQuantity(option.heatW, 'W')}${
          option.cost === null ? '' : `; ${formatCount(option.cost.realMultipliesPerSample)} multiplies a sample`
        }${option.withinEvmBudget ? '' : '; over the EVM budget'}
      </span>
      <span class="own ${isOwnEnough ? 'within' : 'over'}">
        ${isOwnEnough ? '✓ your amplifier does' : '✕ your amplifier is too small'}
      </span>
    </li>`;
  }

  /** The first option within the EVM budget. */
  #advised({ options }: AskResult): number {
    return options.findIndex(({ withinEvmBudget }) => withinEvmBudget);
  }

  #options(result: AskResult) {
    if (result.options.length === 0) return html`<p class="condition">No way is settled yet.</p>`;
    const needs = result.options.map(({ neededSaturatedPowerDbm }) => neededSaturatedPowerDbm);
    const ends = [...needs, result.ownSaturatedPowerDbm];
    const span = [Math.min(result.wantedAntennaMeanDbm, ...ends) - 0.5, Math.max(...ends) + 0.5] as const;
    return html`<ol>
        ${result.options.map((option, index) => this.#option(option, index, result, span))}
      </ol>
      <p class="condition">
        Bars run from the wanted ${formatQuantity(result.wantedAntennaMeanDbm, 'dBm')} to the saturated power needed; the
        upright line is your amplifier’s ${formatQuantity(result.ownSaturatedPowerDbm, 'dBm')}. Least saturated power first.
      </p>`;
  }

  #answered() {
    const { report } = this;
    const result = report?.result.kind === 'ask' ? report.result : null;
    if (report === null || result === null) return html`<div class="empty"></div>`;
    return html`${this.#options(result)}
      <p class="condition">${report.conditions}</p>
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
      ol {
        margin: 0.5rem 0;
      }
      li {
        display: grid;
        grid-template-columns: 7.5rem minmax(20.5rem, 1.2fr) minmax(7rem, 1.5fr) 11.5rem;
        gap: 0.125rem 1.25rem;
        align-items: center;
        padding: 0.5rem;
        border-bottom: 1px solid var(--rule);
      }
      li.advised {
        background: var(--action-wash);
      }
      .needed {
        font-size: var(--head);
        font-weight: 600;
        text-align: right;
        white-space: nowrap;
      }
      .way {
        display: inline-flex;
        align-items: center;
        gap: 0.5rem;
      }
      .bar {
        display: block;
        width: 100%;
        height: 0.875rem;
      }
      .bar .corrected {
        fill: var(--trace-corrected);
      }
      .bar .uncorrected {
        fill: var(--trace-uncorrected);
      }
      .bar line {
        stroke: var(--ink);
        stroke-width: 2px;
        vector-effect: non-scaling-stroke;
      }
      .note {
        grid-column: 2 / 4;
        color: var(--muted);
        font-size: var(--small);
      }
      .own {
        grid-column: 4;
        grid-row: 1;
        font-size: var(--small);
        white-space: nowrap;
      }
      .empty {
        height: 24rem;
      }
      @container (max-width: 62rem) {
        li {
          grid-template-columns: 7rem 1fr;
        }
        .bar,
        .note,
        .own {
          grid-column: 2;
          grid-row: auto;
        }
      }
      @container (max-width: 30rem) {
        li {
          grid-template-columns: 1fr;
        }
        .bar,
        .note,
        .own {
          grid-column: 1;
        }
        .needed {
          text-align: left;
        }
      }
    `,
  ];
}

customElements.define('kp-ask-view', AskView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-ask-view': AskView;
  }
}
