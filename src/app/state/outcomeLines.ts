// Outcomes as JSON Lines, one line a run, keyed by a hash of what was run: the same lines as the command line's store, so
// that neither computes what the other has.
import { sha256 } from '../../../shared/reports/sha256.ts';
import type { TaskOutcome } from '../../../shared/schema/studyReport.ts';

export function outcomeLines(known: ReadonlyMap<string, TaskOutcome>, version: string): string {
  return [...known].map(([key, outcome]) => `${JSON.stringify({ key: sha256(key), version, outcome })}\n`).join('');
}

/** Outcomes that were brought in, found by the key of what is to be run. */
export class Archive {
  readonly #outcomes = new Map<string, TaskOutcome>();
  readonly #hashes = new Map<string, string>();

  /** Takes the lines of this version; what cannot be used is counted and passed over. */
  take(text: string, version: string): { readonly taken: number; readonly damaged: number; readonly other: number } {
    const counts = { taken: 0, damaged: 0, other: 0 };
    for (const line of text.split('\n')) {
      if (line.trim() === '') continue;
      const entry = readEntry(line);
      if (entry === null) counts.damaged++;
      else if (entry.version !== version) counts.other++;
      else {
        this.#outcomes.set(entry.key, entry.outcome);
        counts.taken++;
      }
    }
    return counts;
  }

  find(key: string): TaskOutcome | null {
    if (this.#outcomes.size === 0) return null;
    const hash = this.#hashes.get(key) ?? sha256(key);
    this.#hashes.set(key, hash);
    return this.#outcomes.get(hash) ?? null;
  }
}

interface Entry {
  readonly key: string;
  readonly version: string;
  readonly outcome: TaskOutcome;
}

function readEntry(line: string): Entry | null {
  try {
    const value: unknown = JSON.parse(line);
    if (typeof value !== 'object' || value === null) return null;
    const { key, version, outcome } = value as Record<string, unknown>;
    if (typeof key !== 'string' || typeof version !== 'string' || !isOutcome(outcome)) return null;
    return { key, version, outcome };
  } catch {
    return null;
  }
}

/** Lines of the same version were written by this program: kind and parts tell them from anything else. */
function isOutcome(value: unknown): value is TaskOutcome {
  if (typeof value !== 'object' || value === null) return false;
  const { kind, readings, bursts, issues } = value as Record<string, unknown>;
  if (kind === 'invalid') return Array.isArray(issues);
  const part = kind === 'readings' ? readings : kind === 'bursts' ? bursts : null;
  return typeof part === 'object' && part !== null;
}
