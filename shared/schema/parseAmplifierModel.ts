// An amplifier model by itself: a file that `amplify` takes, with the same schema as inside a scenario.
import * as v from 'valibot';
import type { Issue } from './issue.ts';
import { listIssues } from './parse.ts';
import { type AmplifierModelSettings, amplifierSchema } from './scenario.ts';

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
