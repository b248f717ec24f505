import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { ShapeQuestion } from '../../../shared/schema/study.ts';
import type { ShapeResult } from '../../../shared/schema/studyReport.ts';
import type { Lookup } from './lookup.ts';

export function evaluateShape(_base: Scenario, _question: ShapeQuestion, _lookup: Lookup): ShapeResult {
  throw new RangeError('evaluateShape: being written');
}
