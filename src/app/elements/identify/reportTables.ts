// Tables of an identification as templates: adjacent ratios, alignment, the model, the structures tried, the second pair.
import { html, nothing } from 'lit';
import {
  modelName,
  structureKinds,
  structureNote,
  structureWords,
} from '../../../../shared/format/identificationText.ts';
import {
  formatCount,
  formatEngineering,
  formatFixed,
  formatQuantity,
  formatSigned,
  formatSignificant,
  NO_READING,
  withUnit,
} from '../../../../shared/format/numbers.ts';
import type {
  IdentificationReport,
  IdentifiedStructure,
  PairReading,
  PredictedAclr,
} from '../../../../shared/schema/identificationReport.ts';

type Row = readonly [label: string, value: string, note?: string];

function rowsTable(caption: string, rows: readonly Row[]) {
  return html`<div class="scroll" tabindex="0" role="region" aria-label=${caption}>
    <table class="rows">
      <caption>${caption}</caption>
      <tbody>
        ${rows.map(
          ([label, value, note]) => html`<tr>
            <th scope="row">${label}${note === undefined ? nothing : html` <span class="condition">${note}</span>`}</th>
            <td>${value}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

function ratio(value: number | null): string {
  return value === null ? NO_READING : formatFixed(value, 1);
}

/** Neighbouring channels of observation and prediction. */
export function channelTable(aclr: readonly PredictedAclr[], report: IdentificationReport | null) {
  if (aclr.length === 0) return html`<p class="condition">No neighbouring channel lies within the records.</p>`;
  const error = report?.errorAclrDb ?? null;
  return html`<div class="scroll" tabindex="0" role="region" aria-label="Adjacent ratios, observed and predicted">
      <table>
        <caption>ACLR, dB</caption>
        <thead>
          <tr>
            <th scope="col">Channel</th>
            <th scope="col">Offset,<br />MHz</th>
            <th scope="col">Bandwidth,<br />MHz</th>
            <th scope="col">Observed</th>
            <th scope="col">Predicted</th>
          </tr>
        </thead>
        <tbody>
          ${aclr.map(
            ({ channel, side, offsetHz, bandwidthHz, observedDb, predictedDb }) => html`<tr>
              <th scope="row">${channel}, ${side}</th>
              <td>${formatSigned((side === 'lower' ? -1 : 1) * (offsetHz / 1e6), '', 2)}</td>
              <td>${formatFixed(bandwidthHz / 1e6, 2)}</td>
              <td>${ratio(observedDb)}</td>
              <td>${ratio(predictedDb)}</td>
            </tr>`,
          )}
        </tbody>
      </table>
    </div>
    <p class="condition">
      The observation holds the receiver’s noise, the prediction does not.
      ${error === null ? nothing : `The model’s error stands ${formatQuantity(error, 'dB')} below the carrier in the worst adjacent channel.`}
    </p>`;
}

function pairRows(pair: PairReading, deviationS: number | null): Row[] {
  const deviation = deviationS === null ? '' : ` ± ${formatEngineering(deviationS, 's', 2)}`;
  return [
    [
      'Delay',
      `${withUnit(formatFixed(1e9 * pair.delayS, 3), 'ns')}${deviation}`,
      `${formatFixed(pair.delaySamples, 4)} samples`,
    ],
    ['Gain', formatSigned(pair.gainDb, 'dB', 3)],
    ['Phase', formatQuantity(pair.phaseDeg, '°', 2)],
    ['Carrier leak', formatQuantity(pair.carrierLeakDbc, 'dBc', 1), 'of the receiver, taken out'],
    ['Image', formatQuantity(pair.imageDb, 'dB', 1), 'of the receiver, taken out'],
    ['Correlation', formatFixed(pair.correlationRatio, 4)],
  ];
}

export function alignmentTable({ alignment }: IdentificationReport) {
  return rowsTable('Alignment of the observation to the drive', pairRows(alignment, alignment.delayDeviationS));
}

export function modelTable(report: IdentificationReport) {
  const { chosen, scale, sampleRateHz, clippedSamples } = report;
  const clipped = clippedSamples.drive + clippedSamples.observed;
  return rowsTable('Model and scale', [
    ['Kind', modelName(chosen), structureWords(chosen)],
    ['Coefficients', formatCount(chosen.coefficientCount)],
    [
      'Held-out error',
      formatQuantity(chosen.heldOutNmseDb, 'dB', 2),
      `${formatCount(report.heldOutSampleCount)} samples`,
    ],
    [
      'Training error',
      formatQuantity(chosen.trainingNmseDb, 'dB', 2),
      `${formatCount(report.trainingSampleCount)} samples`,
    ],
    ['Held out, leak and image left in', formatQuantity(report.heldOutWithReceiverErrorsDb, 'dB', 2)],
    ['Drive range', formatSignificant(report.driveRange, 4), 'largest drive of the records'],
    ['Gain lost at the largest drive', formatQuantity(scale.compressionAtPeakDb, 'dB', 2)],
    ['Rate of the taps', formatEngineering(sampleRateHz, 'Hz', 6)],
    ['Mean drive', formatQuantity(report.driveMeanDbfs, 'dBFS', 1)],
    ...(clipped === 0
      ? []
      : [['Clipped samples', `${clippedSamples.drive} + ${clippedSamples.observed}`, 'drive + observation'] as const]),
    ['Mean output power', formatQuantity(scale.meanOutputDbm, 'dBm', 2)],
    ['Saturated power', formatQuantity(scale.saturatedPowerDbm, 'dBm', 2)],
    ['Output back-off', formatQuantity(scale.outputBackoffDb, 'dB', 2)],
  ]);
}

function structureRow(label: string, structure: IdentifiedStructure, isChosen: boolean) {
  return html`<tr class=${isChosen ? 'chosen' : ''}>
    <th scope="row">${label}</th>
    <td>${structure.coefficientCount}</td>
    <td>${formatFixed(structure.trainingNmseDb, 2)}</td>
    <td>${formatFixed(structure.heldOutNmseDb, 2)}</td>
  </tr>`;
}

function structureRows(caption: string, rows: unknown) {
  return html`<div class="scroll" tabindex="0" role="region" aria-label=${caption}>
    <table>
      <caption>${caption}</caption>
      <thead>
        <tr>
          <th scope="col">Structure</th>
          <th scope="col">Coefficients</th>
          <th scope="col">Training,<br />dB</th>
          <th scope="col">Held out,<br />dB</th>
        </tr>
      </thead>
      <tbody>
        ${rows}
      </tbody>
    </table>
  </div>`;
}

/** The best of each kind and the one taken; all of them behind a summary. */
export function structureTables(report: IdentificationReport) {
  const { chosen, structures } = report;
  const kinds = structureKinds(report).map(({ label, best }) => structureRow(label, best, false));
  const all = () =>
    structures.map((structure) => {
      const isChosen =
        structure.coefficientCount === chosen.coefficientCount && structure.heldOutNmseDb === chosen.heldOutNmseDb;
      return structureRow(
        isChosen ? `${structureWords(structure)}; taken` : structureWords(structure),
        structure,
        isChosen,
      );
    });
  return html`${structureRows('Error over the output', html`${kinds} ${structureRow('taken', chosen, true)}`)}
    <p class="condition">${structureNote(report)}</p>
    <details>
      <summary>All ${formatCount(structures.length)} structures</summary>
      <div class="long">${structureRows('Every structure tried, smallest first', all())}</div>
    </details>`;
}

export function secondPairTables({ validation }: IdentificationReport) {
  if (validation === null) {
    return html`<p class="muted">
      No second pair was given. A model is known to hold only where it was tried: add another record of the same amplifier
      at the same level.
    </p>`;
  }
  const { nmseDb, differenceDb, heldSampleRatio, alignment, aclr } = validation;
  const held = heldSampleRatio === 0 ? 'none' : withUnit(formatFixed(1e6 * heldSampleRatio, 0), 'ppm');
  return html`${rowsTable('Predicted, never fitted', [
    ['Error of the prediction', formatQuantity(nmseDb, 'dB', 2)],
    ['Against the held-out samples', formatSigned(differenceDb, 'dB', 2)],
    ['Drive samples held at the range', held],
    ...pairRows(alignment, null),
  ])}
    ${channelTable(aclr, null)}`;
}
