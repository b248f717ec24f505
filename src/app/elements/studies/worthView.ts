// Is correction worth it: both ladders with the gap between them, watts and heat at the same clean power, and its cost.
import { css, html, LitElement, nothing } from 'lit';
import { formatCount, formatFixed, formatQuantity } from '../../../../shared/format/numbers.ts';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import type { LadderResult, LimitCrossing, StudyReport } from '../../../../shared/schema/studyReport.ts';
import { crossingFor, worthModel } from '../../charts/ladderModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { TRACE_STYLES } from '../../charts/traceStyles.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import '../../charts/linePlot.ts';
import '../swatch.ts';
import { powerText, shownLadder } from './ladderView.ts';
import { limitFields } from './limitFields.ts';
import { tablesBehind } from './readingTables.ts';
import { studyStyles } from './studyStyles.ts';

export class WorthView extends LitElement {
  static override properties = {
    report: { attribute: false },
    limits: { attribute: false },
    cursorX: { state: true },
  };
  declare report: StudyReport | null;
  declare limits: readonly LimitSettings[];
  declare cursorX: number | null;
  #model: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.limits = [];
    this.cursorX = null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report') && !changed.has('limits')) return;
    const shown = shownLadder(this.report, this.limits);
    this.#model = shown && worthModel(shown);
  }

  #cursorText(result: LadderResult): string {
    const point = result.points.find(({ outputBackoffDb }) => outputBackoffDb === this.cursorX);
    if (point === undefined) return '';
    const readings = point.subjects
      .filter(({ of }) => of !== 'ideal')
      .map(({ of, worstAclrDb }) => `${TRACE_STYLES[of].name} ${formatQuantity(worstAclrDb, 'dB')}`);
    return `${formatQuantity(point.outputBackoffDb, 'dB')} of output back-off: ${readings.join(', ')}`;
  }

  #powerFact(title: string, crossing: LimitCrossing | null, note: string) {
    return html`<div>
      <dt>${title}</dt>
      <dd>${crossing === null ? '–' : formatQuantity(crossing.meanPowerW, 'W', 2)}</dd>
      <dd class="note">
        ${
          crossing === null
            ? note
            : html`${formatQuantity(crossing.meanPowerDbm, 'dBm')} at ${formatQuantity(crossing.outputBackoffDb, 'dB')} of
              output back-off`
        }
      </dd>
    </div>`;
  }

  #facts(result: LadderResult) {
    const { gain, correctionCost } = result;
    const missing = 'not within the limits in this range, or not found yet';
    return html`<dl class="facts">
      ${this.#powerFact('Clean power, corrected', crossingFor(result, 'corrected'), missing)}
      ${this.#powerFact('Clean power, uncorrected', crossingFor(result, 'uncorrected'), missing)}
      <div>
        <dt>DC power for the corrected clean power, ideal</dt>
        <dd>${formatQuantity(gain?.dcPowerCorrectedW ?? null, 'W')}</dd>
        <dd class="note">
          ${
            gain === null || gain.dcPowerUncorrectedW === null
              ? 'this amplifier, corrected'
              : html`against ${formatQuantity(gain.dcPowerUncorrectedW, 'W')} for an uncorrected one of
                ${formatQuantity(gain.largerSaturatedPowerDbm, 'dBm')} saturated power`
          }
        </dd>
      </div>
      <div>
        <dt>Heat saved, ideal</dt>
        <dd>${formatQuantity(gain?.heatSavedW ?? null, 'W')}</dd>
        <dd class="note">${result.power === null ? 'ideal class' : result.power.label}, at the same clean power</dd>
      </div>
      <div>
        <dt>What correction costs</dt>
        <dd>${correctionCost === null ? '–' : `${formatCount(correctionCost.realMultipliesPerSample)} multiplies`}</dd>
        <dd class="note">
          ${
            correctionCost === null
              ? 'the scenario has no predistorter'
              : html`a sample, real; ${correctionCost.coefficientCount} coefficients, ${correctionCost.tableCount} tables,
                ${formatCount(correctionCost.bytesPerSet)} bytes a set; term by term
                ${formatCount(correctionCost.floatingPointOperationsPerSample)} floating-point operations`
          }
        </dd>
      </div>
    </dl>`;
  }

  #verdict(result: LadderResult) {
    const { gain } = result;
    if (gain === null) return nothing;
    const ratio = 10 ** (gain.backoffDb / 10);
    return html`<p class="condition">
      The gap is ${formatQuantity(gain.backoffDb, 'dB', 2)}: ${formatFixed(ratio, 1)} times the clean power from the same
      amplifier${gain.meanPowerW === null ? '' : html`, ${formatQuantity(gain.meanPowerW, 'W', 2)} more`}.
    </p>`;
  }

  protected override render() {
    const { report } = this;
    const result = report?.result.kind === 'ladder' ? report.result : null;
    return html`<div class="settings-line" role="group" aria-label="Limits">${limitFields(this.limits)}</div>
      ${
        report === null || result === null
          ? html`<div class="empty"></div>`
          : html`<p class="legend narrow">
                ${(this.#model?.curves ?? []).map(
                  ({ name, variable, dash }) =>
                    html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
                )}
              </p>
              <kp-line-plot
                .model=${this.#model}
                .cursorX=${this.cursorX}
                .cursorText=${this.#cursorText(result)}
                @cursor-placed=${({ detail }: CursorPlaced) => {
                  this.cursorX = detail.x;
                }}
              ></kp-line-plot>
              <p class="read-out figure">${this.#cursorText(result)}</p>
              ${this.#verdict(result)} ${this.#facts(result)}
              <p class="condition">${report.conditions}</p>
              ${powerText(result)}
              ${tablesBehind(report)}`
      }`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    studyStyles,
    css`
      kp-line-plot {
        height: clamp(16rem, 42vh, 30rem);
      }
      .empty {
        height: 24rem;
      }
    `,
  ];
}

customElements.define('kp-worth-view', WorthView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-worth-view': WorthView;
  }
}
