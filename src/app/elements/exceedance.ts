// Exceedance curve (CCDF) at each stage, and the peak ledger beside it.
import { css, html, LitElement, nothing, svg } from 'lit';
import { formatProbability, formatQuantity, formatSigned } from '../../../shared/format/numbers.ts';
import type { PaprPoint, Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { TRACE_STYLES, type TraceName } from '../charts/traceStyles.ts';
import { exceedanceModel } from '../charts/xyModels.ts';
import type { XyModel } from '../charts/xyPlot.ts';
import { recordCondition } from '../format/conditions.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import { pictureStyles } from './pictureStyles.ts';
import { warningsAt } from './warningPlaces.ts';
import '../charts/xyPlot.ts';
import './swatch.ts';
import './warnings.ts';

interface Stage {
  readonly trace: TraceName;
  readonly name: string;
  readonly peakDb: number | null;
  readonly note: string;
}

/** The ledger's bars end here; larger peaks fill the bar. */
const BAR_DB = 16;

export class Exceedance extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;
  #model: XyModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has('report')) this.#model = this.report === null ? null : exceedanceModel(this.report);
  }

  #stages({ peaks }: Report): Stage[] {
    const knee = (db: number) => `${formatSigned(db, 'dB')} re knee`;
    return [
      { trace: 'data', name: 'Data', peakDb: peaks.data, note: '' },
      { trace: 'shaped', name: 'Shaped', peakDb: peaks.shaped, note: '' },
      {
        trace: 'uncorrected',
        name: 'Drive, uncorrected',
        peakDb: peaks.uncorrectedDrive.peakToAverageDb,
        note: knee(peaks.uncorrectedDrive.reKneeDb),
      },
      {
        trace: 'drive',
        name: 'Drive, corrected',
        peakDb: peaks.drive?.peakToAverageDb ?? null,
        note: peaks.drive === null ? '' : knee(peaks.drive.reKneeDb),
      },
      { trace: 'uncorrected', name: 'Output, uncorrected', peakDb: peaks.output, note: '' },
      { trace: 'corrected', name: 'Output, corrected', peakDb: peaks.correctedOutput, note: '' },
    ];
  }

  #bar(peakDb: number) {
    const width = (100 * Math.min(BAR_DB, Math.max(0, peakDb))) / BAR_DB;
    return svg`<svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect x="0" y="2" width=${width} height="6" />
    </svg>`;
  }

  #ledger(report: Report) {
    const { peaks } = report;
    return html`<table class="ledger">
        <caption>Largest peak over each stage’s own mean</caption>
        <thead>
          <tr>
            <th scope="col">Stage</th>
            <th scope="col"><span class="unseen">Bar</span></th>
            <th scope="col">Peak</th>
            <th scope="col">Against the knee</th>
          </tr>
        </thead>
        <tbody>
          ${this.#stages(report)
            .filter(({ peakDb }) => peakDb !== null)
            .map(
              ({ name, peakDb, note, trace }) => html`<tr>
                <th scope="row"><kp-swatch .trace=${TRACE_STYLES[trace]}></kp-swatch> ${name}</th>
                <td class="bar">${this.#bar(peakDb ?? 0)}</td>
                <td>${formatQuantity(peakDb, 'dB')}</td>
                <td>${note}</td>
              </tr>`,
            )}
        </tbody>
      </table>
      <p class="condition figure">
        ${
          peaks.drivePeakGrowthDb === null
            ? nothing
            : html`Correction changes the drive peak by ${formatSigned(peaks.drivePeakGrowthDb, 'dB')} at the same mean
              output power. `
        }
        ${
          peaks.driveHeld === null || peaks.driveHeld === 0
            ? nothing
            : html`${formatQuantity(100 * peaks.driveHeld, '%', 3)} of the drive’s samples are held at the ceiling.`
        }
      </p>`;
  }

  #table({ waveform, uncorrected, corrected }: Report) {
    const at = (points: readonly PaprPoint[] | undefined, probability: number) =>
      formatQuantity(points?.find((point) => point.probability === probability)?.db ?? null, 'dB');
    return html`<table>
      <caption>Level over the mean exceeded with a probability; a dash where the record is too short to tell</caption>
      <thead>
        <tr>
          <th scope="col">Probability</th>
          <th scope="col">Data</th>
          <th scope="col">Shaped</th>
          <th scope="col">Uncorrected</th>
          <th scope="col">Corrected</th>
        </tr>
      </thead>
      <tbody>
        ${waveform.papr.map(
          ({ probability, db }) => html`<tr>
            <th scope="row">${formatProbability(probability)}</th>
            <td>${at(waveform.paprBeforeReduction, probability)}</td>
            <td>${formatQuantity(db, 'dB')}</td>
            <td>${at(uncorrected.papr, probability)}</td>
            <td>${at(corrected?.papr, probability)}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    return html`
      <h2>Exceedance curve and peak ledger</h2>
      <p class="legend">
        ${(this.#model?.curves ?? []).map(
          ({ name, variable, dash }) =>
            html`<span><kp-swatch .trace=${{ name, variable, dash }}></kp-swatch>${name}</span>`,
        )}
      </p>
      <kp-xy-plot .model=${this.#model}></kp-xy-plot>
      <p class="condition">${recordCondition(report)}; envelope power over its mean (CCDF)</p>
      <div class="scroll-x" tabindex="0" role="region" aria-label="Largest peak of each stage">${this.#ledger(report)}</div>
      <kp-warnings .warnings=${warningsAt('peaks', report.warnings, this.detail)}></kp-warnings>
      <details>
        <summary>Crest factors as a table</summary>
        <div class="scroll" tabindex="0" role="region" aria-label="Crest factors as a table">${this.#table(report)}</div>
      </details>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    pictureStyles,
    css`
      .ledger {
        margin-top: 0.75rem;
      }
      .ledger th {
        white-space: nowrap;
      }
      .bar {
        width: 22%;
      }
      .bar svg {
        display: block;
        width: 100%;
        min-width: 3rem;
        height: 0.625rem;
        fill: var(--edge);
      }
      kp-swatch {
        margin-right: 0.375rem;
        vertical-align: 1px;
      }
      .scroll-x {
        overflow-x: auto;
      }
    `,
  ];
}

customElements.define('kp-exceedance', Exceedance);

declare global {
  interface HTMLElementTagNameMap {
    'kp-exceedance': Exceedance;
  }
}
