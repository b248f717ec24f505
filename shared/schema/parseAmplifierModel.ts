// An amplifier model by itself: a file that `amplify` takes, with the same schema as inside a scenario.
import * as v from 'valibot';
import type { Issue } from './issue.ts';
import { listIssues } from './parse.ts';
import { type AmplifierModelSettings, amplifierSchema, type Scenario } from './scenario.ts';

export type AmplifierModelOutcome =
  | { readonly kind: 'model'; readonly model: AmplifierModelSettings }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export function parseAmplifierModel(input: unknown): AmplifierModelOutcome {
  const result = v.safeParse(amplifierSchema, { model: input, saturatedPowerDbm: null });
  if (result.success) return { kind: 'model', model: result.output.model };
  const issues = listIssues(amplifierSchema, result.issues, 'an amplifier model').map((issue) => ({
    ...issue,
    path: issue.path.replace(/^model\.?/, ''),
  }));
  return { kind: 'invalid', issues };
}

export type AmplifierSectionOutcome =
  | { readonly kind: 'amplifier'; readonly amplifier: Scenario['amplifier'] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** The amplifier of a scenario by itself: the model with its power scale, defaults filled in. */
export function parseAmplifierSection(input: unknown): AmplifierSectionOutcome {
  const result = v.safeParse(amplifierSchema, input);
  if (result.success) return { kind: 'amplifier', amplifier: result.output };
  return { kind: 'invalid', issues: listIssues(amplifierSchema, result.issues, 'an amplifier') };
}
