// What the readers of all file formats give.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { ComplexSignal } from '../dsp/complex.ts';

/** Lower-case hexadecimal SHA-512 of bytes. The caller brings it: the engine has no access to the platform's own. */
export type Sha512 = (bytes: Uint8Array) => string;

/** The same for bytes in pieces. */
export interface Digest {
  readonly update: (bytes: Uint8Array) => void;
  readonly hex: () => string;
}

export interface FileFacts {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly centreFrequencyHz: number | null;
  readonly description: string;
  /** SigMF datatype, or "csv". */
  readonly datatype: string;
  /** Stored units per 1.0 of the samples (32768 for ci16), or null where numbers are taken as they stand. */
  readonly fullScale: number | null;
  /** SHA-512 of the file that holds the samples, lower-case hexadecimal; null when nobody computed it. */
  readonly sha512: string | null;
  /** What was assumed or not checked, one sentence each. */
  readonly notes: readonly string[];
}

export interface FileRecord extends FileFacts {
  readonly signal: ComplexSignal;
}

export type FileOutcome =
  | { readonly kind: 'record'; readonly record: FileRecord }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Reads a file in pieces. */
export interface FileReader {
  /** Bytes of one sample; null for text. */
  readonly sampleBytes: number | null;
  readonly fullScale: number | null;
  /** The samples of the next bytes, good until the next call; none once a fault was found. */
  readonly push: (bytes: Uint8Array) => ComplexSignal;
  /** After all bytes: samples held back, such as those of a last line without its end. Call it before `finish`. */
  readonly last: () => ComplexSignal;
  readonly finish: () =>
    | { readonly kind: 'facts'; readonly facts: FileFacts }
    | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };
}
