// `kneepoint measure`: readings of any record, and against a reference record delay, gain, NMSE and EVM.

import { toJson } from '../../../shared/reports/json.ts';
import { REPORT_FORMAT } from '../../../shared/schema/report.ts';
import { ENGINE_VERSION, measureRecord, type RecordReport } from '../../engine/index.ts';
import { readRecord } from '../input/record.ts';
import { writeRecordFolder } from '../output/folder.ts';
import { tellNotes, tellWarnings } from '../output/messages.ts';
import { recordText } from '../output/recordText.ts';
import { EXIT, type ExitCode, type Session, UnusableInput } from '../session.ts';

export interface MeasureOptions {
  readonly reference?: string;
  readonly centre?: number;
  readonly ownBandwidth?: number;
  readonly spacing?: number;
  readonly neighbourBandwidth?: number;
  readonly segment?: number;
  readonly json?: true;
  readonly traces?: true;
  readonly out?: string;
}

export function measure(session: Session, path: string, options: MeasureOptions): ExitCode {
  const record = readRecord(session, path);
  const reference = options.reference === undefined ? null : readRecord(session, options.reference);
  const outcome = measureRecord({
    signal: record.signal,
    sampleRateHz: record.sampleRateHz,
    centreFrequencyHz: record.centreFrequencyHz,
    reference,
    channels: {
      ...(options.centre === undefined ? {} : { centreHz: options.centre }),
      ...(options.ownBandwidth === undefined ? {} : { ownBandwidthHz: options.ownBandwidth }),
      ...(options.spacing === undefined ? {} : { spacingHz: options.spacing }),
      ...(options.neighbourBandwidth === undefined ? {} : { neighbourBandwidthHz: options.neighbourBandwidth }),
    },
    spectrum: options.segment === undefined ? {} : { segmentLength: options.segment },
  });
  if (outcome.kind === 'invalid') throw new UnusableInput(record.name, outcome.issues);
  const title = record.description === '' ? record.name : record.description;
  const json = recordJson(outcome.record, options.traces === true);
  if (options.out !== undefined) writeRecordFolder(session, options.out, title, outcome.record, json);
  session.stdout(options.json ? json : recordText(title, outcome.record));
  tellNotes(session, record.notes);
  if (reference !== null)
    tellNotes(
      session,
      reference.notes.map((note) => `reference: ${note}`),
    );
  tellWarnings(session, outcome.record.warnings);
  return EXIT.result;
}

function recordJson(record: RecordReport, withTraces: boolean): string {
  const { traces, warnings, ...readings } = record;
  const kneepoint = { version: ENGINE_VERSION, format: REPORT_FORMAT };
  return toJson({ kneepoint, record: withTraces ? { ...readings, traces } : readings, warnings });
}
