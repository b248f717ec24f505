// SigMF records by the name of either of their two files, or by what the two names share.
import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import { type FileRecord, readSigmf, type SigmfSource, writeSigmf } from '../../engine/index.ts';
import { type Session, UnusableInput } from '../session.ts';
import { readBytes, readText, writeOut } from './files.ts';

const META = '.sigmf-meta';
const DATA = '.sigmf-data';

const sha512 = (bytes: Uint8Array): string => createHash('sha512').update(bytes).digest('hex');

/** `name`, `name.sigmf-meta` and `name.sigmf-data` all name one record. */
export function recordName(path: string): string {
  const ending = [META, DATA].find((candidate) => path.endsWith(candidate));
  return ending === undefined ? path : path.slice(0, -ending.length);
}

/** Throws UnusableInput with every fault of the record. */
export function readRecord(session: Session, path: string): FileRecord & { readonly name: string } {
  const name = recordName(path);
  const metadata = readText(session, `${name}${META}`);
  const outcome = readSigmf(metadata, readBytes(session, `${name}${DATA}`), { sha512 });
  if (outcome.kind === 'invalid') throw new UnusableInput(name, outcome.issues);
  return { ...outcome.record, name: basename(name) };
}

/** Writes both files; returns their names. */
export function writeRecord(session: Session, path: string, source: SigmfSource): readonly [string, string] {
  const name = recordName(path);
  const { metadata, data } = writeSigmf(source, { sha512 });
  writeOut(session, `${name}${DATA}`, data);
  writeOut(session, `${name}${META}`, metadata);
  return [`${name}${META}`, `${name}${DATA}`];
}
