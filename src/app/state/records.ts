// Records brought in as files: which files belong together, what was wrong with them, and which carrier they become. The
// engine reads them; the page keeps them until it is closed and writes only name and digest into the scenario.
import type { Issue } from '../../../shared/schema/issue.ts';
import { startCarrier } from '../../../shared/schema/starts.ts';
import type { RecordFacts, RecordSource, SupplyOutcome } from '../../worker/client.ts';
import type { AppState } from './appState.ts';
import type { Store } from './store.ts';

/** What is asked of the engine's client; a test brings its own. */
export interface RecordReader {
  supplyRecord(source: RecordSource): Promise<SupplyOutcome>;
}

/** What is done to the scenario. */
export interface ScenarioEditor {
  edit(path: string, value: unknown, live: boolean): void;
}

/** The parts of a dropped file that are used. */
export interface BroughtFile {
  readonly name: string;
  readonly size: number;
  text(): Promise<string>;
  arrayBuffer(): Promise<ArrayBuffer>;
}

/** Why a record was not taken. */
export interface RecordFault {
  readonly name: string;
  readonly issues: readonly Issue[];
}

export type RecordAnswer =
  | { readonly kind: 'taken'; readonly message: string }
  | { readonly kind: 'refused'; readonly faults: readonly RecordFault[] };

/** The files of one record. */
export type FileSet =
  | { readonly format: 'sigmf'; readonly name: string; readonly metadata: BroughtFile; readonly data: BroughtFile }
  | { readonly format: 'csv'; readonly name: string; readonly data: BroughtFile };

/** Samples are unpacked to 16 bytes each on several threads: more than this has no room in a page. */
const MOST_BYTES = 512 * 2 ** 20;
const ENDINGS = /\.(sigmf-meta|sigmf-data|csv|txt)$/i;

/** Puts the two files of each SigMF record together; a half without the other is a fault. */
export function sortFiles(files: readonly BroughtFile[]): { sets: FileSet[]; faults: RecordFault[] } {
  const halves = new Map<string, { meta?: BroughtFile; data?: BroughtFile }>();
  const sets: FileSet[] = [];
  const faults: RecordFault[] = [];
  for (const file of files) {
    const ending = ENDINGS.exec(file.name)?.[1]?.toLowerCase();
    const name = file.name.replace(ENDINGS, '');
    if (ending === 'csv' || ending === 'txt') sets.push({ format: 'csv', name, data: file });
    else if (ending === 'sigmf-meta') halves.set(name, { ...halves.get(name), meta: file });
    else if (ending === 'sigmf-data') halves.set(name, { ...halves.get(name), data: file });
    else faults.push(fault(file.name, 'must be .sigmf-meta with .sigmf-data, or .csv', file.name, 'choose such files'));
  }
  for (const [name, { meta, data }] of halves) {
    if (meta !== undefined && data !== undefined) sets.push({ format: 'sigmf', name, metadata: meta, data });
    else {
      const lacking = meta === undefined ? 'sigmf-meta' : 'sigmf-data';
      const there = meta === undefined ? 'sigmf-data' : 'sigmf-meta';
      faults.push(
        fault(name, `lacks its .${lacking} file`, `${name}.${there} alone`, 'choose both files of the pair together'),
      );
    }
  }
  return { sets, faults };
}

function fault(name: string, rule: string, value: string, remedy: string): RecordFault {
  return { name, issues: [{ path: 'record', rule, value, remedy }] };
}

/** Reads the files; each call gives bytes of its own, to be transferred. */
export async function sourceOf(set: FileSet, sampleRateHz: number | null): Promise<RecordSource> {
  const data = new Uint8Array(await set.data.arrayBuffer());
  const { name } = set;
  if (set.format === 'csv') return { format: 'csv', name, data, sampleRateHz };
  return { format: 'sigmf', name, metadata: await set.metadata.text(), data };
}

export class RecordController {
  readonly #store: Store<AppState>;
  readonly #reader: RecordReader;
  readonly #scenario: ScenarioEditor;

  constructor(store: Store<AppState>, reader: RecordReader, scenario: ScenarioEditor) {
    this.#store = store;
    this.#reader = reader;
    this.#scenario = scenario;
  }

  /**
   * Reads files and uses the first record: for the carrier at an index, where the scenario names it already, or as the
   * whole waveform. `sampleRateHz` is for CSV that states none. Rejects when the engine or the browser fails.
   */
  async bringIn(
    files: readonly BroughtFile[],
    carrierIndex: number | null,
    sampleRateHz: number | null = null,
  ): Promise<RecordAnswer> {
    const { sets, faults } = sortFiles(files);
    const taken: RecordFacts[] = [];
    for (const set of sets) {
      const outcome = await this.#read(set, sampleRateHz);
      if (outcome.kind === 'record') taken.push(outcome.facts);
      else faults.push({ name: set.name, issues: outcome.issues });
    }
    if (taken.length > 0) this.#remember(taken);
    const [first] = taken;
    if (faults.length > 0 || first === undefined) return { kind: 'refused', faults };
    return { kind: 'taken', message: this.#use(first, carrierIndex) };
  }

  async #read(set: FileSet, sampleRateHz: number | null): Promise<SupplyOutcome> {
    if (set.data.size > MOST_BYTES) {
      const rule = `must be at most ${MOST_BYTES / 2 ** 20} MiB in this page`;
      const value = `${Math.ceil(set.data.size / 2 ** 20)} MiB`;
      const remedy = 'cut it, or measure it on the command line, which reads records of any length';
      return { kind: 'invalid', issues: [{ path: 'record', rule, value, remedy }] };
    }
    return this.#reader.supplyRecord(await sourceOf(set, sampleRateHz));
  }

  #remember(taken: readonly RecordFacts[]): void {
    const names = new Set(taken.map(({ name }) => name));
    const others = this.#store.state.records.filter(({ name }) => !names.has(name));
    this.#store.update({ records: [...others, ...taken], block: 'data' });
  }

  /** Name and digest go into the scenario; a scenario that names the record keeps what it says and is run again. */
  #use({ name, sha512 }: RecordFacts, carrierIndex: number | null): string {
    const { draft } = this.#store.state;
    const { carriers } = draft.waveform;
    const isNamed = carriers.some((carrier) => carrier.kind === 'record' && carrier.recordName === name);
    const chosen = carrierIndex === null ? undefined : carriers[carrierIndex];
    if (chosen !== undefined && !(chosen.kind === 'record' && chosen.recordName === name)) {
      const start = chosen.kind === 'record' ? chosen : startCarrier('record', 0);
      this.#scenario.edit(`waveform.carriers.${carrierIndex}`, { ...start, recordName: name, sha512 }, false);
      return `carrier ${(carrierIndex ?? 0) + 1} is now the record ${name}`;
    }
    if (isNamed) {
      this.#scenario.edit('waveform.carriers', [...carriers], false);
      return `the record ${name} is here`;
    }
    const carrier = { ...startCarrier('record', 0), recordName: name, sha512 };
    // A record's symbols are not known, so that no EVM can be held against a limit.
    const limits = draft.limits.filter(({ reading }) => reading !== 'evm');
    const waveform = { ...draft.waveform, carriers: [carrier] };
    this.#scenario.edit('', { ...draft, waveform, limits }, false);
    const without = limits.length < draft.limits.length ? ', without the EVM limit' : '';
    return `the record ${name} is the waveform now${without}; Undo brings back what was`;
  }
}
