// SigMF records (v1.2.5): metadata text and data bytes to samples, and back. The reader is strict: it lists every fault
// with what and where, and reads nothing when there is one. Samples are never renormalised; the only scaling is the
// converter's full scale of fixed-point types, which is stated. The whole file is one record.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { type Datatype, decodeSamples, encodeFloat32 } from './datatype.ts';
import type { Digest, FileFacts, FileOutcome, FileReader, Sha512 } from './fileRecord.ts';
import { impossibleSample } from './plausibleSamples.ts';
import { readMetadata, type SigmfMetadata } from './sigmfMetadata.ts';

/** Reads a record; `metadata` is the text of the .sigmf-meta file, `data` the bytes of the .sigmf-data file. */
export function readSigmf(metadata: string, data: Uint8Array, options: { readonly sha512?: Sha512 } = {}): FileOutcome {
  const read = readMetadata(metadata, data.byteLength);
  const issues = [...read.issues];
  const sha512 = options.sha512 === undefined ? null : options.sha512(data).toLowerCase();
  const digestIssue = digestFault(read.statedSha512, sha512, data.byteLength);
  if (digestIssue !== null) issues.push(digestIssue);
  if (issues.length > 0 || read.metadata === null) return { kind: 'invalid', issues };
  const signal = decodeSamples(data, read.metadata.type);
  const fault = sampleFault(signal, 0, read.metadata.type);
  if (fault !== null) return { kind: 'invalid', issues: [fault] };
  return { kind: 'record', record: { signal, ...factsOf(read.metadata, signal.re.length, sha512) } };
}

/**
 * The same for data that arrive in pieces, in memory that does not grow with them. `byteCount`: of the whole data file.
 * Faults of the metadata are told before the first piece.
 */
export function openSigmf(
  metadata: string,
  byteCount: number,
  options: { readonly digest?: Digest } = {},
): { readonly kind: 'reader'; readonly reader: FileReader } | { readonly kind: 'invalid'; readonly issues: Issue[] } {
  const read = readMetadata(metadata, byteCount);
  if (read.metadata === null) return { kind: 'invalid', issues: read.issues };
  return { kind: 'reader', reader: sampleReader(read.metadata, byteCount, options.digest ?? null) };
}

function sampleReader(metadata: SigmfMetadata, byteCount: number, digest: Digest | null): FileReader {
  const { type } = metadata;
  const issues: Issue[] = [];
  // Bytes of a sample that a piece began and did not end.
  const rest = new Uint8Array(type.sampleBytes);
  let restCount = 0;
  let byteCountSeen = 0;
  let sampleCount = 0;
  let buffer = zeros(0);
  const push = (bytes: Uint8Array): ComplexSignal => {
    digest?.update(bytes);
    byteCountSeen += bytes.byteLength;
    const joined = restCount === 0 ? bytes : joinBytes(rest.subarray(0, restCount), bytes);
    const whole = joined.byteLength - (joined.byteLength % type.sampleBytes);
    rest.set(joined.subarray(whole));
    restCount = joined.byteLength - whole;
    if (issues.length > 0) return zeros(0);
    const count = whole / type.sampleBytes;
    if (buffer.re.length < count) buffer = zeros(count);
    const signal = decodeSamples(joined.subarray(0, whole), type, {
      re: buffer.re.subarray(0, count),
      im: buffer.im.subarray(0, count),
    });
    const fault = sampleFault(signal, sampleCount, type);
    sampleCount += count;
    if (fault === null) return signal;
    issues.push(fault);
    return zeros(0);
  };
  const finish = () => {
    const sha512 = digest === null ? null : digest.hex().toLowerCase();
    const digestIssue = digestFault(metadata.sha512, sha512, byteCountSeen);
    if (digestIssue !== null) issues.push(digestIssue);
    if (byteCountSeen !== byteCount) issues.push(changedFault(byteCount, byteCountSeen));
    if (issues.length > 0) return { kind: 'invalid' as const, issues };
    return { kind: 'facts' as const, facts: factsOf(metadata, sampleCount, sha512) };
  };
  return { sampleBytes: type.sampleBytes, fullScale: type.fullScale, push, last: () => zeros(0), finish };
}

function joinBytes(first: Uint8Array, second: Uint8Array): Uint8Array {
  const joined = new Uint8Array(first.byteLength + second.byteLength);
  joined.set(first);
  joined.set(second, first.byteLength);
  return joined;
}

function changedFault(expected: number, seen: number): Issue {
  return {
    path: 'data',
    rule: `must keep its ${expected} bytes while it is read`,
    value: `${seen} bytes`,
    remedy: 'wait until the record is written',
  };
}

function factsOf(metadata: SigmfMetadata, sampleCount: number, sha512: string | null): FileFacts {
  const { type, sampleRateHz, centreFrequencyHz, description } = metadata;
  const unchecked = metadata.sha512 !== null && sha512 === null ? ['core:sha512 was not checked'] : [];
  return {
    sampleRateHz,
    sampleCount,
    centreFrequencyHz,
    description,
    datatype: type.name,
    fullScale: type.fullScale,
    sha512,
    notes: [...metadata.notes, ...unchecked],
  };
}

function digestFault(stated: string | null, actual: string | null, byteCount: number): Issue | null {
  if (stated === null || actual === null || actual === stated) return null;
  return {
    path: 'data',
    rule: `must have the digest that global.core:sha512 states (${stated.slice(0, 12)}…)`,
    value: `${actual.slice(0, 12)}… over ${byteCount} bytes`,
    remedy: 'the file is truncated, changed or belongs to another record; fetch it again',
  };
}

function sampleFault(signal: ComplexSignal, before: number, type: Datatype): Issue | null {
  if (type.number !== 'float') return null;
  const remedy = `are these bytes really ${type.name}? check core:datatype`;
  return impossibleSample(signal, (n) => `data, sample ${before + n}`, remedy);
}

export interface SigmfSource {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
  readonly centreFrequencyHz: number | null;
  readonly description: string;
  /** Program that made the record. */
  readonly recorder: string;
}

/** A cf32_le record as the text and bytes of its two files. Throws RangeError for samples that are not finite. */
export function writeSigmf(
  source: SigmfSource,
  options: { readonly sha512: Sha512 },
): { readonly metadata: string; readonly data: Uint8Array<ArrayBuffer> } {
  const { signal, sampleRateHz, centreFrequencyHz } = source;
  for (let n = 0; n < signal.re.length; n++) {
    if (Number.isFinite(signal.re[n]) && Number.isFinite(signal.im[n])) continue;
    throw new RangeError(`writeSigmf: sample ${n} is ${printValue(signal.re[n])} + j·${printValue(signal.im[n])}`);
  }
  const data = encodeFloat32(signal);
  const metadata = {
    global: {
      'core:datatype': 'cf32_le',
      'core:version': '1.2.5',
      'core:sample_rate': sampleRateHz,
      'core:sha512': options.sha512(data),
      'core:description': source.description,
      'core:recorder': source.recorder,
    },
    captures: [
      { 'core:sample_start': 0, ...(centreFrequencyHz === null ? {} : { 'core:frequency': centreFrequencyHz }) },
    ],
    annotations: [],
  };
  return { metadata: `${JSON.stringify(metadata, null, 2)}\n`, data };
}
