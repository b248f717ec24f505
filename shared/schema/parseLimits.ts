// Limits by themselves: a file that `measure` takes, with the same schema as inside a scenario.
import * as v from 'valibot';
import type { Issue } from './issue.ts';
import { type LimitSettings, limitSchema } from './measurement.ts';
import { listIssues } from './parse.ts';

export type LimitsOutcome =
  | { readonly kind: 'limits'; readonly limits: readonly LimitSettings[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

const fileSchema = v.object({ limits: v.array(limitSchema) });

/** A list of limits, or an object that holds one under `limits`, such as a scenario. */
export function parseLimits(input: unknown): LimitsOutcome {
  const isList = Array.isArray(input);
  const result = v.safeParse(fileSchema, isList ? { limits: input } : input);
  if (result.success) return { kind: 'limits', limits: result.output.limits };
  return { kind: 'invalid', issues: listIssues(fileSchema, result.issues, 'a list of limits') };
}
