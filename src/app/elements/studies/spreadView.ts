// How firm is it: each reading over several seeds with its spread against the limit, and the yield of a production line.
import { css, html, LitElement, nothing, svg } from 'lit';
import { formatFixed, formatQuantity, formatSigned } from '../../../../shared/format/numbers.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { SpreadQuestion } from '../../../../shared/schema/study.ts';
import type { SpreadReading, SpreadResult, StudyReport, YieldReading } from '../../../../shared/schema/studyReport.ts';
import { TRACE_STYLES } from '../../charts/traceStyles.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import '../swatch.ts';
import { limitFields } from './limitFields.ts';
import type { NumberSet } from './numberField.ts';
import { tellQuestion } from './questionEvents.ts';
import { tablesBehind } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

const STATES = { pass: '✓ within', marginal: '~ marginal', fail: '✕ over' } as const;
/** Bars end at a multiple of this margin, the same for all readings. */
const REACH_STEP_DB = 5;

/** Margin in dB that a value of this reading has. */
function marginOf({ required, unit }: SpreadReading, value: number): number {
  return unit === 'dB' ? value - required : 20 * Math.log10(required / Math.max(value, 1e-3));
}

function reachOf(readings: readonly SpreadReading[]): number {
  const margins = readings.flatMap((reading) => [marginOf(reading, reading.mean), marginOf(reading, reading.worst)]);
  return REACH_STEP_DB * Math.ceil(Math.max(1, ...margins.map(Math.abs)) / REACH_STEP_DB + 0.2);
}

export class SpreadView extends LitElement {
  static override properties = {
    report: { attribute: false },
    question: { attribute: false },
    scenario: { attribute: false },
  };
  declare report: StudyReport | null;
  declare question: SpreadQuestion | null;
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
    const { unitSpread } = question;
    const own = (key: 'seedCount' | 'unitCount', label: string) => html`<kp-number
      .label=${label}
      .value=${question[key]}
      @number-set=${({ detail }: NumberSet) => tellQuestion(this, { [key]: Math.round(detail) })}
    ></kp-number>`;
    const spread = (key: keyof typeof unitSpread, label: string, unit: string) => html`<kp-number
      .label=${label}
      .unit=${unit}
      .value=${unitSpread[key]}
      @number-set=${({ detail }: NumberSet) => tellQuestion(this, { unitSpread: { ...unitSpread, [key]: detail } })}
    ></kp-number>`;
    return html`<div class="settings-line" role="group" aria-label="Limits, seeds and units">
        ${limitFields(this.scenario?.limits ?? [])} ${own('seedCount', 'Seeds')}
        ${own('unitCount', 'Amplifiers of one line')}
      </div>
      ${
        question.unitCount === 0
          ? html`<p class="condition">
              Ask for some amplifiers of one line to get the yield: each differs in saturated power, knee, AM/PM and taps.
            </p>`
          : html`<div class="settings-line" role="group" aria-label="Standard deviations between units">
              <span class="small muted">One standard deviation between units:</span>
              ${spread('saturatedPowerDb', 'saturated power', 'dB')} ${spread('kneeSharpness', 'knee', '')}
              ${spread('amPmDeg', 'AM/PM', '°')} ${spread('tapRatio', 'taps', '')}
            </div>`
      }`;
  }

  /** The limit in the middle; mean, two standard deviations to either side, the worst run. Right is within. */
  #bar(reading: SpreadReading, reachDb: number) {
    const { mean, standardDeviation, worst } = reading;
    const at = (value: number) => {
      const margin = Math.max(-reachDb, Math.min(reachDb, marginOf(reading, value)));
      return 100 + (98 * margin) / reachDb;
    };
    const ends = [mean - 2 * standardDeviation, mean + 2 * standardDeviation].map(at);
    const [low, high] = [Math.min(...ends), Math.max(...ends)];
    return svg`<svg class="bar ${reading.of}" viewBox="0 0 200 20" preserveAspectRatio="none" aria-hidden="true">
      <line class="axis" x1="0" x2="200" y1="10" y2="10" />
      <rect x=${low} y="5" width=${Math.max(1.5, high - low)} height="10" />
      <line class="mean" x1=${at(mean)} x2=${at(mean)} y1="2" y2="18" />
      <line class="worst" x1=${at(worst)} x2=${at(worst)} y1="6" y2="14" />
      <line class="limit" x1="100" x2="100" y1="0" y2="20" />
    </svg>`;
  }

  #reading(reading: SpreadReading, reachDb: number) {
    const { of, limit, mean, standardDeviation, worst, unit, state, marginDb } = reading;
    const style = TRACE_STYLES[of];
    return html`<li>
      <span class="what"><kp-swatch .trace=${style}></kp-swatch>${style.name}, ${limit}</span>
      <span class="value figure">
        ${formatFixed(mean, unit === 'dB' ? 1 : 2)} <span class="muted">±</span> ${formatQuantity(standardDeviation, unit, 2)}
      </span>
      ${this.#bar(reading, reachDb)}
      <span class="state figure ${state === 'fail' ? 'over' : state === 'pass' ? 'within' : 'marginal'}">
        ${STATES[state]} ${formatSigned(marginDb, 'dB')}
      </span>
      <span class="note">worst ${formatQuantity(worst, unit, unit === 'dB' ? 1 : 2)}</span>
    </li>`;
  }

  #yield({ of, passCount, unitCount, yieldPercent, lowPercent, highPercent }: YieldReading) {
    const style = TRACE_STYLES[of];
    return html`<li>
      <span class="what"><kp-swatch .trace=${style}></kp-swatch>${style.name}, all limits</span>
      <span class="value figure">${formatQuantity(yieldPercent, '%', 0)}</span>
      ${svg`<svg class="bar ${of}" viewBox="0 0 200 20" preserveAspectRatio="none" aria-hidden="true">
        <line class="axis" x1="0" x2="200" y1="10" y2="10" />
        <rect x=${2 * lowPercent} y="5" width=${Math.max(1.5, 2 * (highPercent - lowPercent))} height="10" />
        <line class="mean" x1=${2 * yieldPercent} x2=${2 * yieldPercent} y1="2" y2="18" />
      </svg>`}
      <span class="state figure">${formatFixed(lowPercent, 0)} to ${formatQuantity(highPercent, '%', 0)}</span>
      <span class="note">${passCount} of ${unitCount} units pass; 95 % interval</span>
    </li>`;
  }

  #lists(result: SpreadResult) {
    const reachDb = reachOf(result.readings);
    return html`<h3>Over ${result.seedsRead} of ${result.seedCount} seeds</h3>
      ${
        result.readings.length === 0
          ? html`<p class="condition">Two seeds are needed before there is a spread.</p>`
          : html`<ul>
                ${result.readings.map((reading) => this.#reading(reading, reachDb))}
              </ul>
              <p class="condition">
                Mean ± one standard deviation of a single run. In the bars the limit stands in the middle, right is within,
                and the ends are ${formatFixed(reachDb, 0)} dB of margin away; the block spans two standard deviations to either side, the short stroke is the worst run. Marginal: the
                limit lies inside the block.
              </p>`
      }
      ${
        result.yields.length === 0
          ? nothing
          : html`<h3>Over ${result.unitsRead} amplifiers of one line</h3>
              <ul>
                ${result.yields.map((one) => this.#yield(one))}
              </ul>`
      }`;
  }

  #answered() {
    const { report } = this;
    const result = report?.result.kind === 'spread' ? report.result : null;
    if (report === null || result === null) return html`<div class="empty"></div>`;
    return html`${this.#lists(result)}
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
      li {
        display: grid;
        grid-template-columns: minmax(18rem, 1fr) 10rem minmax(9rem, 1.4fr) 10rem;
        gap: 0.125rem 1.25rem;
        align-items: center;
        padding: 0.5rem 0;
        border-bottom: 1px solid var(--rule);
      }
      .what {
        display: inline-flex;
        align-items: center;
        gap: 0.5rem;
      }
      .value {
        font-size: var(--head);
        font-weight: 600;
        text-align: right;
        white-space: nowrap;
      }
      .bar {
        display: block;
        width: 100%;
        height: 1.25rem;
      }
      .bar line {
        vector-effect: non-scaling-stroke;
      }
      .axis {
        stroke: var(--rule);
      }
      .limit {
        stroke: var(--ink);
      }
      .corrected {
        color: var(--trace-corrected);
      }
      .uncorrected {
        color: var(--trace-uncorrected);
      }
      .bar rect {
        fill: currentColor;
        opacity: 0.35;
      }
      .mean,
      .worst {
        stroke: currentColor;
        stroke-width: 2px;
      }
      .marginal {
        font-weight: 600;
      }
      .note {
        grid-column: 3;
        color: var(--muted);
        font-size: var(--small);
      }
      .state {
        font-size: var(--small);
        white-space: nowrap;
      }
      .empty {
        height: 24rem;
      }
      @container (max-width: 56rem) {
        li {
          grid-template-columns: 1fr auto;
        }
        .bar {
          grid-column: 1 / -1;
        }
        .note {
          grid-column: 2;
          text-align: right;
        }
      }
    `,
  ];
}

customElements.define('kp-spread-view', SpreadView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-spread-view': SpreadView;
  }
}
