// Files in and out, with the user's mistakes told as issues.
import { mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { parseJsonText } from '../../../shared/schema/jsonText.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'no such file or folder',
  EACCES: 'permission denied',
  EPERM: 'permission denied',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of the path is not a folder',
  ENOSPC: 'no space left',
  EROFS: 'the file system is read-only',
};

export function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  return REASONS[code] ?? (error instanceof Error ? error.message : String(error));
}

export function isFile(session: Session, path: string): boolean {
  return statSync(resolve(session.folder, path), { throwIfNoEntry: false })?.isFile() ?? false;
}

export function readBytes(session: Session, path: string): Uint8Array {
  try {
    return readFileSync(resolve(session.folder, path));
  } catch (error) {
    throw unusable(path, 'must be a readable file', reasonOf(error), 'check the name');
  }
}

export function readText(session: Session, path: string): string {
  return Buffer.from(readBytes(session, path)).toString('utf8');
}

/** The value of a JSON file; `-` is standard input. */
export function readJson(session: Session, path: string): unknown {
  const outcome = parseJsonText(path === '-' ? session.readStdin() : readText(session, path));
  if (outcome.kind === 'invalid') throw new UnusableInput(path, [outcome.issue]);
  return outcome.value;
}

/** Writes a file and the folders above it. */
export function writeOut(session: Session, path: string, content: string | Uint8Array): void {
  const file = resolve(session.folder, path);
  try {
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, content);
  } catch (error) {
    throw unusable(path, 'must be a place that can be written', reasonOf(error), 'pick another place');
  }
}
