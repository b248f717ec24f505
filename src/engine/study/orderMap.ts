import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import type { MapResult } from '../../../shared/schema/studyReport.ts';
import type { Lookup } from './lookup.ts';

export function evaluateMap(_base: Scenario, _question: MapQuestion, _lookup: Lookup): MapResult {
  throw new RangeError('evaluateMap: being written');
}
