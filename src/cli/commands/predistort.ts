// `kneepoint predistort`: a record through a learned predistorter, in the drive units it was learned in.
import { formatQuantity } from '../../../shared/format/numbers.ts';
import { ENGINE_VERSION, type PredistortedRecord, predistortRecord } from '../../engine/index.ts';
import { readPredistorter } from '../input/predistorterFile.ts';
import { readRecord, recordName, writeRecord } from '../input/record.ts';
import { tellNotes, tellWarnings } from '../output/messages.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';

export interface PredistortOptions {
  readonly with: string;
  readonly sampleRate?: number;
  readonly out?: string;
}

export function predistort(session: Session, path: string, options: PredistortOptions): ExitCode {
  const predistorter = readPredistorter(session, options.with);
  const input = readRecord(session, path, options.sampleRate ?? null);
  const target = recordName(options.out ?? `${recordName(path).replace(/\.(?:csv|txt)$/i, '')}-predistorted`);
  if (target === recordName(path)) {
    throw unusable('--out', 'must not be the record itself', JSON.stringify(target), 'pick another name');
  }
  const outcome = predistortRecord(input, predistorter);
  if (outcome.kind === 'invalid') throw new UnusableInput(`${input.name} through ${options.with}`, outcome.issues);
  const { record } = outcome;
  const named = predistorter.stored?.name || options.with;
  const written = writeRecord(session, target, {
    signal: record.signal,
    sampleRateHz: record.sampleRateHz,
    centreFrequencyHz: input.centreFrequencyHz,
    description: `${input.description || input.name} through the predistorter ${named}`,
    recorder: `kneepoint ${ENGINE_VERSION}`,
  });
  session.stdout(`${written.join('\n')}\n`);
  tellNotes(session, [...input.notes, ...learnedNotes(predistorter.stored?.learnedFor ?? '')]);
  session.stderr(`${summary(record)}\n`);
  tellWarnings(session, record.warnings);
  return EXIT.result;
}

function learnedNotes(learnedFor: string): string[] {
  return learnedFor === '' ? [] : [`learned for ${learnedFor}`];
}

function summary(record: PredistortedRecord): string {
  const dbfs = (value: number) => formatQuantity(value, 'dBfs', 2);
  const level = `${record.levelDifferenceDb >= 0 ? '+' : ''}${record.levelDifferenceDb.toFixed(2)} dB of the level learned at`;
  const held = `${(1e6 * record.heldSampleRatio).toFixed(0)} ppm held at the ceiling of ${record.ceiling.toPrecision(4)}`;
  return `input ${dbfs(record.inputMeanDbfs)} mean (${level}); drive ${dbfs(record.meanDbfs)} mean, ${record.peak.toFixed(4)} peak, ${held}`;
}
