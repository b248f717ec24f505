// What the order map answers: the cheapest structure that keeps the wanted margin; or the nearest, the limit it misses, and
// what single changes did to it when they were run.
import { mapChangeText } from '../../../shared/format/mapChange.ts';
import type { MapCell, MapNearest, MapResult, MapTrial } from '../../../shared/schema/studyReport.ts';
import { db, structureText } from './answerWords.ts';

export function answerMap(result: MapResult, complete: boolean): string {
  const { ringed, nearest, cells, wantedMarginDb } = result;
  if (ringed !== null) {
    const { cost, worstMarginDb } = ringed;
    const aim = wantedMarginDb > 0 ? `passes with ${db(wantedMarginDb)} of margin` : 'passes';
    const margin = worstMarginDb === null ? '' : `, margin ${db(worstMarginDb)}`;
    return `The cheapest structure that ${aim} is ${cellText(ringed)}: ${cost.coefficientCount} coefficients, ${cost.realMultipliesPerSample} real multiplications a sample${margin}.`;
  }
  if (nearest !== null) return `No structure is within all limits; ${nearestText(nearest)}`;
  if (!complete) return `${cells.length} structures read, none passes yet.`;
  const best = cells.reduce<MapCell | null>((a, b) => (a === null || scoreOf(b) > scoreOf(a) ? b : a), null);
  if (best === null || scoreOf(best) === Number.NEGATIVE_INFINITY) return 'No structure could be read.';
  if (best.worstMarginDb === null) {
    const aclr = best.worstAclrDb === null ? '' : ` with an ACLR of ${db(best.worstAclrDb)}`;
    return `There is no limit to judge by; the cleanest structure is ${cellText(best)}${aclr}.`;
  }
  const short = wantedMarginDb - best.worstMarginDb;
  return `No structure keeps the wanted margin of ${db(wantedMarginDb)}; the best, ${cellText(best)}, is within the limits by ${db(best.worstMarginDb)}, ${db(short)} short of it.`;
}

function scoreOf(cell: MapCell): number {
  return cell.worstMarginDb ?? cell.worstAclrDb ?? Number.NEGATIVE_INFINITY;
}

function cellText(cell: MapCell): string {
  const kind = cell.structure === 'generalizedMemoryPolynomial' ? ', generalized' : '';
  return `${structureText(cell.highestOrder, cell.memoryDepth)}${kind}`;
}

/** Which limits the nearest structure misses, and the changes that, run each alone, brought it within all of them. */
function nearestText({ cell, margins, trials }: MapNearest): string {
  const missed = margins.filter((one) => one.marginDb < 0).map((one) => `${one.limit} by ${db(-one.marginDb)}`);
  const nearest = `the nearest, ${cellText(cell)}, misses ${missed.join(' and ')}.`;
  if (trials.length === 0) return nearest;
  const helping = trials.filter((trial) => worstDb(trial) >= 0).sort((a, b) => worstDb(b) - worstDb(a));
  if (helping.length === 0) return `${nearest} None of the single changes run brings it within them.`;
  const changes = helping.map(mapChangeText).join(' or ');
  return `${nearest} Within them it comes with ${changes}${helping.length > 1 ? ', each alone' : ' alone'}.`;
}

function worstDb({ margins }: MapTrial): number {
  return margins[0]?.marginDb ?? Number.NEGATIVE_INFINITY;
}
