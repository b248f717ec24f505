// What SigMF metadata (v1.2.5) say of a record, checked strictly: every fault is listed with what and where.
import type { Issue } from '../../../shared/schema/issue.ts';
import { parseJsonText } from '../../../shared/schema/jsonText.ts';
import { DATATYPE_RULE, type Datatype, parseDatatype } from './datatype.ts';
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

/** What the samples need to be read, and what is told of them. */
export interface SigmfMetadata {
  readonly type: Datatype;
  readonly sampleRateHz: number;
  readonly centreFrequencyHz: number | null;
  readonly description: string;
  /** The digest stated, lower case, or null. */
  readonly sha512: string | null;
  readonly notes: readonly string[];
}

const TOP_LEVEL_KEYS = ['global', 'captures', 'annotations'] as const;

/** The metadata, null when they cannot be used, and every fault of them and of the data's size. */
export function readMetadata(
  text: string,
  dataByteCount: number,
): { readonly metadata: SigmfMetadata | null; readonly issues: Issue[]; readonly statedSha512: string | null } {
  const parsed = parseJsonText(text);
  if (parsed.kind === 'invalid') return { metadata: null, issues: [parsed.issue], statedSha512: null };
  const found = new Findings();
  const meta = parsed.value;
  if (!isObject(meta)) {
    found.fault('', 'must be an object { … }', meta, 'write global, captures and annotations');
    return { metadata: null, issues: found.issues, statedSha512: null };
  }
  checkTopLevel(meta, found);
  const global = isObject(meta['global']) ? meta['global'] : {};
  const captures = Array.isArray(meta['captures']) ? (meta['captures'] as unknown[]) : [];
  const annotations = Array.isArray(meta['annotations']) ? (meta['annotations'] as unknown[]) : [];
  const type = checkGlobal(global, isObject(meta['global']), found);
  const sampleCount = checkSize(dataByteCount, type, found);
  checkLists(captures, annotations, sampleCount, found);
  const statedSha512 = digestOf(global['core:sha512']);
  const isUsable = found.issues.length === 0 && type !== null;
  const metadata = isUsable ? summarize(type, global, captures, statedSha512, found) : null;
  return { metadata, issues: found.issues, statedSha512 };
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
function checkSize(byteCount: number, type: Datatype | null, found: Findings): number | null {
  if (byteCount === 0) {
    found.issues.push({
      path: 'data',
      rule: 'must hold samples',
      value: '0 bytes',
      remedy: 'give the record’s data file',
    });
    return null;
  }
  if (type === null) return null;
  const rest = byteCount % type.sampleBytes;
  if (rest !== 0) {
    const rule = `must be a whole number of ${type.sampleBytes}-byte ${type.name} samples`;
    const value = `${byteCount} bytes, ${rest} too many after sample ${(byteCount - rest) / type.sampleBytes - 1}`;
    found.issues.push({ path: 'data', rule, value, remedy: 'the file is truncated or core:datatype is wrong' });
  }
  return Math.floor(byteCount / type.sampleBytes);
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

function digestOf(digest: unknown): string | null {
  return typeof digest === 'string' && /^[0-9a-fA-F]{128}$/.test(digest) ? digest.toLowerCase() : null;
}

function summarize(
  type: Datatype,
  global: JsonObject,
  captures: readonly unknown[],
  sha512: string | null,
  found: Findings,
): SigmfMetadata {
  const first = captures[0];
  const frequency = isObject(first) ? first['core:frequency'] : undefined;
  const notes = [...found.notes];
  if (type.fullScale !== null) {
    const offset = type.number === 'unsigned' ? ` after ${type.fullScale} was taken off` : '';
    notes.push(`${type.name} samples were divided by ${type.fullScale}${offset}: full scale is 1.0`);
  }
  return {
    type,
    sampleRateHz: global['core:sample_rate'] as number,
    centreFrequencyHz: typeof frequency === 'number' ? frequency : null,
    description: typeof global['core:description'] === 'string' ? global['core:description'] : '',
    sha512,
    notes,
  };
}
