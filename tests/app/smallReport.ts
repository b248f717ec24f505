// A real report of a short record, for tests of what the page makes of one.
import { presets } from '../../shared/presets/index.ts';
import { parseScenario } from '../../shared/schema/parse.ts';
import type { Report } from '../../shared/schema/report.ts';
import type { Scenario, ScenarioInput } from '../../shared/schema/scenario.ts';
import { coarseScenario, runScenario } from '../../src/engine/index.ts';

export function parsed(input: unknown): Scenario {
  const outcome = parseScenario(input);
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(({ path, rule }) => `${path} ${rule}`).join('; '));
  return outcome.scenario;
}

export function preset(name: string): ScenarioInput {
  return presets[name] as ScenarioInput;
}

/** Quarry Link on a short record, with some fields changed. */
export function smallReport(change: Partial<ScenarioInput> = {}): Report {
  const outcome = runScenario(coarseScenario({ ...preset('quarry-link'), ...change }));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}
