// What the page and a worker say to each other about records from files.
import type { Issue } from '../../shared/schema/issue.ts';

/** The bytes of one record as they were dropped: of SigMF both files, of CSV the one. */
export type RecordSource =
  | {
      readonly format: 'sigmf';
      readonly name: string;
      readonly metadata: string;
      readonly data: Uint8Array<ArrayBuffer>;
    }
  | {
      readonly format: 'csv';
      readonly name: string;
      readonly data: Uint8Array<ArrayBuffer>;
      /** Where the file states none. */
      readonly sampleRateHz: number | null;
    };

/** As scenarios know it; the engine's own type. */
export interface KeptRecord {
  readonly name: string;
  readonly signal: { readonly re: Float64Array<ArrayBuffer>; readonly im: Float64Array<ArrayBuffer> };
  readonly sampleRateHz: number;
  readonly sha512: string | null;
}

/** What is told of a record. */
export interface RecordFacts {
  readonly name: string;
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  /** SHA-512 of the samples' file, or null where the browser does not compute one. */
  readonly sha512: string | null;
  readonly notes: readonly string[];
}

export type RecordOutcome =
  | { readonly kind: 'record'; readonly record: KeptRecord; readonly facts: RecordFacts }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** The worker's side of the conversation. */
export interface RecordApi {
  /** Reads and checks a record; its samples are transferred. The worker does not keep it. */
  readRecord(source: RecordSource): Promise<RecordOutcome>;
  /** Keeps a record under its name for the runs and studies that follow; takes the place of one of the same name. */
  keepRecord(record: KeptRecord): Promise<void>;
}
