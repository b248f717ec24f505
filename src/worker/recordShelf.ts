// The page's own copies of the records brought in. Workers come and go: each is told the records that its next request
// names, once.
import type { KeptRecord } from './recordProtocol.ts';

/** What a worker has been given, by name. */
export type GivenRecords = Map<string, KeptRecord>;

export class RecordShelf {
  readonly #records = new Map<string, KeptRecord>();

  /** Takes the place of a record of the same name. */
  add(record: KeptRecord): void {
    this.#records.set(record.name, record);
  }

  /** Records that a scenario names and a worker has not been given; notes them as given. */
  take(scenario: unknown, given: GivenRecords): KeptRecord[] {
    const wanted = namesIn(scenario).flatMap((name) => this.#records.get(name) ?? []);
    const missing = wanted.filter((record) => given.get(record.name) !== record);
    for (const record of missing) given.set(record.name, record);
    return missing;
  }
}

/** Names of records among the carriers of a scenario, each once; the input may be anything. */
function namesIn(scenario: unknown): string[] {
  const carriers = (scenario as { readonly waveform?: { readonly carriers?: unknown } } | null)?.waveform?.carriers;
  if (!Array.isArray(carriers)) return [];
  const names = carriers.map((carrier: { readonly recordName?: unknown } | null) => carrier?.recordName);
  return [...new Set(names.filter((name) => typeof name === 'string'))];
}

/** Of this page; the clients of the engine share it. */
export const pageRecords = new RecordShelf();
