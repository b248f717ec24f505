import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { SpreadQuestion } from '../../../shared/schema/study.ts';
import type { SpreadResult } from '../../../shared/schema/studyReport.ts';
import type { Lookup } from './lookup.ts';

export function evaluateSpread(_base: Scenario, _question: SpreadQuestion, _lookup: Lookup): SpreadResult {
  throw new RangeError('evaluateSpread: being written');
}
