// `kneepoint measure`: readings of any record, and against a reference record delay, gain, NMSE and EVM. Records that
// are too large to be held are read in pieces, twice.
import { toJson } from '../../../shared/reports/json.ts';
import type { AclrRule } from '../../../shared/schema/measurement.ts';
import { REPORT_FORMAT } from '../../../shared/schema/report.ts';
import {
  beginRecord,
  ENGINE_VERSION,
  type FileFacts,
  type MeasureOutcome,
  measureRecord,
  type RecordReport,
  type RecordSettings,
} from '../../engine/index.ts';
import { readLimits } from '../input/limits.ts';
import {
  findRecord,
  holdRecord,
  isTextRecord,
  isTooLargeToHold,
  MOST_HELD_TEXT,
  piecesOf,
  type RecordFile,
} from '../input/record.ts';
import { writeRecordFolder } from '../output/folder.ts';
import { progressLine, tellNotes, tellWarnings } from '../output/messages.ts';
import { recordText } from '../output/recordText.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';

type Spectrum = NonNullable<RecordSettings['spectrum']>;

export interface MeasureOptions {
  readonly reference?: string;
  readonly channels?: AclrRule;
  readonly centre?: number;
  readonly ownBandwidth?: number;
  readonly spacing?: number;
  readonly neighbourBandwidth?: number;
  readonly limits?: string;
  readonly meanPower?: number;
  readonly frequency?: number;
  readonly notch?: { readonly centreHz: number; readonly bandwidthHz: number };
  readonly twoTone?: true;
  readonly segment?: number;
  readonly resolutionBandwidth?: number;
  readonly averages?: number;
  readonly window?: NonNullable<Spectrum['window']>;
  readonly sampleRate?: number;
  readonly stream?: true;
  readonly json?: true;
  readonly traces?: true;
  readonly out?: string;
  readonly failOnLimit?: true;
}

export async function measure(session: Session, path: string, options: MeasureOptions): Promise<ExitCode> {
  const settings = settingsOf(session, options);
  const file = findWithRate(session, path, options);
  checkRate(path, options);
  const isStreamed = options.stream === true || isTooLargeToHold(file);
  if (isStreamed && options.reference !== undefined) throw tooLargeForReference(file);
  const measured = isStreamed ? await inPieces(session, file, settings) : inWhole(session, file, settings, options);
  const { outcome, facts, notes } = measured;
  if (outcome.kind === 'invalid') throw new UnusableInput(file.name, outcome.issues);
  const { record } = outcome;
  const title = facts.description === '' ? file.name : facts.description;
  const json = recordJson(record, options.traces === true);
  if (options.out !== undefined) writeRecordFolder(session, options.out, title, record, json);
  session.stdout(options.json ? json : recordText(title, record));
  tellNotes(session, [...notes, ...record.limitNotes]);
  tellWarnings(session, record.warnings);
  return options.failOnLimit ? judge(session, record) : EXIT.result;
}

function settingsOf(session: Session, options: MeasureOptions): RecordSettings {
  const { channels, centre, ownBandwidth, spacing, neighbourBandwidth } = options;
  const { segment, resolutionBandwidth, averages, window } = options;
  return {
    channels: given({
      rule: channels,
      centreHz: centre,
      ownBandwidthHz: ownBandwidth,
      spacingHz: spacing,
      neighbourBandwidthHz: neighbourBandwidth,
    }),
    spectrum: given({
      segmentLength: segment,
      resolutionBandwidthHz: resolutionBandwidth,
      averageCount: averages,
      window,
    }),
    ...(options.limits === undefined ? {} : readLimits(session, options.limits)),
    meanPowerDbm: options.meanPower ?? null,
    centreFrequencyHz: options.frequency ?? null,
    notch: options.notch ?? null,
    twoTone: options.twoTone === true,
  };
}

/** The fields that are there. */
function given<Fields extends object>(fields: Fields): { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> } {
  const entries = Object.entries(fields).filter(([, value]) => value !== undefined);
  return Object.fromEntries(entries) as { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> };
}

interface Measured {
  readonly outcome: MeasureOutcome;
  readonly facts: Pick<FileFacts, 'description'>;
  readonly notes: readonly string[];
}

function inWhole(session: Session, file: RecordFile, settings: RecordSettings, options: MeasureOptions): Measured {
  const record = holdRecord(session, file);
  const reference = options.reference === undefined ? null : readReference(session, options.reference, options);
  const { signal, sampleRateHz, fullScale } = record;
  const centreFrequencyHz = settings.centreFrequencyHz ?? record.centreFrequencyHz;
  const outcome = measureRecord({ ...settings, signal, sampleRateHz, fullScale, centreFrequencyHz, reference });
  const ofReference = reference === null ? [] : reference.notes.map((note) => `reference: ${note}`);
  return { outcome, facts: record, notes: [...record.notes, ...ofReference] };
}

function readReference(session: Session, path: string, options: MeasureOptions) {
  const file = findWithRate(session, path, options);
  if (isTooLargeToHold(file)) throw tooLargeForReference(file);
  return holdRecord(session, file);
}

/** `--sample-rate` is for the text records among the two. */
function findWithRate(session: Session, path: string, { sampleRate }: MeasureOptions): RecordFile {
  return findRecord(session, path, isTextRecord(path) ? (sampleRate ?? null) : null);
}

function checkRate(path: string, { sampleRate, reference }: MeasureOptions): void {
  if (sampleRate === undefined || isTextRecord(path) || (reference !== undefined && isTextRecord(reference))) return;
  throw unusable('--sample-rate', 'must stand beside a text record', path, 'SigMF metadata state the rate');
}

function tooLargeForReference({ name, byteCount }: RecordFile): UnusableInput {
  const most = `${MOST_HELD_TEXT}: both of a comparison are held in memory`;
  const value = `${(byteCount / 2 ** 20).toFixed(1)} MiB in ${name}`;
  return unusable('--reference', `must stand beside records of at most ${most}`, value, 'cut both to the same stretch');
}

async function inPieces(session: Session, file: RecordFile, settings: RecordSettings): Promise<Measured> {
  const progress = progressLine(session);
  const tell = (from: number, label: string) => (ratio: number) =>
    progress.onProgress({ stage: 'measurement', label, doneRatio: from + ratio / 2 });
  try {
    const pieces = piecesOf(session, file);
    const first = beginRecord(pieces.fullScale);
    const facts = await pieces.read(first.push, tell(0, 'Reading the record'));
    const centreFrequencyHz = settings.centreFrequencyHz ?? facts.centreFrequencyHz;
    const begun = first.finish(facts.sampleRateHz, { ...settings, fullScale: facts.fullScale, centreFrequencyHz });
    if (begun.kind === 'invalid') return { outcome: begun, facts, notes: [] };
    await pieces.read(begun.second.push, tell(0.5, 'Measuring the record'));
    const size = (file.byteCount / 2 ** 20).toFixed(1);
    const streamed = `${size} MiB were read in pieces: the record is not taken as one period, whether it is or not`;
    return { outcome: begun.second.finish(), facts, notes: [...facts.notes, streamed] };
  } finally {
    progress.clear();
  }
}

/** As of a run: a marginal verdict counts by the sign of its margin. */
function judge(session: Session, { verdicts }: RecordReport): ExitCode {
  const missed = verdicts.filter(({ marginDb }) => marginDb < 0);
  if (missed.length === 0) return EXIT.result;
  session.stderr(`exit 1: the record misses ${missed.length} of its limits\n`);
  return EXIT.limitMissed;
}

function recordJson(record: RecordReport, withTraces: boolean): string {
  const { traces, warnings, ...readings } = record;
  const kneepoint = { version: ENGINE_VERSION, format: REPORT_FORMAT };
  return toJson({ kneepoint, record: withTraces ? { ...readings, traces } : readings, warnings });
}
