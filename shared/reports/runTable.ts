// The figures of a run as rows: uncorrected, corrected, ideal limiter. One list serves the terminal and every page.

import { maskReadingText } from '../format/maskText.ts';
import { evmCondition } from '../format/measurementWords.ts';
import { formatEngineering, formatErrorDb, formatFixed, formatProbability, NO_READING } from '../format/numbers.ts';
import { JUNCTION_NOTE, loadNote, powerNote, STRESS_NOTE } from '../format/powerText.ts';
import type { AclrReading, MaskReading, OutputReport, PredistorterReport, Report, Traces } from '../schema/report.ts';
import { driveRows, powerRows } from './powerRows.ts';
import { toneNotes, toneRows } from './toneRows.ts';

export interface RunRow {
  readonly label: string;
  readonly cells: readonly string[];
}

export interface RunTable {
  readonly headings: readonly string[];
  readonly rows: readonly RunRow[];
  /** Under which conditions the figures hold, one sentence each. */
  readonly notes: readonly string[];
}

type PickReading = (output: OutputReport) => number | null | undefined;

/** Probability at which the crest factor is read, when the record allows it. */
const PAPR_PROBABILITY = 1e-4;

/** A report with or without its arrays. */
export type ReadReport = Omit<Report, 'traces' | 'predistorter'> & {
  readonly traces: Pick<Traces, 'conditions'>;
  readonly predistorter?: Pick<PredistorterReport, 'numbers'> | null;
};

export function runTable(report: ReadReport): RunTable {
  const { uncorrected, corrected, ideal } = report;
  const outputs = corrected === null ? [uncorrected, ideal] : [uncorrected, corrected, ideal];
  const correctedHeading = report.correctionUsed ? 'corrected' : 'corrected (not used)';
  const headings =
    corrected === null ? ['uncorrected', 'ideal limiter'] : ['uncorrected', correctedHeading, 'ideal limiter'];
  const row = (label: string, digits: number, pick: PickReading): RunRow => ({
    label,
    cells: outputs.map((output) => cellOf(pick(output), digits)),
  });
  const rows = [
    ...powerRows(report, row),
    ...toneRows(uncorrected, row),
    ...aclrRows(uncorrected.aclr, row),
    ...slotRows(uncorrected.slots, row),
    ...maskRows(uncorrected.masks, row),
    ...evmRows(uncorrected, row),
    ...peakRows(report, row),
  ];
  const isEmpty = (cells: readonly string[]) => cells.every((cell) => cell === NO_READING || cell === '0');
  return {
    headings,
    rows: rows.filter(({ cells }) => !isEmpty(cells)),
    notes: notesOf(report),
  };
}

export type MakeRow = (label: string, digits: number, pick: PickReading) => RunRow;

function cellOf(value: number | null | undefined, digits: number): string {
  if (value === null || value === undefined) return NO_READING;
  return formatErrorDb(value, digits);
}

function aclrRows(readings: readonly AclrReading[], row: MakeRow): RunRow[] {
  return readings.map(({ channel, side, centreHz }) => {
    // Slots of several gaps share name and side.
    const place =
      channel === 'gap' ? `${channel} at ${formatEngineering(centreHz, 'Hz', 4)}, ${side} edge` : `${channel}, ${side}`;
    return row(
      `ACLR, ${place}, dB`,
      1,
      (output) =>
        output.aclr.find((other) => other.channel === channel && other.side === side && other.centreHz === centreHz)
          ?.aclrDb,
    );
  });
}

/** Mean density of the reference carriers over that in each slot. */
function slotRows(slots: OutputReport['slots'], row: MakeRow): RunRow[] {
  return slots.map(({ name }) =>
    row(`slot ${name}, dB`, 1, (output) => output.slots.find((one) => one.name === name)?.ratioDb),
  );
}

/** Room under each mask where it is least. */
function maskRows(masks: readonly MaskReading[], row: MakeRow): RunRow[] {
  return masks.map(({ name }) =>
    row(`room under the mask ${name}, dB`, 1, (output) => output.masks.find((one) => one.name === name)?.worstMarginDb),
  );
}

function evmRows(uncorrected: OutputReport, row: MakeRow): RunRow[] {
  const nmse = row('error after one gain (NMSE), dB', 1, (output) => output.nmseDb);
  if (uncorrected.evm === null) return [nmse];
  return [
    row('EVM, rms, %', 2, (output) => output.evm?.rmsPercent),
    row('EVM, peak, %', 1, (output) => output.evm?.peakPercent),
    nmse,
  ];
}

function peakRows(report: ReadReport, row: MakeRow): RunRow[] {
  const papr = (output: OutputReport) => output.papr.find(({ probability }) => probability === PAPR_PROBABILITY)?.db;
  return [
    row(`PAPR at ${formatProbability(PAPR_PROBABILITY)}, dB`, 2, papr),
    row('peak over mean of the record, dB', 2, (output) => output.peakToAverageDb),
    ...driveRows(report, row),
    row('samples beyond the drive range, ppm', 0, (output) => 1e6 * output.heldSampleRatio),
  ];
}

function notesOf({ uncorrected, corrected, correctionUsed, waveform, scenario, amplifier }: ReadReport): string[] {
  const notes: string[] = [];
  if (uncorrected.aclr.length > 0) notes.push(aclrNote(uncorrected.aclr));
  const used = correctionUsed && corrected !== null ? corrected : uncorrected;
  notes.push(...used.masks.map((mask) => maskReadingText(mask, correctionUsed ? 'corrected' : 'uncorrected')));
  notes.push(...toneNotes(used));
  if (uncorrected.evm !== null) {
    const count = uncorrected.evmPerCarrier.length;
    const which = count > 1 ? `; worst of ${count} carriers with symbols` : '';
    notes.push(`EVM: ${evmCondition(uncorrected.evm)}${which}.`);
  }
  notes.push(paprNote({ uncorrected, waveform, scenario }));
  if (uncorrected.dcPowerW !== null) notes.push(...powerNotes(amplifier, uncorrected));
  if (waveform.activeRatio < 1) {
    const share = formatFixed(100 * waveform.activeRatio, 1);
    notes.push(`Bursts: powers, spectra, PAPR and efficiency are those while on, ${share} % of the time.`);
  }
  return notes;
}

/** What DC power, heat, voltage and the load stand on. */
function powerNotes({ power, load }: ReadReport['amplifier'], { junctionTemperatureC }: OutputReport): string[] {
  const mismatch = loadNote(load);
  return [
    powerNote(power),
    ...(junctionTemperatureC === null ? [] : [JUNCTION_NOTE]),
    ...(mismatch === null ? [] : [mismatch]),
    STRESS_NOTE,
  ];
}

function paprNote({
  uncorrected,
  waveform,
  scenario,
}: Pick<ReadReport, 'uncorrected' | 'waveform' | 'scenario'>): string {
  const record = `${waveform.sampleCount} samples at ${formatEngineering(waveform.sampleRateHz, 'Hz', 6)}`;
  const missing = uncorrected.papr.some(({ probability, db }) => probability === PAPR_PROBABILITY && db === null);
  const short = missing ? `; too short to read it at ${formatProbability(PAPR_PROBABILITY)}` : '';
  return `PAPR: record of ${record}, judging seed ${scenario.seeds.judging}${short}.`;
}

function aclrNote(readings: readonly AclrReading[]): string {
  const beside = readings.filter(({ channel }) => channel !== 'gap');
  const upper = beside.filter(({ side }) => side === 'upper');
  const listed = upper.length > 0 ? upper : beside;
  const places = listed.map(({ channel, offsetHz, bandwidthHz, filter }) => {
    const shape = filter === 'rrc' ? ' root-raised-cosine' : '';
    return `${formatEngineering(bandwidthHz, 'Hz', 4)}${shape} at ±${formatEngineering(offsetHz, 'Hz', 4)} (${channel})`;
  });
  const gaps =
    beside.length < readings.length ? ' Slots in gaps: the carriers beside them over the power in the slot.' : '';
  return `ACLR: own power over the power in ${places.join(', ')} from the outer carrier.${gaps}`;
}
