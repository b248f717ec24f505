// From unknown data to a scenario, or to the list of all its faults.
import * as v from 'valibot';
import { RULE_END } from './field.ts';
import { type Issue, printValue } from './issue.ts';
import {
  amplifierSchema,
  measurementSchema,
  operatingPointSchema,
  predistorterSchema,
  type Scenario,
  scenarioSchema,
  waveformSchema,
} from './scenario.ts';

export type ParseOutcome =
  | { readonly kind: 'scenario'; readonly scenario: Scenario }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Checks the shape, types and ranges of a scenario and fills in defaults. Faults between fields are the engine's. */
export function parseScenario(input: unknown): ParseOutcome {
  // The validator takes a list for an object without fields.
  if (Array.isArray(input)) {
    const remedy = 'write an object with named fields';
    return {
      kind: 'invalid',
      issues: [{ path: '', rule: 'must be an object { … }', value: printValue(input), remedy }],
    };
  }
  const result = v.safeParse(scenarioSchema, input);
  if (result.success) return { kind: 'scenario', scenario: result.output };
  return { kind: 'invalid', issues: result.issues.map(toIssue) };
}

/** The sections of a scenario that are sound by themselves; null for those that are not. */
export interface SoundSections {
  readonly waveform: Scenario['waveform'] | null;
  readonly amplifier: Scenario['amplifier'] | null;
  readonly operatingPoint: Scenario['operatingPoint'] | null;
  readonly predistorter: Scenario['predistorter'];
  readonly measurement: Scenario['measurement'] | null;
}

/** Lets faults between fields be found although another section is at fault. */
export function parseSoundSections(input: unknown): SoundSections {
  const record = (typeof input === 'object' && input !== null ? input : {}) as Record<string, unknown>;
  const waveform = v.safeParse(waveformSchema, record['waveform']);
  const amplifier = v.safeParse(amplifierSchema, record['amplifier']);
  const operatingPoint = v.safeParse(operatingPointSchema, record['operatingPoint']);
  const predistorter = v.safeParse(v.nullable(predistorterSchema), record['predistorter'] ?? {});
  const measurement = v.safeParse(measurementSchema, record['measurement'] ?? {});
  return {
    waveform: waveform.success ? waveform.output : null,
    amplifier: amplifier.success ? amplifier.output : null,
    operatingPoint: operatingPoint.success ? operatingPoint.output : null,
    predistorter: predistorter.success ? predistorter.output : null,
    measurement: measurement.success ? measurement.output : null,
  };
}

/** Turns a validator's issue into ours: path, rule, value, remedy. */
export function toIssue(issue: v.BaseIssue<unknown>): Issue {
  const path = (issue.path ?? []).map((item) => String((item as { key: unknown }).key)).join('.');
  const value = printValue(issue.input);
  const name = path.split('.').at(-1) ?? '';
  if (issue.type === 'strict_object') return objectIssue(issue, path, name);
  if (issue.message.includes(RULE_END)) {
    const [rule = '', remedy = ''] = issue.message.split(RULE_END);
    return { path, rule, value, remedy };
  }
  return { path, rule: `must be ${issue.expected ?? 'valid'}`, value, remedy: 'correct it' };
}

function objectIssue(issue: v.BaseIssue<unknown>, path: string, name: string): Issue {
  if (issue.expected === 'never') {
    const near = nearest(name, allKeys());
    const remedy = near === null ? 'remove it' : `remove it; did you mean ${near}?`;
    // The validator gives the key as its input; the value stands in the path.
    const given = (issue.path?.at(-1) as { readonly value?: unknown } | undefined)?.value;
    return { path, rule: 'is not a field of a scenario', value: printValue(given), remedy };
  }
  if (issue.input === undefined && name !== '') {
    return { path, rule: 'is required', value: 'nothing', remedy: `add ${name}` };
  }
  return {
    path,
    rule: 'must be an object { … }',
    value: printValue(issue.input),
    remedy: 'write an object with named fields',
  };
}

let keyCache: string[] | null = null;
function allKeys(): string[] {
  if (keyCache === null) {
    const found = new Set<string>();
    collectKeys(scenarioSchema, found);
    keyCache = [...found];
  }
  return keyCache;
}

function collectKeys(schema: unknown, found: Set<string>): void {
  if (typeof schema !== 'object' || schema === null) return;
  const node = schema as {
    entries?: Record<string, unknown>;
    wrapped?: unknown;
    item?: unknown;
    options?: unknown[];
    pipe?: unknown[];
  };
  for (const [key, child] of Object.entries(node.entries ?? {})) {
    found.add(key);
    collectKeys(child, found);
  }
  if (node.wrapped) collectKeys(node.wrapped, found);
  if (node.item) collectKeys(node.item, found);
  for (const option of node.options ?? []) if (typeof option === 'object') collectKeys(option, found);
  for (const step of node.pipe ?? []) if (step !== schema) collectKeys(step, found);
}

/** The known word within two edits, or null. */
export function nearest(word: string, known: readonly string[]): string | null {
  let best: string | null = null;
  let bestDistance = 3;
  for (const candidate of known) {
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

function editDistance(a: string, b: string): number {
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const substitution = (previous[j - 1] as number) + (a[i - 1] === b[j - 1] ? 0 : 1);
      row.push(Math.min(substitution, (previous[j] as number) + 1, (row[j - 1] as number) + 1));
    }
    previous = row;
  }
  return previous[b.length] as number;
}
