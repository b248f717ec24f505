// The learning strip: what each pass gave, which one is used, and how well conditioned the fit was.
import { css, html, LitElement, nothing } from 'lit';
import {
  formatCount,
  formatFixed,
  formatQuantity,
  formatSigned,
  formatSignificant,
  NO_READING,
} from '../../../shared/format/numbers.ts';
import type {
  BoundsReport,
  LearningPass,
  LearningReport,
  Report,
  StoredReport,
} from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { convergenceModel } from '../charts/convergenceModel.ts';
import type { LineModel } from '../charts/lineModel.ts';
import { conditionNumberText } from '../format/conditions.ts';
import { FLOOR_NAMES } from '../format/verdicts.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import './warnings.ts';

/** Below this an error is that of the arithmetic. */
const FLAWLESS_DB = -150;

const METHOD_TEXTS: Readonly<Record<LearningReport['method'], string>> = {
  indirect: 'Indirect learning',
  forwardModel: 'Learning by a forward model',
  direct: 'Direct, damped learning',
};

const LIMITED_BY: Readonly<Record<BoundsReport['limitedBy'], string>> = {
  ...FLOOR_NAMES,
  amplifier: 'the amplifier',
  predistorter: 'the predistorter’s structure and learning',
};

export class Learning extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;
  #convergenceModel: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const convergence = this.report?.learning?.convergence ?? null;
    this.#convergenceModel = convergence && convergenceModel(convergence);
    if (convergence !== null) void import('../charts/linePlot.ts');
  }

  #pass(pass: LearningPass, index: number, chosen: number | null) {
    const isChosen = index === chosen;
    return html`<tr class=${isChosen ? 'chosen' : ''}>
      <th scope="row">
        <span class="mark" aria-hidden="true">${isChosen ? '●' : '○'}</span> ${index + 1}${isChosen ? ' kept' : ''}
      </th>
      <td>${pass.worstAclrDb === null ? NO_READING : formatFixed(pass.worstAclrDb, 1)}</td>
      <td>${pass.evmPercent === null ? NO_READING : formatFixed(pass.evmPercent, 2)}</td>
      <td>${formatFixed(pass.nmseDb, 1)}</td>
      <td>${formatSigned(pass.drivePeakDb, '', 1)}</td>
      <td>${formatSignificant(100 * pass.heldSampleRatio, 2)}</td>
      <td>${conditionNumberText(pass.conditionNumber)}</td>
    </tr>`;
  }

  #table(learning: LearningReport) {
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Learning passes">
      <table>
        <caption>ACLR and EVM on the selection record, NMSE on the training record</caption>
        <thead>
          <tr>
            <th scope="col">Pass</th>
            <th scope="col">Worst<br />ACLR, dB</th>
            <th scope="col">EVM,<br />%</th>
            <th scope="col">NMSE,<br />dB</th>
            <th scope="col">Drive peak<br />re knee, dB</th>
            <th scope="col">Held,<br />%</th>
            <th scope="col">Condition<br />number</th>
          </tr>
        </thead>
        <tbody>
          ${learning.passes.map((pass, index) => this.#pass(pass, index, learning.chosenPass))}
        </tbody>
      </table>
    </div>`;
  }

  /** "1.8 dB from the best possible drive, limited by the predistorter." */
  #bounds({ bounds, bestDrive }: Report) {
    if (bounds === null) return nothing;
    const hasBest = bounds.bestDriveNmseDb !== null;
    // At a power where nothing reaches saturation the ideal limiter makes no error: a distance from it says nothing.
    const isFlawless = !hasBest && bounds.idealLimiterNmseDb < FLAWLESS_DB;
    const distance = isFlawless
      ? 'The ideal limiter makes no error at this power'
      : `${formatQuantity(bounds.distanceFromBestDb, 'dB')} from ${hasBest ? 'the best possible drive' : 'the ideal limiter'}`;
    return html`<p class="figure bounds">
        <strong>${distance}</strong>${isFlawless ? '; limited by' : ', limited by'} ${LIMITED_BY[bounds.limitedBy]}.
      </p>
      ${
        bestDrive === null
          ? nothing
          : html`<p class="condition figure">
              Best drive, ${bestDrive.passCount} passes sample by sample: ACLR ${formatQuantity(bestDrive.worstAclrDb, 'dB')},
              EVM ${formatQuantity(bestDrive.evmPercent, '%', 2)}, error ${formatQuantity(bestDrive.nmseDb, 'dB')}, peak
              ${formatSigned(bestDrive.drivePeakDb, 'dB')} re knee.
            </p>`
      }`;
  }

  #convergence() {
    const model = this.#convergenceModel;
    return model === null ? nothing : html`<h3>Convergence</h3><kp-line-plot .model=${model}></kp-line-plot>`;
  }

  #conditions(report: Report, learning: LearningReport) {
    const { training, selection } = report.scenario.seeds;
    return html`<p class="condition figure">
      ${METHOD_TEXTS[learning.method]} of ${formatCount(learning.coefficientCount)} coefficients from
      ${formatCount(learning.trainingSampleCount)} samples, training seed ${training}, selection seed ${selection}; raw
      condition number ${conditionNumberText(learning.rawConditionNumber)}.
    </p>`;
  }

  /** Why no pass is used, and why fewer were made than asked for. */
  #reasons({ chosenPass, rejectedBecause, stoppedBecause }: LearningReport) {
    return html`${
      chosenPass === null
        ? html`<p class="over">No pass is used: ${rejectedBecause ?? 'each was worse than no correction'}</p>`
        : nothing
    }
    ${stoppedBecause === null ? nothing : html`<p class="stopped">Stopped early: ${stoppedBecause}.</p>`}`;
  }

  #stored({ name, levelBy, digitalLevelDb, analogueGainDb }: StoredReport, learnedFor: string) {
    const [place, levelDb] =
      levelBy === 'drive' ? ['ahead of the predistorter', digitalLevelDb] : ['behind the predistorter', analogueGainDb];
    return html`<p>Nothing is learned: stored coefficients ${name === '' ? 'are' : html`“${name}” are`} used as they are.</p>
      <p class="condition figure">
        ${learnedFor === '' ? nothing : `Learned for ${learnedFor}. `}Level ${place}
        ${formatSigned(levelDb, 'dB')} against the learning.
      </p>`;
  }

  #learned(report: Report) {
    const { learning, predistorter } = report;
    const stored = predistorter?.stored ?? null;
    if (learning === null && predistorter !== null && stored !== null)
      return this.#stored(stored, predistorter.learnedFor);
    if (learning === null) {
      return html`<p class="muted">No predistorter: nothing is learned. Switch it on in the chain.</p>`;
    }
    return html`${this.#table(learning)} ${this.#conditions(report, learning)} ${this.#reasons(learning)}
      ${this.#convergence()}`;
  }

  /** What the word lengths cost. */
  #numbers({ predistorter }: Report) {
    const numbers = predistorter?.numbers ?? null;
    if (numbers === null) return nothing;
    const { lossDb, aclrDb, aclrDoubleDb, errorDb } = numbers;
    return html`<p class="condition figure">
      Short words: ${lossDb === null ? nothing : `${formatQuantity(lossDb, 'dB')} lost, ACLR ${formatQuantity(aclrDb, 'dB')} in place of ${formatQuantity(aclrDoubleDb, 'dB')}; `}drive
      ${formatQuantity(errorDb, 'dB')} from double precision.
    </p>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    return html`<h2>Learning</h2>
      ${this.#bounds(report)} ${this.#learned(report)} ${this.#numbers(report)}
      <kp-warnings .warnings=${warningsAt('learning', report.warnings, this.detail)}></kp-warnings>`;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      .chosen td,
      .chosen th {
        color: var(--trace-corrected);
        font-weight: 600;
      }
      .mark {
        display: inline-block;
        width: 1rem;
      }
      .condition,
      .stopped {
        margin-top: 0.375rem;
      }
      .bounds {
        margin: 0.25rem 0 0.5rem;
      }
      h3 {
        margin: 1rem 0 0.25rem;
      }
      kp-line-plot {
        height: 14rem;
      }
      .over {
        margin-top: 0.375rem;
        color: var(--over);
      }
    `,
  ];
}

customElements.define('kp-learning', Learning);

declare global {
  interface HTMLElementTagNameMap {
    'kp-learning': Learning;
  }
}
