// The worker's answers about records: reads files, keeps what runs may name. Apart from the entry, so that it can be
// tested over a MessageChannel.
import { transfer } from 'comlink';
import type { Issue } from '../../shared/schema/issue.ts';
import type { KeptRecord, RecordApi, RecordSource } from './recordProtocol.ts';

export interface FileOutcomeRecord {
  readonly signal: KeptRecord['signal'];
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly sha512: string | null;
  /** Stored units per 1.0 of the samples, or null where numbers are taken as they stand. */
  readonly fullScale: number | null;
  readonly notes: readonly string[];
}
export type FileOutcome =
  | { readonly kind: 'record'; readonly record: FileOutcomeRecord }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };
interface ReadOptions {
  readonly sha512?: (bytes: Uint8Array) => string;
}

/** The parts of the engine's interface that read files. */
export interface RecordEngine {
  readSigmf(metadata: string, data: Uint8Array, options: ReadOptions): FileOutcome;
  readCsv(data: Uint8Array, options: ReadOptions & { readonly sampleRateHz?: number | null }): FileOutcome;
}

/** Records by name. The same map is handed to the engine; memories made before a record was replaced are of the past. */
export class KeptRecords {
  readonly byName = new Map<string, KeptRecord>();
  /** Counts replacements: what was made of a replaced record must not be used again. */
  replacedCount = 0;

  keep(record: KeptRecord): void {
    if (this.byName.has(record.name)) this.replacedCount++;
    this.byName.set(record.name, record);
  }
}

/** Browsers compute digests on secure pages only; there is none elsewhere. */
async function digestOf(data: Uint8Array<ArrayBuffer>): Promise<string | null> {
  const subtle = globalThis.crypto?.subtle as SubtleCrypto | undefined;
  if (subtle === undefined) return null;
  const bytes = new Uint8Array(await subtle.digest('SHA-512', data));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Reads a record, and checks its digest where the browser computes one. */
export async function readSource(engine: RecordEngine, source: RecordSource): Promise<FileOutcome> {
  const digest = await digestOf(source.data);
  const options: ReadOptions = digest === null ? {} : { sha512: () => digest };
  if (source.format === 'sigmf') return engine.readSigmf(source.metadata, source.data, options);
  return engine.readCsv(source.data, { ...options, sampleRateHz: source.sampleRateHz });
}

export function createRecordApi(engine: RecordEngine, kept: KeptRecords): RecordApi {
  return {
    async readRecord(source) {
      const outcome = await readSource(engine, source);
      if (outcome.kind === 'invalid') return outcome;
      const { signal, sampleRateHz, sampleCount, sha512, notes } = outcome.record;
      const { name } = source;
      const answer = {
        kind: 'record' as const,
        record: { name, signal, sampleRateHz, sha512 },
        facts: { name, sampleRateHz, sampleCount, sha512, notes },
      };
      return transfer(answer, [...new Set([signal.re.buffer, signal.im.buffer])]);
    },
    async keepRecord(record) {
      kept.keep(record);
    },
  };
}
