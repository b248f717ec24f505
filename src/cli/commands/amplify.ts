// `kneepoint amplify`: a record through an amplifier model, in the model's own drive units.

import { formatEngineering, formatQuantity } from '../../../shared/format/numbers.ts';
import { type AmplifiedRecord, amplifyRecord, ENGINE_VERSION } from '../../engine/index.ts';
import { readAmplifierModel } from '../input/amplifierModel.ts';
import { readRecord, recordName, writeRecord } from '../input/record.ts';
import { tellNotes, tellWarnings } from '../output/messages.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';

export interface AmplifyOptions {
  readonly with: string;
  readonly sampleRate?: number;
  readonly out?: string;
}

export function amplify(session: Session, path: string, options: AmplifyOptions): ExitCode {
  const model = readAmplifierModel(session, options.with);
  const drive = readRecord(session, path, options.sampleRate ?? null);
  const target = recordName(options.out ?? `${recordName(path).replace(/\.(?:csv|txt)$/i, '')}-amplified`);
  if (target === recordName(path)) {
    throw unusable('--out', 'must not be the record itself', JSON.stringify(target), 'pick another name');
  }
  const outcome = amplifyRecord(drive, model.settings, model.slowStates, model);
  if (outcome.kind === 'invalid') throw new UnusableInput(`${drive.name} through ${model.name}`, outcome.issues);
  const { record } = outcome;
  const written = writeRecord(session, target, {
    signal: record.signal,
    sampleRateHz: record.sampleRateHz,
    centreFrequencyHz: drive.centreFrequencyHz,
    description: `${drive.description || drive.name} through ${record.amplifierLabel}`,
    recorder: `kneepoint ${ENGINE_VERSION}`,
  });
  session.stdout(`${written.join('\n')}\n`);
  tellNotes(session, drive.notes);
  session.stderr(`${summary(record)}\n`);
  tellWarnings(session, record.warnings);
  return EXIT.result;
}

function summary(record: AmplifiedRecord): string {
  const rate = formatEngineering(record.modelRateHz, 'Hz', 6);
  const resampled = record.modelRateHz === record.sampleRateHz ? '' : `, resampled to ${rate} and back`;
  const range =
    record.driveRange === null ? 'no drive range' : `drive range ${Number(record.driveRange.toPrecision(4))}`;
  const drive = `drive ${formatQuantity(record.driveMeanDbfs, 'dBfs', 2)} mean, ${record.drivePeak.toFixed(3)} peak, ${range}`;
  return `${record.amplifierLabel}${resampled}: ${drive}; output back-off ${formatQuantity(record.outputBackoffDb, 'dB', 2)}`;
}
