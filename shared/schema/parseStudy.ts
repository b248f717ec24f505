// From unknown data to a study, or to the list of all its faults. The scenario inside is checked by its own schema.
import * as v from 'valibot';
import { presetNames, presets } from '../presets/index.ts';
import type { Issue } from './issue.ts';
import { printValue } from './issue.ts';
import { listIssues } from './parse.ts';
import { type Study, studySchema } from './study.ts';

export type StudyParseOutcome =
  | { readonly kind: 'study'; readonly study: Study; readonly scenarioInput: unknown }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Checks a study's own fields and finds the scenario it names. */
export function parseStudy(input: unknown): StudyParseOutcome {
  const result = v.safeParse(studySchema, input);
  if (!result.success) return { kind: 'invalid', issues: listIssues(studySchema, result.issues, 'a study') };
  const { scenario } = result.output;
  if (typeof scenario !== 'string') return { kind: 'study', study: result.output, scenarioInput: scenario };
  const preset = presets[scenario];
  if (preset !== undefined) return { kind: 'study', study: result.output, scenarioInput: preset };
  const rule = `must be a scenario or the name of a ready-made one: ${presetNames.join(', ')}`;
  return {
    kind: 'invalid',
    issues: [{ path: 'scenario', rule, value: printValue(scenario), remedy: 'use one of these names' }],
  };
}
