// Powers of the outputs, side by side, in dBm and W.
import { css, html, LitElement, nothing } from 'lit';
import { formatFixed, formatQuantity, formatSignificant, NO_READING } from '../../../shared/format/numbers.ts';
import type { OutputReport, Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import './swatch.ts';

interface Row {
  readonly label: string;
  readonly unit: string;
  readonly text: (output: OutputReport) => string;
}

function plain(value: number | null, decimals: number): string {
  return value === null ? NO_READING : formatFixed(value, decimals);
}

function significant(value: number | null): string {
  return value === null ? NO_READING : formatSignificant(value);
}

const ROWS: readonly Row[] = [
  { label: 'Mean output', unit: 'dBm', text: ({ meanPowerDbm }) => plain(meanPowerDbm, 2) },
  { label: 'Mean output', unit: 'W', text: ({ meanPowerW }) => significant(meanPowerW) },
  { label: 'At the antenna port', unit: 'dBm', text: ({ antennaMeanDbm }) => plain(antennaMeanDbm, 2) },
  { label: 'Output back-off', unit: 'dB', text: ({ outputBackoffDb }) => plain(outputBackoffDb, 2) },
  { label: 'Peak output', unit: 'dBm', text: ({ peakPowerDbm }) => plain(peakPowerDbm, 2) },
  { label: 'Peak over mean', unit: 'dB', text: ({ peakToAverageDb }) => plain(peakToAverageDb, 2) },
  { label: 'Mean drive', unit: 'dBm', text: ({ driveMeanDbm }) => plain(driveMeanDbm, 2) },
  { label: 'Peak drive', unit: 'dBm', text: ({ drivePeakDbm }) => plain(drivePeakDbm, 2) },
  { label: 'DC power, ideal', unit: 'W', text: ({ dcPowerW }) => significant(dcPowerW) },
  { label: 'Drain efficiency, ideal', unit: '%', text: ({ efficiencyPercent }) => plain(efficiencyPercent, 1) },
  { label: 'Samples held', unit: '%', text: ({ heldSampleRatio }) => formatSignificant(100 * heldSampleRatio, 2) },
];

export class Powers extends LitElement {
  static override properties = { report: { attribute: false } };
  declare report: Report | null;

  constructor() {
    super();
    this.report = null;
  }

  #amplifier({ amplifier }: Report) {
    const compression = formatQuantity(amplifier.compressionAtSaturationDb, 'dB');
    const oneDb = amplifier.outputAtOneDbCompressionDb;
    return html`<p class="condition figure">
      ${amplifier.label}: saturated power at ${compression} of
      compression${oneDb === null ? '' : `; 1 dB compression at ${formatQuantity(-oneDb, 'dB')} output back-off`}.
      DC power and efficiency: ${amplifier.power.label}, ${formatQuantity(amplifier.power.peakEfficiencyPercent, '%')} at
      saturated power.
    </p>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const { uncorrected, corrected, ideal } = report;
    const outputs = [uncorrected, ...(corrected === null ? [] : [corrected]), ideal];
    return html`
      <h2>Powers</h2>
      <div class="scroll" tabindex="0" role="region" aria-label="Powers">
        <table>
          <thead>
            <tr>
              <th scope="col"><span class="unseen">Reading</span></th>
              <th scope="col"><kp-swatch .trace=${TRACE_STYLES.uncorrected}></kp-swatch><br />Uncorrected</th>
              ${corrected === null ? nothing : html`<th scope="col"><kp-swatch .trace=${TRACE_STYLES.corrected}></kp-swatch><br />Corrected</th>`}
              <th scope="col"><kp-swatch .trace=${TRACE_STYLES.ideal}></kp-swatch><br />Ideal limiter</th>
            </tr>
          </thead>
          <tbody>
            ${ROWS.map(
              ({ label, unit, text }) => html`<tr>
                <th scope="row">${label}, <span class="muted">${unit}</span></th>
                ${outputs.map((output) => html`<td>${text(output)}</td>`)}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      ${this.#amplifier(report)}
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      .condition {
        margin-top: 0.375rem;
      }
    `,
  ];
}

customElements.define('kp-powers', Powers);

declare global {
  interface HTMLElementTagNameMap {
    'kp-powers': Powers;
  }
}
