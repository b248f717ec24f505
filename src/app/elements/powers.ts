// Powers of the outputs, side by side, in dBm and W; DC power, heat and what follows from them by the ideal class; load.
import { css, html, LitElement, nothing } from 'lit';
import { formatFixed, formatQuantity, formatSignificant, NO_READING } from '../../../shared/format/numbers.ts';
import { JUNCTION_NOTE, loadNote, powerNote, STRESS_NOTE } from '../../../shared/format/powerText.ts';
import type { OutputReport, Report } from '../../../shared/schema/report.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { baseStyles, tableStyles } from '../styles/shared.ts';
import './swatch.ts';

interface Row {
  readonly label: string;
  readonly unit: string;
  readonly text: (output: OutputReport) => string;
  /** Left out where no output has a reading: it needs a setting of its own. */
  readonly isOptional?: boolean;
}

function plain(value: number | null, decimals: number): string {
  return value === null ? NO_READING : formatFixed(value, decimals);
}

function significant(value: number | null): string {
  return value === null ? NO_READING : formatSignificant(value);
}

function milliwatts(value: number | null): string {
  return significant(value === null ? null : 1000 * value);
}

const ROWS: readonly Row[] = [
  { label: 'Mean output', unit: 'dBm', text: ({ meanPowerDbm }) => plain(meanPowerDbm, 2) },
  { label: 'Mean output', unit: 'W', text: ({ meanPowerW }) => significant(meanPowerW) },
  { label: 'At the antenna port', unit: 'dBm', text: ({ antennaMeanDbm }) => plain(antennaMeanDbm, 2) },
  { label: 'Output back-off', unit: 'dB', text: ({ outputBackoffDb }) => plain(outputBackoffDb, 2) },
  { label: 'Peak output', unit: 'dBm', text: ({ peakPowerDbm }) => plain(peakPowerDbm, 2) },
  { label: 'Peak output', unit: 'W', text: ({ peakPowerW }) => significant(peakPowerW) },
  { label: 'Peak over mean', unit: 'dB', text: ({ peakToAverageDb }) => plain(peakToAverageDb, 2) },
  { label: 'Mean drive', unit: 'dBm', text: ({ driveMeanDbm }) => plain(driveMeanDbm, 2) },
  { label: 'Mean drive', unit: 'mW', text: ({ driveMeanW }) => milliwatts(driveMeanW) },
  { label: 'Peak drive', unit: 'dBm', text: ({ drivePeakDbm }) => plain(drivePeakDbm, 2) },
  { label: 'Peak drive', unit: 'mW', text: ({ drivePeakW }) => milliwatts(drivePeakW) },
  { label: 'DC power, ideal', unit: 'W', text: ({ dcPowerW }) => significant(dcPowerW) },
  { label: 'Heat, ideal', unit: 'W', text: ({ heatW }) => significant(heatW) },
  { label: 'Drain efficiency, ideal', unit: '%', text: ({ efficiencyPercent }) => plain(efficiencyPercent, 1) },
  {
    label: 'Power-added efficiency, ideal',
    unit: '%',
    text: ({ powerAddedEfficiencyPercent }) => plain(powerAddedEfficiencyPercent, 1),
    isOptional: true,
  },
  {
    label: 'Efficiency at the antenna port, ideal',
    unit: '%',
    text: ({ antennaEfficiencyPercent }) => plain(antennaEfficiencyPercent, 1),
  },
  {
    label: 'Junction temperature, ideal',
    unit: '°C',
    text: ({ junctionTemperatureC }) => plain(junctionTemperatureC, 1),
    isOptional: true,
  },
  { label: 'Peak voltage into 50 Ω', unit: 'V', text: ({ peakVoltageV }) => significant(peakVoltageV) },
  { label: 'Peak current into 50 Ω', unit: 'A', text: ({ peakCurrentA }) => significant(peakCurrentA) },
  {
    label: 'Reflected, mean',
    unit: 'dBm',
    text: ({ reflectedMeanDbm }) => plain(reflectedMeanDbm, 2),
    isOptional: true,
  },
  { label: 'Reflected, mean', unit: 'W', text: ({ reflectedMeanW }) => significant(reflectedMeanW), isOptional: true },
  {
    label: 'Reflected, peak',
    unit: 'dBm',
    text: ({ reflectedPeakDbm }) => plain(reflectedPeakDbm, 2),
    isOptional: true,
  },
  { label: 'Reflected, peak', unit: 'W', text: ({ reflectedPeakW }) => significant(reflectedPeakW), isOptional: true },
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
    </p>`;
  }

  /** What DC power, heat, junction, voltage and the load stand on; nothing without a power scale. */
  #powerNotes({ amplifier, uncorrected }: Report) {
    if (uncorrected.dcPowerW === null) return nothing;
    const notes = [
      powerNote(amplifier.power),
      uncorrected.junctionTemperatureC === null ? null : JUNCTION_NOTE,
      STRESS_NOTE,
      loadNote(amplifier.load),
    ];
    return notes.map((note) => (note === null ? nothing : html`<p class="condition figure">${note}</p>`));
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const { uncorrected, corrected, ideal } = report;
    const outputs = [uncorrected, ...(corrected === null ? [] : [corrected]), ideal];
    const rows = ROWS.filter(({ isOptional, text }) => !isOptional || outputs.some((one) => text(one) !== NO_READING));
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
            ${rows.map(
              ({ label, unit, text }) => html`<tr>
                <th scope="row">${label}, <span class="muted">${unit}</span></th>
                ${outputs.map((output) => html`<td>${text(output)}</td>`)}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      ${this.#amplifier(report)} ${this.#powerNotes(report)}
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
