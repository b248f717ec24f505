// The sentence the path study answers with.
import { pathValueText } from '../../../shared/format/pathText.ts';
import { PATH_PARAMETERS } from '../../../shared/schema/study.ts';
import type { PathPoint, PathResult } from '../../../shared/schema/studyReport.ts';
import { db } from './answerWords.ts';

/** The least (of a delay: the range) that keeps within the stated distance of the best, and what falls short of it. */
export function answerPath(result: PathResult): string {
  const { parameter, points, knee, bestDb, judgedBy, withinDb, without } = result;
  const { label } = PATH_PARAMETERS[parameter];
  if (knee === null || bestDb === null) return `${label}: no value is judged yet.`;
  const text = (value: number) => pathValueText(parameter, value);
  const best = points.find((point) => scoreOf(point, judgedBy) === bestDb);
  const at = best?.value ?? knee.to;
  const reading = judgedBy === 'aclr' ? `ACLR of ${db(bestDb)}` : `error of ${db(-bestDb)}`;
  const ends = `within ${db(withinDb)} of the best, an ${reading} at ${text(at)}`;
  const isDelay = parameter === 'observationDelayS';
  const range =
    knee.to > knee.from && (isDelay || knee.to < (points.at(-1)?.value ?? knee.to))
      ? `from ${text(knee.from)} to ${text(knee.to)}`
      : `of ${text(knee.from)}`;
  const lowest = knee.from === points[0]?.value ? ', the least tried' : '';
  const clear =
    without === null || scoreOf(without, judgedBy) === null
      ? ''
      : ` Without this effect: ${db((judgedBy === 'aclr' ? 1 : -1) * (scoreOf(without, judgedBy) ?? 0))}.`;
  return `${label} ${range}${isDelay ? '' : lowest} keeps ${ends}.${shortText(result)}${clear}`;
}

function scoreOf(point: PathPoint, judgedBy: PathResult['judgedBy']): number | null {
  return judgedBy === 'aclr' ? point.worstAclrDb : -point.nmseDb;
}

/** The neighbour just below the knee. */
function shortText({ parameter, points, knee, judgedBy }: PathResult): string {
  const before = points.filter(({ value }) => value !== null && knee !== null && value < knee.from).at(-1);
  if (before === undefined || before.value === null) return '';
  const score = scoreOf(before, judgedBy);
  if (score === null) return '';
  const figure = db(judgedBy === 'aclr' ? score : -score);
  return ` At ${pathValueText(parameter, before.value)} it is ${figure}.`;
}
