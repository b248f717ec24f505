// A study from its file and the outcomes known so far: what it can say already, and which runs are still needed.

import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import * as studyParser from '../../../shared/schema/parseStudy.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { QuestionKind, Study } from '../../../shared/schema/study.ts';
import {
  STUDY_REPORT_FORMAT,
  type StudyReport,
  type StudyResult,
  type StudyTask,
  type TaskOutcome,
} from '../../../shared/schema/studyReport.ts';
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import { checkScenario, type Setup } from '../simulation/checkScenario.ts';
import { ENGINE_VERSION } from '../version.ts';
import { answerStudy } from './answerStudy.ts';
import { burstConditions, burstIssues, burstWarnings } from './burstChecks.ts';
import { evaluateBurst } from './burstStart.ts';
import { conditionsOf } from './conditions.ts';
import { evaluateShape } from './crestTrade.ts';
import { evaluateHold } from './hold.ts';
import { holdConditions, holdIssues, holdWarnings } from './holdChecks.ts';
import { evaluateLadder } from './ladder.ts';
import { createLookup, type Lookup } from './lookup.ts';
import { evaluateMap } from './orderMap.ts';
import { evaluatePath, pathConditions, pathIssues, signalSpanHzOf } from './pathQuality.ts';
import { evaluateAsk } from './reverseQuestion.ts';
import { evaluateSpread } from './spread.ts';
import { toneConditions, toneIssues, toneWarnings } from './toneChecks.ts';
import { evaluateTones } from './toneSweep.ts';

export type StudyEvaluation =
  | { readonly kind: 'evaluated'; readonly report: StudyReport; readonly pending: readonly StudyTask[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/**
 * Evaluates a study. `known` maps task keys to outcomes; run the pending tasks (runTask), add their outcomes and call
 * again until none is pending. Any order and any number of workers give the same report.
 */
export function evaluateStudy(
  input: unknown,
  known: ReadonlyMap<string, TaskOutcome>,
  records: RecordStore = NO_RECORDS,
): StudyEvaluation {
  const parsed = studyParser.parseStudy(input);
  if (parsed.kind === 'invalid') return parsed;
  const checked = checkScenario(parsed.scenarioInput, records);
  if (checked.kind === 'invalid') {
    return {
      kind: 'invalid',
      issues: checked.issues.map((issue) => ({ ...issue, path: below('scenario', issue.path) })),
    };
  }
  const { study } = parsed;
  const { scenario, setup } = checked;
  const issues = studyIssues(study, setup);
  if (issues.length > 0) return { kind: 'invalid', issues };
  const lookup = createLookup(known);
  const result = evaluate(study, scenario, lookup, signalSpanHzOf(setup.waveform.carriers));
  const { pending, doneCount } = lookup;
  const report: StudyReport = {
    kneepoint: { version: ENGINE_VERSION, format: STUDY_REPORT_FORMAT },
    study,
    scenario,
    questionKind: study.question.kind,
    answer: answerStudy(result, scenario, pending.length === 0),
    result,
    conditions: conditionsFor(study, scenario),
    warnings: warningsFor(study, setup, result),
    doneCount,
    neededCount: doneCount + pending.length,
    complete: pending.length === 0,
  };
  return { kind: 'evaluated', report, pending };
}

function conditionsFor({ question }: Study, scenario: Scenario): string {
  if (question.kind === 'tones') return toneConditions(scenario, question);
  if (question.kind === 'path') return pathConditions(scenario, question);
  if (question.kind === 'hold') return holdConditions(scenario, question);
  return question.kind === 'burst' ? burstConditions(scenario, question) : conditionsOf(scenario);
}

/** Tones take the waveform's place and its doubts with it; bursts add theirs. */
function warningsFor({ question }: Study, setup: Setup, result: StudyResult): readonly Warning[] {
  if (question.kind === 'tones') return toneWarnings(setup.statedScenario, question);
  if (result.kind === 'hold') return [...setup.warnings, ...holdWarnings(result)];
  return result.kind === 'burst' ? [...setup.warnings, ...burstWarnings(setup, result)] : setup.warnings;
}

function below(parent: string, path: string): string {
  return path === '' ? parent : `${parent}.${path}`;
}

function evaluate(study: Study, scenario: Scenario, lookup: Lookup, signalSpanHz: number): StudyResult {
  const { question } = study;
  switch (question.kind) {
    case 'ladder':
      return evaluateLadder(scenario, question, lookup);
    case 'shape':
      return evaluateShape(scenario, question, lookup);
    case 'map':
      return evaluateMap(scenario, question, lookup);
    case 'ask':
      return evaluateAsk(scenario, question, lookup);
    case 'spread':
      return evaluateSpread(scenario, question, lookup);
    case 'tones':
      return evaluateTones(scenario, question, lookup);
    case 'burst':
      return evaluateBurst(scenario, question, lookup);
    case 'hold':
      return evaluateHold(scenario, question, lookup);
    case 'path':
      return evaluatePath(scenario, question, lookup, signalSpanHz);
  }
}

/** Questions that say something without any limit. */
const UNJUDGED: readonly QuestionKind[] = ['map', 'tones', 'burst', 'path', 'hold'];

/** What a question needs of its scenario. */
function studyIssues(study: Study, setup: Setup): Issue[] {
  const { question } = study;
  const { statedScenario: scenario } = setup;
  const { kind } = question;
  const issues: Issue[] = [];
  if (scenario.limits.length === 0 && !UNJUDGED.includes(kind)) {
    issues.push({
      path: 'scenario.limits',
      rule: 'must hold at least one limit for this question',
      value: '[]',
      remedy: 'add { "reading": "aclr", "requiredDb": 45 } or an EVM limit',
    });
  }
  if (question.kind === 'tones') issues.push(...toneIssues(scenario, question));
  if (question.kind === 'burst') issues.push(...burstIssues(setup));
  if (question.kind === 'path') issues.push(...pathIssues(scenario, question));
  if (question.kind === 'hold') issues.push(...holdIssues(scenario, question));
  if (kind === 'map' && scenario.predistorter === null) {
    issues.push({
      path: 'scenario.predistorter',
      rule: 'must be present: the map varies its structure',
      value: 'null',
      remedy: 'write "predistorter": {}',
    });
  }
  if (question.kind === 'spread' && question.unitCount > 0) issues.push(...unitIssues(scenario, question.unitCount));
  if (kind === 'ask' && scenario.amplifier.saturatedPowerDbm === null) {
    issues.push({
      path: 'scenario.amplifier.saturatedPowerDbm',
      rule: 'must be known to ask for a power in dBm',
      value: 'null',
      remedy: 'give the saturated power in dBm',
    });
  }
  return issues;
}

/** Units are drawn from the amplifier section's one model. */
function unitIssues({ amplifier: { model, overBand } }: Scenario, unitCount: number): Issue[] {
  const path = 'question.unitCount';
  if (model.kind !== 'filterNonlinearityFilter') {
    return [
      {
        path,
        rule: 'must be 0 for this amplifier: units are drawn from filter–nonlinearity–filter models only',
        value: `${unitCount} units of a ${model.kind} model`,
        remedy: 'set unitCount to 0, or model the amplifier as "filterNonlinearityFilter"',
      },
    ];
  }
  const own = overBand?.points.filter((point) => point.model !== null).length ?? 0;
  if (own === 0) return [];
  return [
    {
      path,
      rule: 'must be 0 for this amplifier: units are drawn from amplifier.model, and points of amplifier.overBand have models of their own',
      value: `${unitCount} units, ${own} ${own === 1 ? 'point' : 'points'} with a model`,
      remedy: 'set unitCount to 0, or let the points take amplifier.model',
    },
  ];
}
