// Records by name: SigMF by either of its two files or by what their names share, text by its ending. Small ones are
// held in memory; large ones are read in pieces, as often as asked.
import { createHash } from 'node:crypto';
import { statSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { basename, resolve } from 'node:path';
import {
  type ComplexSignal,
  type Digest,
  type FileFacts,
  type FileReader,
  type FileRecord,
  openCsv,
  openSigmf,
  readCsv,
  readSigmf,
  type SigmfSource,
  writeSigmf,
} from '../../engine/index.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { readBytes, readText, reasonOf, writeOut } from './files.ts';

const META = '.sigmf-meta';
const DATA = '.sigmf-data';
const TEXT_ENDING = /\.(?:csv|txt)$/i;

/** What a record must not pass to be held in memory: 64 MiB in its file, 128 MiB as samples. */
const MOST_BYTES_HELD = 64 * 2 ** 20;
const MOST_SAMPLES_HELD = 2 ** 23;
export const MOST_HELD_TEXT = '64 MiB and 2^23 samples';
/** Whole samples of every datatype. */
const PIECE_BYTES = 2 ** 20;

const sha512 = (bytes: Uint8Array): string => createHash('sha512').update(bytes).digest('hex');

function digest(): Digest {
  const hash = createHash('sha512');
  return { update: (bytes) => void hash.update(bytes), hex: () => hash.digest('hex') };
}

/** `name`, `name.sigmf-meta` and `name.sigmf-data` all name one record. */
export function recordName(path: string): string {
  const ending = [META, DATA].find((candidate) => path.endsWith(candidate));
  return ending === undefined ? path : path.slice(0, -ending.length);
}

/** True for a record as text, by its ending. */
export function isTextRecord(path: string): boolean {
  return TEXT_ENDING.test(path);
}

/** A record's files, not read yet. */
export interface RecordFile {
  /** Without folder. */
  readonly name: string;
  /** The file that holds the samples, as the user would name it. */
  readonly dataPath: string;
  readonly byteCount: number;
  /** Text of the SigMF metadata; null for a text record. */
  readonly metadata: string | null;
  readonly sampleRateHz: number | null;
}

/** `sampleRateHz`: for a text record that states none. Throws UnusableInput when a file cannot be read. */
export function findRecord(session: Session, path: string, sampleRateHz: number | null = null): RecordFile {
  const isText = isTextRecord(path);
  const base = recordName(path);
  const metadata = isText ? null : readText(session, `${base}${META}`);
  const dataPath = isText ? path : `${base}${DATA}`;
  return { name: basename(base), dataPath, byteCount: byteCountOf(session, dataPath), metadata, sampleRateHz };
}

function byteCountOf(session: Session, path: string): number {
  try {
    return statSync(resolve(session.folder, path)).size;
  } catch (error) {
    throw unusable(path, 'must be a readable file', reasonOf(error), 'check the name');
  }
}

/** True for a record that is read in pieces. Faulty metadata are told when it is read. */
export function isTooLargeToHold({ byteCount, metadata }: RecordFile): boolean {
  if (byteCount > MOST_BYTES_HELD) return true;
  const opened = metadata === null ? null : openSigmf(metadata, byteCount);
  if (opened === null || opened.kind === 'invalid') return false;
  return byteCount / (opened.reader.sampleBytes ?? byteCount) > MOST_SAMPLES_HELD;
}

export type NamedRecord = FileRecord & { readonly name: string };

/** The whole record. Throws UnusableInput with every fault of it. */
export function readRecord(session: Session, path: string, sampleRateHz: number | null = null): NamedRecord {
  return holdRecord(session, findRecord(session, path, sampleRateHz));
}

export function holdRecord(session: Session, file: RecordFile): NamedRecord {
  const { name, dataPath, metadata, sampleRateHz } = file;
  const data = readBytes(session, dataPath);
  const outcome = metadata === null ? readCsv(data, { sampleRateHz, sha512 }) : readSigmf(metadata, data, { sha512 });
  if (outcome.kind === 'invalid') throw new UnusableInput(name, outcome.issues);
  return { ...outcome.record, name };
}

export interface RecordPieces {
  /** Stored units per 1.0 of the samples, or null for numbers that are taken as they stand. */
  readonly fullScale: number | null;
  /** Reads all samples once; what is given to `take` is overwritten afterwards. Throws UnusableInput for faults. */
  readonly read: (take: (samples: ComplexSignal) => void, onShare: (ratio: number) => void) => Promise<FileFacts>;
}

/** The record in pieces of one mebibyte. The first reading checks the digest. */
export function piecesOf(session: Session, file: RecordFile): RecordPieces {
  let isFirst = true;
  const read: RecordPieces['read'] = async (take, onShare) => {
    const reader = readerOf(file, isFirst);
    isFirst = false;
    await readPieces(session, file, (bytes, doneRatio) => {
      take(reader.push(bytes));
      onShare(doneRatio);
    });
    take(reader.last());
    const end = reader.finish();
    if (end.kind === 'invalid') throw new UnusableInput(file.name, end.issues);
    return end.facts;
  };
  return { fullScale: readerOf(file, false).fullScale, read };
}

function readerOf({ name, byteCount, metadata, sampleRateHz }: RecordFile, isDigested: boolean): FileReader {
  const options = isDigested ? { digest: digest() } : {};
  if (metadata === null) return openCsv({ sampleRateHz, ...options });
  const opened = openSigmf(metadata, byteCount, options);
  if (opened.kind === 'invalid') throw new UnusableInput(name, opened.issues);
  return opened.reader;
}

async function readPieces(
  session: Session,
  { dataPath, byteCount }: RecordFile,
  take: (bytes: Uint8Array, doneRatio: number) => void,
): Promise<void> {
  let handle: FileHandle;
  try {
    handle = await open(resolve(session.folder, dataPath));
  } catch (error) {
    throw unusable(dataPath, 'must be a readable file', reasonOf(error), 'check the name');
  }
  try {
    // One buffer for all pieces: the memory does not grow with the record.
    const buffer = new Uint8Array(PIECE_BYTES);
    for (let position = 0; ; ) {
      const { bytesRead } = await handle.read(buffer, 0, PIECE_BYTES, position);
      if (bytesRead === 0) return;
      position += bytesRead;
      take(buffer.subarray(0, bytesRead), Math.min(1, position / byteCount));
    }
  } finally {
    await handle.close();
  }
}

/** Writes both files; returns their names. */
export function writeRecord(session: Session, path: string, source: SigmfSource): readonly [string, string] {
  const name = recordName(path);
  const { metadata, data } = writeSigmf(source, { sha512 });
  writeOut(session, `${name}${DATA}`, data);
  writeOut(session, `${name}${META}`, metadata);
  return [`${name}${META}`, `${name}${DATA}`];
}
