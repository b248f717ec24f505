// `kneepoint identify`: an amplifier model from a record of what was sent and one of what a receiver saw.
import { drawIdentificationSpectrum, drawLoops } from '../../../shared/figures/identificationFigures.ts';
import { type IdentificationFindings, identificationPage } from '../../../shared/reports/identificationPage.ts';
import { identificationTitle } from '../../../shared/reports/identificationRows.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { REPORT_FORMAT } from '../../../shared/schema/report.ts';
import { ENGINE_VERSION, type IdentifyInput, type IdentifyOutcome, identifyAmplifier } from '../../engine/index.ts';
import { isTextRecord, type NamedRecord, readRecord } from '../input/record.ts';
import { writeAll } from '../output/folder.ts';
import { identifyText } from '../output/identifyText.ts';
import { type ProgressLine, progressLine, tellNotes, tellWarnings } from '../output/messages.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';

export interface IdentifyOptions {
  readonly validate?: readonly string[];
  readonly orderLimit?: number;
  readonly memoryLimit?: number;
  readonly crossLimit?: number;
  readonly outputPowerDbm?: number;
  readonly saturatedPowerDbm?: number;
  readonly outputBackoffDb?: number;
  readonly sampleRate?: number;
  readonly json?: true;
  readonly traces?: true;
  readonly out?: string;
}

interface NamedPair {
  readonly drive: NamedRecord;
  readonly observed: NamedRecord;
}

export function identify(session: Session, drive: string, observed: string, options: IdentifyOptions): ExitCode {
  const pair = readPair(session, [drive, observed], options);
  const validation = readValidation(session, options);
  const input = { ...pair, validation, ...searchOf(options), ...scaleOf(options) };
  const outcome = withProgress(session, (onProgress) => identifyAmplifier(input, { onProgress }));
  if (outcome.kind === 'invalid')
    throw new UnusableInput(`${pair.drive.name} and ${pair.observed.name}`, outcome.issues);
  const { report, model, traces } = outcome;
  const kneepoint = { version: ENGINE_VERSION, format: REPORT_FORMAT };
  const json = toJson({ kneepoint, identification: report, model, ...(options.traces ? { traces } : {}) });
  const names = { drive: pair.drive.name, observed: pair.observed.name };
  if (options.out !== undefined) writeFindings(session, options.out, { ...outcome, names, kneepoint }, json);
  session.stdout(options.json ? json : identifyText(names, report));
  tellNotes(session, notesOf(pair, validation));
  tellWarnings(session, report.warnings);
  return EXIT.result;
}

/** The progress line goes away however the work ends. */
function withProgress(
  session: Session,
  work: (onProgress: ProgressLine['onProgress']) => IdentifyOutcome,
): IdentifyOutcome {
  const { onProgress, clear } = progressLine(session);
  try {
    return work(onProgress);
  } finally {
    clear();
  }
}

/** The model by itself, the amplifier with its power scale, readings, pictures and a page to keep. */
function writeFindings(session: Session, folder: string, findings: IdentificationFindings, json: string): void {
  const { names, report, traces, amplifier } = findings;
  writeAll(session, folder, {
    'model.json': toJson(amplifier.model),
    'amplifier.json': toJson(amplifier),
    'report.json': json,
    'spectrum.svg': drawIdentificationSpectrum(identificationTitle(names), report, traces),
    'loops.svg': drawLoops('Gain and phase of single samples', report, traces),
    'report.html': identificationPage(findings),
  });
}

function readPair(session: Session, [drive, observed]: readonly [string, string], options: IdentifyOptions): NamedPair {
  const read = (path: string) => readRecord(session, path, isTextRecord(path) ? (options.sampleRate ?? null) : null);
  return { drive: read(drive), observed: read(observed) };
}

function readValidation(session: Session, options: IdentifyOptions): NamedPair | null {
  if (options.validate === undefined) return null;
  const [drive, observed, ...more] = options.validate;
  if (drive === undefined || observed === undefined || more.length > 0) {
    const remedy = 'name the second drive and the second observation behind it';
    throw unusable('--validate', 'must stand before two records', `${options.validate.length}`, remedy);
  }
  return readPair(session, [drive, observed], options);
}

function searchOf({ orderLimit, memoryLimit, crossLimit }: IdentifyOptions): Partial<IdentifyInput> {
  return {
    ...(orderLimit === undefined ? {} : { highestOrder: orderLimit }),
    ...(memoryLimit === undefined ? {} : { memoryDepth: memoryLimit }),
    ...(crossLimit === undefined ? {} : { crossReachSamples: crossLimit }),
  };
}

function scaleOf({ outputPowerDbm, saturatedPowerDbm, outputBackoffDb }: IdentifyOptions): Partial<IdentifyInput> {
  return {
    outputPowerDbm: outputPowerDbm ?? null,
    saturatedPowerDbm: saturatedPowerDbm ?? null,
    outputBackoffDb: outputBackoffDb ?? null,
  };
}

function notesOf(pair: NamedPair, validation: NamedPair | null): string[] {
  const records = [pair, validation].flatMap((one) => (one === null ? [] : [one.drive, one.observed]));
  return [...new Set(records.flatMap(({ notes }) => notes))];
}
