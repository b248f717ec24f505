// From unknown data to a scenario, or to the list of all its faults.
import * as v from 'valibot';
import { RULE_END } from './field.ts';
import { type Issue, printValue } from './issue.ts';
import {
  amplifierSchema,
  type CarrierSettings,
  carrierSchema,
  measurementSchema,
  operatingPointSchema,
  predistorterSchema,
  type Scenario,
  scenarioSchema,
  waveformSchema,
} from './scenario.ts';
import { unknownFields } from './unknownFields.ts';

export { nearest } from './editDistance.ts';

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
  return { kind: 'invalid', issues: listIssues(scenarioSchema, result.issues, 'a scenario') };
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

/**
 * The carriers that are sound by themselves, each in its place, null for those that are not; empty when there is no list.
 * Lets faults of carriers be found although another field of the waveform is at fault.
 */
export function parseSoundCarriers(input: unknown): readonly (CarrierSettings | null)[] {
  const waveform = (input as { readonly waveform?: { readonly carriers?: unknown } | null } | null)?.waveform;
  const carriers = waveform?.carriers;
  if (!Array.isArray(carriers)) return [];
  return carriers.map((carrier) => {
    const parsed = v.safeParse(carrierSchema, carrier);
    return parsed.success ? parsed.output : null;
  });
}

/** All faults that a validator found, and every unknown field. `whole` names the object at the root, as "a scenario". */
export function listIssues(schema: unknown, issues: readonly v.BaseIssue<unknown>[], whole: string): Issue[] {
  return issues.flatMap((issue) =>
    issue.type === 'strict_object' && issue.expected === 'never'
      ? unknownFields(schema, issue, whole)
      : [toIssue(issue)],
  );
}

/** Turns a validator's issue into ours: path, rule, value, remedy. Unknown fields are for `listIssues`. */
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
