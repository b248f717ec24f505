import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { AskQuestion } from '../../../shared/schema/study.ts';
import type { AskResult } from '../../../shared/schema/studyReport.ts';
import type { Lookup } from './lookup.ts';

export function evaluateAsk(_base: Scenario, _question: AskQuestion, _lookup: Lookup): AskResult {
  throw new RangeError('evaluateAsk: being written');
}
