// SigMF records (v1.2.5): metadata text and data bytes to samples, and back. The reader is strict: it lists every fault
// with what and where, and reads nothing when there is one. Samples are never renormalised; the only scaling is the
// converter's full scale of fixed-point types, which is stated. The whole file is one record.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import { parseJsonText } from '../../../shared/schema/jsonText.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { DATATYPE_RULE, type Datatype, decodeSamples, encodeFloat32, parseDatatype } from './datatype.ts';
import {
  ANNOTATION_KEYS,
  CAPTURE_KEYS,
  checkEdges,
  checkExtensions,
  checkKeys,
  checkStarts,
  Findings,
  GLOBAL_KEYS,
  isObject,
  type JsonObject,
} from './metadataRules.ts';

/** Lower-case hexadecimal SHA-512 of bytes. The caller brings it: the engine has no access to the platform's own. */
export type Sha512 = (bytes: Uint8Array) => string;

export interface SigmfRecord {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
  readonly centreFrequencyHz: number | null;
  readonly description: string;
  readonly datatype: string;
  /** Stored units per 1.0 of the samples (32768 for ci16), or null for floating point. */
  readonly fullScale: number | null;
  /** What was assumed or not checked, one sentence each. */
  readonly notes: readonly string[];
}

export type SigmfOutcome =
  | { readonly kind: 'record'; readonly record: SigmfRecord }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

const TOP_LEVEL_KEYS = ['global', 'captures', 'annotations'] as const;
/** Larger magnitudes come of bytes read as the wrong type; no converter and no simulation gives them. */
const PLAUSIBLE_MAGNITUDE = 1e15;

/** Reads a record; `metadata` is the text of the .sigmf-meta file, `data` the bytes of the .sigmf-data file. */
export function readSigmf(
  metadata: string,
  data: Uint8Array,
  options: { readonly sha512?: Sha512 } = {},
): SigmfOutcome {
  const parsed = parseJsonText(metadata);
  if (parsed.kind === 'invalid') return { kind: 'invalid', issues: [parsed.issue] };
  const found = new Findings();
  const meta = parsed.value;
  if (!isObject(meta)) {
    found.fault('', 'must be an object { … }', meta, 'write global, captures and annotations');
    return { kind: 'invalid', issues: found.issues };
  }
  checkTopLevel(meta, found);
  const global = isObject(meta['global']) ? meta['global'] : {};
  const captures = Array.isArray(meta['captures']) ? (meta['captures'] as unknown[]) : [];
  const annotations = Array.isArray(meta['annotations']) ? (meta['annotations'] as unknown[]) : [];
  const type = checkGlobal(global, isObject(meta['global']), found);
  const sampleCount = checkSize(data, type, found);
  checkLists(captures, annotations, sampleCount, found);
  checkDigest(global['core:sha512'], data, options.sha512, found);
  if (found.issues.length > 0 || type === null) return { kind: 'invalid', issues: found.issues };
  const signal = decodeSamples(data, type);
  checkSamples(signal, type, found);
  if (found.issues.length > 0) return { kind: 'invalid', issues: found.issues };
  return { kind: 'record', record: summarize(signal, type, global, captures, found) };
}

function checkTopLevel(meta: JsonObject, found: Findings): void {
  for (const key of Object.keys(meta)) {
    if ((TOP_LEVEL_KEYS as readonly string[]).includes(key)) continue;
    found.fault(key, `is not one of ${TOP_LEVEL_KEYS.join(', ')}`, meta[key], 'remove it or move it into global');
  }
  if (!isObject(meta['global'])) {
    const rule = meta['global'] === undefined ? 'is required' : 'must be an object { … }';
    found.fault('global', rule, meta['global'], 'add global with core:datatype and core:version');
  }
  for (const key of ['captures', 'annotations'] as const) {
    if (Array.isArray(meta[key])) continue;
    const rule = meta[key] === undefined ? 'is required' : 'must be a list [ … ]';
    found.fault(key, rule, meta[key], 'write [] when there is nothing to say');
  }
}

function checkGlobal(global: JsonObject, isThere: boolean, found: Findings): Datatype | null {
  if (!isThere) return null;
  checkKeys(global, 'global', GLOBAL_KEYS, found);
  if (global['core:extensions'] !== undefined) checkExtensions(global['core:extensions'], found);
  checkVersion(global['core:version'], found);
  if (global['core:sample_rate'] === undefined) {
    found.fault('global.core:sample_rate', 'is required to place frequencies', undefined, 'give the sample rate in Hz');
  }
  return checkDatatype(global['core:datatype'], found);
}

function checkVersion(version: unknown, found: Findings): void {
  const path = 'global.core:version';
  if (version === undefined) found.fault(path, 'is required', version, 'write for example "1.2.5"');
  if (typeof version !== 'string') return;
  if (!/^\d+\.\d+\.\d+$/.test(version)) {
    found.fault(path, 'must be a version X.Y.Z', version, 'write for example "1.2.5"');
  } else if (!version.startsWith('1.')) {
    found.fault(path, 'must be a version 1.Y.Z', version, 'convert the metadata to SigMF 1');
  }
}

function checkDatatype(name: unknown, found: Findings): Datatype | null {
  const path = 'global.core:datatype';
  if (name === undefined) found.fault(path, 'is required', name, 'write for example "cf32_le" or "ci16_le"');
  if (typeof name !== 'string') return null;
  const type = parseDatatype(name);
  if (type === null) {
    found.fault(path, DATATYPE_RULE, name, 'write for example "cf32_le" or "ci16_le"');
    return null;
  }
  if (type.isComplex) return type;
  const complexName = `c${name.slice(1)}`;
  found.fault(path, 'must be complex: the record is read as complex baseband', name, `give a ${complexName} record`);
  return null;
}

/** Whole samples in the file, or null when they cannot be counted. */
function checkSize(data: Uint8Array, type: Datatype | null, found: Findings): number | null {
  if (data.byteLength === 0) {
    found.issues.push({
      path: 'data',
      rule: 'must hold samples',
      value: '0 bytes',
      remedy: 'give the record’s data file',
    });
    return null;
  }
  if (type === null) return null;
  const rest = data.byteLength % type.sampleBytes;
  if (rest !== 0) {
    const rule = `must be a whole number of ${type.sampleBytes}-byte ${type.name} samples`;
    const value = `${data.byteLength} bytes, ${rest} too many after sample ${(data.byteLength - rest) / type.sampleBytes - 1}`;
    found.issues.push({ path: 'data', rule, value, remedy: 'the file is truncated or core:datatype is wrong' });
  }
  return Math.floor(data.byteLength / type.sampleBytes);
}

function checkLists(
  captures: readonly unknown[],
  annotations: readonly unknown[],
  sampleCount: number | null,
  found: Findings,
): void {
  for (const [list, path, rules] of [
    [captures, 'captures', CAPTURE_KEYS],
    [annotations, 'annotations', ANNOTATION_KEYS],
  ] as const) {
    list.forEach((item, i) => {
      if (isObject(item)) checkKeys(item, `${path}.${i}`, rules, found);
    });
    checkStarts(list, path, sampleCount, found);
  }
  checkEdges(annotations, found);
  const frequencies = new Set(captures.filter(isObject).map((capture) => capture['core:frequency']));
  if (frequencies.size > 1) {
    const rule = 'must share one core:frequency: the file is read as one record';
    found.fault('captures', rule, [...frequencies], 'write one record a frequency');
  }
}

function checkDigest(digest: unknown, data: Uint8Array, sha512: Sha512 | undefined, found: Findings): void {
  if (typeof digest !== 'string' || !/^[0-9a-fA-F]{128}$/.test(digest)) return;
  if (sha512 === undefined) {
    found.notes.push('core:sha512 was not checked');
    return;
  }
  const actual = sha512(data);
  if (actual.toLowerCase() === digest.toLowerCase()) return;
  found.issues.push({
    path: 'data',
    rule: `must have the digest that global.core:sha512 states (${digest.slice(0, 12)}…)`,
    value: `${actual.slice(0, 12)}… over ${data.byteLength} bytes`,
    remedy: 'the file is truncated, changed or belongs to another record; fetch it again',
  });
}

function checkSamples(signal: ComplexSignal, type: Datatype, found: Findings): void {
  if (type.number !== 'float') return;
  for (let n = 0; n < signal.re.length; n++) {
    const largest = Math.max(Math.abs(signal.re[n]), Math.abs(signal.im[n]));
    if (largest <= PLAUSIBLE_MAGNITUDE) continue;
    const value = `${signal.re[n]} + j·${signal.im[n]}`;
    found.issues.push({
      path: `data, sample ${n}`,
      rule: `must be a finite number below ${PLAUSIBLE_MAGNITUDE}`,
      value,
      remedy: `are these bytes really ${type.name}? check core:datatype`,
    });
    return;
  }
}

function summarize(
  signal: ComplexSignal,
  type: Datatype,
  global: JsonObject,
  captures: readonly unknown[],
  found: Findings,
): SigmfRecord {
  const first = captures[0];
  const frequency = isObject(first) ? first['core:frequency'] : undefined;
  const notes = [...found.notes];
  if (type.fullScale !== null) {
    const offset = type.number === 'unsigned' ? ` after ${type.fullScale} was taken off` : '';
    notes.push(`${type.name} samples were divided by ${type.fullScale}${offset}: full scale is 1.0`);
  }
  return {
    signal,
    sampleRateHz: global['core:sample_rate'] as number,
    centreFrequencyHz: typeof frequency === 'number' ? frequency : null,
    description: typeof global['core:description'] === 'string' ? global['core:description'] : '',
    datatype: type.name,
    fullScale: type.fullScale,
    notes,
  };
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
