// What an identification found, part by part, as plain rows: the terminal and the printed page share them.
import { modelName, structureKinds, structureNote, structureWords } from '../format/identificationText.ts';
import { formatEngineering, formatFixed, formatQuantity, formatSigned, NO_READING } from '../format/numbers.ts';
import type {
  IdentificationReport,
  IdentifiedStructure,
  LoopWidthReading,
  PairReading,
  PredictedAclr,
  ValidationReading,
} from '../schema/identificationReport.ts';
import type { RunRow } from './runTable.ts';

export interface IdentificationPart {
  readonly heading: string;
  /** Rows of words. */
  readonly rows: readonly (readonly string[])[];
  /** Figures under headings. */
  readonly table: { readonly headings: readonly string[]; readonly rows: readonly RunRow[] } | null;
  /** A sentence or two below; empty without. */
  readonly note: string;
}

/** Records by the names the user gave. */
export interface PairNames {
  readonly drive: string;
  readonly observed: string;
}

export function identificationTitle({ drive, observed }: PairNames): string {
  return `${observed} as an answer to ${drive}`;
}

const TRUST = { good: 'Trust', limited: 'Trust within limits', poor: 'No trust' } as const;

/** How far to trust the model, in one sentence. */
export function trustSentence({ trust }: IdentificationReport): string {
  return `${TRUST[trust.level]}: ${trust.reasons.join('; ')}.`;
}

export function identificationParts(report: IdentificationReport): IdentificationPart[] {
  const { shares, validation } = report;
  return [
    part('Alignment', { rows: pairRows(report.alignment, report.alignment.delayDeviationS) }),
    part('Loops, one standard deviation round the mean curve', { rows: loopRows(report), note: loopNote(report) }),
    part('Model', { rows: modelRows(report), note: `Structure: ${structureWords(report.chosen)}.` }),
    part('What each structure reaches', { table: structureTable(report), note: structureNote(report) }),
    part('Error, over the output’s power', { rows: shareRows(report), note: `Noise: ${shares.noiseMethod}.` }),
    part('Neighbouring channels', { table: aclrTable(report.aclr), note: aclrNote(report) }),
    ...(validation === null ? [] : [validationPart(validation)]),
    part('Scale', { rows: scaleRows(report) }),
  ];
}

function part(heading: string, filled: Partial<IdentificationPart>): IdentificationPart {
  return { heading, rows: [], table: null, note: '', ...filled };
}

function pairRows(pair: PairReading, deviationS: number | null): string[][] {
  const deviation = deviationS === null ? '' : ` ± ${(1e9 * deviationS).toPrecision(2)} ns`;
  return [
    ['delay', `${formatFixed(1e9 * pair.delayS, 3)} ns${deviation} (${formatFixed(pair.delaySamples, 4)} samples)`],
    ...(pair.frequencyOffsetHz === undefined
      ? []
      : [['frequency offset', `${formatSigned(pair.frequencyOffsetHz, 'Hz', 2)}, of the receiver; taken out`]]),
    ['gain', formatSigned(pair.gainDb, 'dB', 3)],
    ['phase', formatQuantity(pair.phaseDeg, '°', 2)],
    ['carrier leak', `${formatFixed(pair.carrierLeakDbc, 1)} dBc, of the receiver; taken out`],
    ['image', `${formatQuantity(pair.imageDb, 'dB', 1)}, of the receiver; taken out`],
    ['correlation', formatFixed(pair.correlationRatio, 4)],
  ];
}

function loopRows({ loops }: IdentificationReport): string[][] {
  const row = (label: string, { gainDb, phaseDeg }: LoopWidthReading) => [
    label,
    `AM/AM ${formatQuantity(gainDb, 'dB', 3)}`,
    `AM/PM ${formatQuantity(phaseDeg, '°', 2)}`,
  ];
  return [
    row('as recorded', loops.asRecorded),
    row('by whole samples', loops.wholeSamples),
    row('aligned', loops.aligned),
  ];
}

/** A delay of part of a sample looks like memory until it is taken out. */
function loopNote({ loops }: IdentificationReport): string {
  const ratio = loops.wholeSamples.phaseDeg / loops.aligned.phaseDeg;
  if (!(ratio > 1.5) || !Number.isFinite(ratio)) return '';
  return `Moved by whole samples only, the loops would be ${formatFixed(ratio, 1)} times as wide: that part is delay, not memory.`;
}

function modelRows(report: IdentificationReport): string[][] {
  const { chosen } = report;
  return [
    ['kind', `${modelName(chosen)}, ${chosen.coefficientCount} coefficients`],
    ['held-out NMSE', `${formatQuantity(chosen.heldOutNmseDb, 'dB', 2)} over ${report.heldOutSampleCount} samples`],
    ['training NMSE', `${formatQuantity(chosen.trainingNmseDb, 'dB', 2)} over ${report.trainingSampleCount} samples`],
    ['with leak and image', `${formatQuantity(report.heldOutWithReceiverErrorsDb, 'dB', 2)} held out`],
    ['drive range', `${Number(report.driveRange.toPrecision(4))}, the largest drive of the records`],
    ['gain lost there', formatQuantity(report.scale.compressionAtPeakDb, 'dB', 2)],
    ['rate of the taps', formatEngineering(report.sampleRateHz, 'Hz', 6)],
  ];
}

/** The best of each kind, so that a table of hundreds fits a screen; the report holds all. */
function structureTable(report: IdentificationReport): IdentificationPart['table'] {
  const rows = structureKinds(report).map(({ label, best }) => structureRow(label, best));
  const headings = ['coefficients', 'training, dB', 'held out, dB'];
  return { headings, rows: [...rows, structureRow('taken', report.chosen)] };
}

function structureRow(label: string, { coefficientCount, trainingNmseDb, heldOutNmseDb }: IdentifiedStructure): RunRow {
  return { label, cells: [String(coefficientCount), formatFixed(trainingNmseDb, 2), formatFixed(heldOutNmseDb, 2)] };
}

function shareRows({ shares, fitNmseDb }: IdentificationReport): string[][] {
  const value = (db: number | null, none: string) => (db === null ? none : formatQuantity(db, 'dB', 1));
  return [
    ['without memory', formatQuantity(shares.staticNmseDb, 'dB', 1)],
    ['of it, memory', value(shares.memoryDb, 'none')],
    ['model, all samples', formatQuantity(fitNmseDb, 'dB', 1)],
    ['of it, noise', value(shares.noiseDb, NO_READING)],
    ['of it, model error', value(shares.modelErrorDb, shares.noiseDb === null ? NO_READING : 'below the noise')],
  ];
}

function aclrTable(aclr: readonly PredictedAclr[]): IdentificationPart['table'] {
  const rows = aclr.map(({ channel, side, observedDb, predictedDb }) => ({
    label: `ACLR, ${channel}, ${side}, dB`,
    cells: [observedDb, predictedDb].map((db) => (db === null ? NO_READING : formatFixed(db, 1))),
  }));
  return rows.length === 0 ? null : { headings: ['observed', 'predicted'], rows };
}

function aclrNote({ aclr, errorAclrDb }: IdentificationReport): string {
  if (aclr.length === 0) return 'No neighbouring channel is in the records.';
  const error =
    errorAclrDb === null ? '' : ` The error stands ${formatQuantity(errorAclrDb, 'dB')} below the carrier beside it.`;
  return `The observation holds the receiver’s noise, the prediction does not.${error}`;
}

function validationPart(validation: ValidationReading): IdentificationPart {
  const { nmseDb, differenceDb, heldSampleRatio, alignment, aclr } = validation;
  const held = heldSampleRatio === 0 ? 'none' : `${(1e6 * heldSampleRatio).toFixed(0)} ppm of its drive’s samples`;
  const rows = [
    ['NMSE', `${formatQuantity(nmseDb, 'dB', 2)}, ${formatSigned(differenceDb, 'dB', 2)} against the held-out samples`],
    ['held at the range', held],
    ...pairRows(alignment, null),
  ];
  return part('Second pair, predicted and never fitted', { rows, table: aclrTable(aclr) });
}

function scaleRows({ scale }: IdentificationReport): string[][] {
  return [
    ['mean output power', formatQuantity(scale.meanOutputDbm, 'dBm', 2)],
    ['saturated power', formatQuantity(scale.saturatedPowerDbm, 'dBm', 2)],
    ['output back-off', formatQuantity(scale.outputBackoffDb, 'dB', 2)],
  ];
}
