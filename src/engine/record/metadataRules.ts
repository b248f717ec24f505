// The strict rules of SigMF metadata, object by object; every fault is listed. Source: SigMF v1.2.5, sections "Global
// Object", "Captures Array", "Annotations Array" (as read for the project's standards sheet).
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import { isPlausibleRate, RATE_REMEDY, RATE_RULE } from './sampleRate.ts';

export type JsonObject = Readonly<Record<string, unknown>>;

/** Collects issues under one path. */
export class Findings {
  readonly issues: Issue[] = [];
  readonly notes: string[] = [];

  fault(path: string, rule: string, value: unknown, remedy: string): void {
    this.issues.push({ path, rule, value: printValue(value), remedy });
  }
}

export function isObject(value: unknown): value is JsonObject {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

interface KeyRule {
  readonly isValid: (value: unknown) => boolean;
  readonly rule: string;
  readonly remedy: string;
}

const isText = (value: unknown): boolean => typeof value === 'string';
const isCount = (value: unknown): boolean => Number.isSafeInteger(value) && (value as number) >= 0;
const isNumber = (value: unknown): boolean => typeof value === 'number' && Number.isFinite(value);

const text: KeyRule = { isValid: isText, rule: 'must be text', remedy: 'put it in quotation marks' };
const index: KeyRule = { isValid: isCount, rule: 'must be a whole number from 0', remedy: 'count samples from 0' };
const hertz: KeyRule = { isValid: isNumber, rule: 'must be a number in Hz', remedy: 'give the frequency in Hz' };
const anything: KeyRule = { isValid: () => true, rule: '', remedy: '' };

/** Keys the standard defines for each object, with the rule of each value. */
export const GLOBAL_KEYS: Readonly<Record<string, KeyRule>> = {
  'core:datatype': text,
  'core:version': text,
  'core:sample_rate': {
    isValid: isPlausibleRate,
    rule: RATE_RULE,
    remedy: RATE_REMEDY,
  },
  'core:num_channels': {
    isValid: (value) => value === 1,
    rule: 'must be 1: a record of several interleaved channels is not read',
    remedy: 'write one file a channel',
  },
  'core:sha512': {
    isValid: (value) => isText(value) && /^[0-9a-fA-F]{128}$/.test(value as string),
    rule: 'must be 128 hexadecimal digits',
    remedy: 'write the SHA-512 digest of the data file, or leave it out',
  },
  'core:metadata_only': {
    isValid: (value) => value === false,
    rule: 'must be false: metadata without samples hold nothing to read',
    remedy: 'give the record that holds the samples',
  },
  'core:dataset': {
    isValid: () => false,
    rule: 'names a data file of another format, which is not read',
    remedy: 'convert the record to a conforming .sigmf-data file',
  },
  'core:trailing_bytes': {
    isValid: (value) => value === 0,
    rule: 'must be 0: bytes after the samples are not read',
    remedy: 'cut them off the data file',
  },
  'core:offset': index,
  'core:description': text,
  'core:author': text,
  'core:hw': text,
  'core:recorder': text,
  'core:license': text,
  'core:data_doi': text,
  'core:meta_doi': text,
  'core:collection': text,
  'core:geolocation': anything,
  'core:extensions': anything,
};

export const CAPTURE_KEYS: Readonly<Record<string, KeyRule>> = {
  'core:sample_start': index,
  'core:frequency': hertz,
  'core:global_index': index,
  'core:datetime': {
    isValid: (value) => isText(value) && /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/.test(value as string),
    rule: 'must be an ISO-8601 time that ends in Z',
    remedy: 'write for example 2024-05-01T12:00:00Z',
  },
  'core:header_bytes': {
    isValid: (value) => value === 0,
    rule: 'must be 0: bytes before the samples are not read',
    remedy: 'cut them off the data file',
  },
  'core:geolocation': anything,
};

export const ANNOTATION_KEYS: Readonly<Record<string, KeyRule>> = {
  'core:sample_start': index,
  'core:sample_count': index,
  'core:freq_lower_edge': hertz,
  'core:freq_upper_edge': hertz,
  'core:label': text,
  'core:comment': text,
  'core:generator': text,
  'core:uuid': text,
};

/** Checks the keys and values of one object. Unknown `core:` keys are noted, keys without a namespace are faults. */
export function checkKeys(
  object: JsonObject,
  path: string,
  rules: Readonly<Record<string, KeyRule>>,
  found: Findings,
): void {
  for (const [key, value] of Object.entries(object)) {
    const rule = Object.hasOwn(rules, key) ? rules[key] : undefined;
    if (rule !== undefined) {
      if (!rule.isValid(value)) found.fault(`${path}.${key}`, rule.rule, value, rule.remedy);
      continue;
    }
    const near = nearest(key, Object.keys(rules));
    const hint = near === null ? '' : `; did you mean ${near}?`;
    if (!key.includes(':')) {
      found.fault(`${path}.${key}`, 'has no namespace', value, `write "core:${key}" or a namespace of your own${hint}`);
    } else if (key.startsWith('core:')) {
      found.notes.push(`${path}.${key} is not a key of SigMF 1.2 and was ignored${hint}`);
    }
  }
}

/** `core:extensions`: an extension that is not optional must be known, and none is. */
export function checkExtensions(value: unknown, found: Findings): void {
  const path = 'global.core:extensions';
  if (!Array.isArray(value)) {
    found.fault(path, 'must be a list', value, 'write [ { "name", "version", "optional" } ]');
    return;
  }
  value.forEach((extension: unknown, i) => {
    if (!isObject(extension) || !isText(extension['name']) || typeof extension['optional'] !== 'boolean') {
      found.fault(`${path}.${i}`, 'must hold name, version and optional', extension, 'name the extension');
    } else if (!extension['optional']) {
      const name = printValue(extension['name']);
      found.fault(
        `${path}.${i}`,
        `asks for the extension ${name}, without which the record must not be read`,
        extension,
        'mark it optional if the samples can be read without it',
      );
    }
  });
}

/** Starts of captures or annotations: present, rising, inside the file. */
export function checkStarts(list: readonly unknown[], path: string, sampleCount: number | null, found: Findings): void {
  let previous = 0;
  list.forEach((item, i) => {
    if (!isObject(item)) {
      found.fault(`${path}.${i}`, 'must be an object { … }', item, 'write an object with named fields');
      return;
    }
    const start = item['core:sample_start'];
    const at = `${path}.${i}.core:sample_start`;
    if (start === undefined) found.fault(at, 'is required', start, 'say at which sample it starts');
    if (!isCount(start)) return;
    const first = start as number;
    if (first < previous)
      found.fault(at, `must not lie before the entry above it (${previous})`, first, 'sort the list');
    previous = first;
    if (sampleCount === null) return;
    if (first >= sampleCount && !(first === 0 && sampleCount === 0)) {
      found.fault(at, `must lie within the file, which holds ${sampleCount} samples`, first, 'is the file truncated?');
    }
    const count = item['core:sample_count'];
    if (isCount(count) && first < sampleCount && first + (count as number) > sampleCount) {
      const rule = `must end within the file, which holds ${sampleCount} samples`;
      found.fault(`${path}.${i}.core:sample_count`, rule, count, 'is the file truncated?');
    }
  });
}

/** Both edges of an annotation or neither. */
export function checkEdges(list: readonly unknown[], found: Findings): void {
  list.forEach((item, i) => {
    if (!isObject(item)) return;
    const [lower, upper] = [item['core:freq_lower_edge'], item['core:freq_upper_edge']];
    if ((lower === undefined) === (upper === undefined)) return;
    const missing = lower === undefined ? 'core:freq_lower_edge' : 'core:freq_upper_edge';
    found.fault(
      `annotations.${i}.${missing}`,
      'is required beside the other edge',
      undefined,
      'give both edges or none',
    );
  });
}
