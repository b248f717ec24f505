// The result store: one line of JSON for each run, keyed by a hash of what was run and in which version, so that nothing
// already computed is computed again. Lines are only ever added; a line that cannot be used is told and passed over.
import { createHash } from 'node:crypto';
import { appendFileSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { ENGINE_VERSION, type TaskOutcome } from '../../engine/index.ts';
import { reasonOf } from '../input/files.ts';
import { type Session, unusable } from '../session.ts';

export interface ResultStore {
  /** Outcomes of this version, by the hash of their key. */
  readonly outcomeOf: (key: string) => TaskOutcome | null;
  readonly add: (key: string, outcome: TaskOutcome) => void;
  /** Lines that could not be used, and outcomes of other versions, in words. */
  readonly notes: readonly string[];
}

/** Keeps nothing. */
export const NO_STORE: ResultStore = { outcomeOf: () => null, add: () => {}, notes: [] };

/** SHA-256 of a task's key, in hexadecimal digits. */
export function keyHash(key: string): string {
  return createHash('sha256').update(key).digest('hex');
}

/** Opens a store, or begins one where there is no file. */
export function openStore(session: Session, path: string): ResultStore {
  const file = resolve(session.folder, path);
  const text = readIfThere(path, file);
  const { outcomes, notes } = readLines(path, text);
  // A process that was killed while it wrote leaves a line without its end.
  let needsLineEnd = text !== '' && !text.endsWith('\n');
  return {
    notes,
    outcomeOf: (key) => outcomes.get(keyHash(key)) ?? null,
    add: (key, outcome) => {
      const hash = keyHash(key);
      if (outcomes.has(hash)) return;
      outcomes.set(hash, outcome);
      const line = JSON.stringify({ key: hash, version: ENGINE_VERSION, outcome });
      append(path, file, `${needsLineEnd ? '\n' : ''}${line}\n`);
      needsLineEnd = false;
    },
  };
}

function readIfThere(path: string, file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return '';
    throw unusable(path, 'must be a readable file', reasonOf(error), 'check the name');
  }
}

function append(path: string, file: string, text: string): void {
  try {
    mkdirSync(dirname(file), { recursive: true });
    appendFileSync(file, text);
  } catch (error) {
    throw unusable(path, 'must be a place that can be written', reasonOf(error), 'pick another place');
  }
}

function readLines(path: string, text: string) {
  const outcomes = new Map<string, TaskOutcome>();
  const notes: string[] = [];
  let otherCount = 0;
  text.split('\n').forEach((line, i) => {
    if (line.trim() === '') return;
    const entry = readEntry(line);
    if (entry === null) notes.push(`${path}: line ${i + 1} is damaged; its run is computed again`);
    else if (entry.version !== ENGINE_VERSION) otherCount++;
    else outcomes.set(entry.key, entry.outcome);
  });
  if (otherCount > 0) {
    notes.push(
      `${path}: ${otherCount} ${otherCount === 1 ? 'result is' : 'results are'} of another version and not used`,
    );
  }
  return { outcomes, notes };
}

interface Entry {
  readonly key: string;
  readonly version: string;
  readonly outcome: TaskOutcome;
}

function readEntry(line: string): Entry | null {
  let value: unknown;
  try {
    value = JSON.parse(line);
  } catch {
    return null;
  }
  if (typeof value !== 'object' || value === null) return null;
  const { key, version, outcome } = value as Record<string, unknown>;
  if (typeof key !== 'string' || typeof version !== 'string' || !isOutcome(outcome)) return null;
  return { key, version, outcome };
}

/** Lines of the same version were written by this program: their kind and their parts tell them from anything else. */
function isOutcome(value: unknown): value is TaskOutcome {
  if (typeof value !== 'object' || value === null) return false;
  const { kind, readings, bursts, issues } = value as Record<string, unknown>;
  if (kind === 'invalid') return Array.isArray(issues);
  const part = kind === 'readings' ? readings : kind === 'bursts' ? bursts : null;
  return typeof part === 'object' && part !== null;
}
