// Powers and errors of the outputs, side by side, in dBm and W.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering, formatQuantity } from '../../../shared/format/numbers.ts';
import type { OutputReport, Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import './swatch.ts';

type Row = readonly [label: string, text: (output: OutputReport) => string];

const ROWS: readonly Row[] = [
  ['Mean output', ({ meanPowerDbm }) => formatQuantity(meanPowerDbm, 'dBm', 2)],
  ['Mean output', ({ meanPowerW }) => formatEngineering(meanPowerW, 'W')],
  ['At the antenna port', ({ antennaMeanDbm }) => formatQuantity(antennaMeanDbm, 'dBm', 2)],
  ['Output back-off', ({ outputBackoffDb }) => formatQuantity(outputBackoffDb, 'dB', 2)],
  ['Peak output', ({ peakPowerDbm }) => formatQuantity(peakPowerDbm, 'dBm', 2)],
  ['Peak over mean', ({ peakToAverageDb }) => formatQuantity(peakToAverageDb, 'dB', 2)],
  ['Mean drive', ({ driveMeanDbm }) => formatQuantity(driveMeanDbm, 'dBm', 2)],
  ['Peak drive', ({ drivePeakDbm }) => formatQuantity(drivePeakDbm, 'dBm', 2)],
  ['EVM, rms', ({ evm }) => formatQuantity(evm?.rmsPercent ?? null, '%', 2)],
  ['Error (NMSE)', ({ nmseDb }) => formatQuantity(nmseDb, 'dB')],
  ['Occupied bandwidth', ({ occupiedBandwidthHz }) => formatEngineering(occupiedBandwidthHz, 'Hz', 4)],
  ['Samples held', ({ heldSampleRatio }) => formatQuantity(100 * heldSampleRatio, '%', 3)],
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
    </p>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const { uncorrected, corrected, ideal } = report;
    const outputs = [uncorrected, ...(corrected === null ? [] : [corrected]), ideal];
    return html`
      <h2>Powers and errors</h2>
      <div class="scroll" tabindex="0" role="region" aria-label="Powers and errors">
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
              ([label, text]) => html`<tr>
                <th scope="row">${label}</th>
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
