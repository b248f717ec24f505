// A predistorter by itself: the file that `run --out` writes, the report of a run, or a scenario that holds stored
// coefficients, with the same schema as inside a scenario.
import * as v from 'valibot';
import type { Issue } from './issue.ts';
import { listIssues } from './parse.ts';
import { type PredistorterSettings, predistorterSchema } from './predistorter.ts';
import type { Report } from './report.ts';
import { predistorterToKeep } from './storedPredistorter.ts';

export type PredistorterOutcome =
  | { readonly kind: 'predistorter'; readonly predistorter: PredistorterSettings }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

type Fields = Readonly<Record<string, unknown>>;

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

const numbers = v.array(v.number());
const reportSchema = v.looseObject({
  scenario: v.looseObject({ predistorter: v.looseObject({}) }),
  predistorter: v.looseObject({
    coefficients: v.object({ re: numbers, im: numbers }),
    sampleRateHz: v.number(),
    driveScale: v.number(),
    kneeAmplitude: v.number(),
    learnedFor: v.string(),
  }),
});

/** Whether a value means to be a predistorter with stored coefficients, not a scenario or a report; it may be faulty. */
export function isPredistorterFile(value: unknown): boolean {
  return isFields(value) && !('waveform' in value) && 'stored' in value;
}

/** The predistorter section that a value holds, checked, with stored coefficients. */
export function parsePredistorter(value: unknown): PredistorterOutcome {
  const section = sectionOf(value);
  if (!isFields(section)) return invalid('must hold a predistorter', 'none', 'give what run --out wrote');
  const result = v.safeParse(predistorterSchema, section);
  if (!result.success) {
    const issues = listIssues(predistorterSchema, result.issues, 'a predistorter');
    return { kind: 'invalid', issues: issues.map((issue) => ({ ...issue, path: `predistorter.${issue.path}` })) };
  }
  if (result.output.stored !== null) return { kind: 'predistorter', predistorter: result.output };
  const remedy = 'give report.json or predistorter.json that run --out wrote';
  return invalid('must hold stored coefficients', 'settings without coefficients', remedy, 'predistorter.stored');
}

/** Not checked yet. */
function sectionOf(value: unknown): unknown {
  if (!isFields(value)) return null;
  if ('kneepoint' in value) {
    const report = v.safeParse(reportSchema, value);
    return report.success ? predistorterToKeep(value as unknown as Report) : null;
  }
  return isPredistorterFile(value) ? value : value['predistorter'];
}

function invalid(rule: string, value: string, remedy: string, path = 'predistorter'): PredistorterOutcome {
  return { kind: 'invalid', issues: [{ path, rule, value, remedy }] };
}
