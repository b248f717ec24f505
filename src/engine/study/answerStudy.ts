// The sentence a study answers with: a figure, what it rests on, and honesty about what is missing or marginal.

import { formatFixed } from '../../../shared/format/numbers.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type {
  AskOption,
  AskResult,
  NearestMiss,
  ShapePoint,
  ShapeResult,
  SpreadReading,
  SpreadResult,
  StudyResult,
} from '../../../shared/schema/studyReport.ts';
import { answerBurst } from './answerBurst.ts';
import { answerHold } from './answerHold.ts';
import { answerLadder } from './answerLadder.ts';
import { answerMap } from './answerMap.ts';
import { answerPath } from './answerPath.ts';
import { answerTones } from './answerTones.ts';
import { db, dbm, missText, structureText } from './answerWords.ts';

/** One or two sentences with the figure that settles the question. */
export function answerStudy(result: StudyResult, scenario: Scenario, complete: boolean): string {
  switch (result.kind) {
    case 'ladder':
      return answerLadder(result, scenario, complete);
    case 'shape':
      return soFar(answerShape(result, scenario, complete), complete);
    case 'map':
      return soFar(answerMap(result, complete), complete);
    case 'ask':
      return soFar(answerAsk(result, scenario, complete), complete);
    case 'spread':
      return soFar(answerSpread(result, complete), complete);
    case 'tones':
      return soFar(answerTones(result, complete), complete);
    case 'burst':
      return soFar(answerBurst(result), complete);
    case 'hold':
      return soFar(answerHold(result), complete);
    case 'path':
      return soFar(answerPath(result), complete);
  }
}

function soFar(answer: string, complete: boolean): string {
  return complete ? answer : `So far: ${answer}`;
}

function answerShape(result: ShapeResult, scenario: Scenario, complete: boolean): string {
  const { best, points } = result;
  const isCorrected = scenario.predistorter !== null;
  if (best === null) return noTarget(result, scenario, complete);
  const spent = best.crestEvmPercent;
  const evm = spent === null ? '' : `, spending ${formatFixed(spent, 1)} % EVM`;
  const plain = points.find((point) => point.targetPaprDb === null);
  const beside =
    plain === undefined || plain === best || shapeBackoff(plain, isCorrected) === null
      ? ''
      : `; without reduction ${shapePower(plain, isCorrected)}`;
  const aim = best.targetPaprDb === null ? 'Leave the crest factor as it is' : `Aim at ${db(best.targetPaprDb)}`;
  return `${aim}: ${shapePower(best, isCorrected)}${evm}${beside}.${overBudget(result, best, scenario)}`;
}

function shapeBackoff(point: ShapePoint, isCorrected: boolean): number | null {
  return isCorrected ? point.correctedBackoffDb : point.uncorrectedBackoffDb;
}

function shapePower(point: ShapePoint, isCorrected: boolean): string {
  const backoff = `${db(shapeBackoff(point, isCorrected) ?? 0)} of output back-off`;
  const power = isCorrected ? point.correctedPowerDbm : point.uncorrectedPowerDbm;
  return power === null ? backoff : `${dbm(power)} clean at ${backoff}`;
}

/** A target that would give more power but spends more EVM than allowed. */
function overBudget(result: ShapeResult, best: ShapePoint, scenario: Scenario): string {
  const isCorrected = scenario.predistorter !== null;
  const budget = scenario.waveform.crestFactorReduction?.evmBudgetPercent ?? null;
  const bestDb = shapeBackoff(best, isCorrected);
  const tempting = result.points
    .filter((point) => !point.withinEvmBudget && (shapeBackoff(point, isCorrected) ?? Infinity) < (bestDb ?? 0))
    .sort((a, b) => (shapeBackoff(a, isCorrected) ?? 0) - (shapeBackoff(b, isCorrected) ?? 0))[0];
  if (tempting === undefined || budget === null || tempting.targetPaprDb === null || bestDb === null) return '';
  const more = bestDb - (shapeBackoff(tempting, isCorrected) ?? bestDb);
  const spent = formatFixed(tempting.crestEvmPercent ?? 0, 1);
  return ` ${db(tempting.targetPaprDb)} would give ${db(more)} more but spends ${spent} % EVM, over the budget of ${budget} %.`;
}

function noTarget(result: ShapeResult, scenario: Scenario, complete: boolean): string {
  const isCorrected = scenario.predistorter !== null;
  const passing = result.points.filter((point) => shapeBackoff(point, isCorrected) !== null);
  if (passing.length > 0) {
    return 'Every target that meets the limits spends more EVM than its budget; raise the budget or the targets.';
  }
  if (!complete) return 'no target is settled yet.';
  const misses = result.points.map((point) => (isCorrected ? point.correctedMiss : point.uncorrectedMiss));
  return `No target meets all limits; ${missText(nearest(misses), scenario, isCorrected)}`;
}

function nearest(misses: readonly (NearestMiss | null)[]): NearestMiss | null {
  return misses.reduce(
    (best, one) => (one !== null && (best === null || one.marginDb > best.marginDb) ? one : best),
    null,
  );
}

function answerAsk(result: AskResult, scenario: Scenario, complete: boolean): string {
  const { options, wantedAntennaMeanDbm } = result;
  const corrected = adviseOf(options, true);
  const without = adviseOf(options, false);
  const least = corrected ?? without;
  if (least === null) return noOption(result, scenario, complete);
  const parts = [
    ...(corrected === null ? [] : [`${needText(corrected)} with correction (${wayText(corrected)})`]),
    ...(without === null ? [] : [`${needText(without)} without (${wayText(without)})`]),
  ];
  const most = least.mostAntennaMeanDbm;
  const own = `Your ${dbm(result.ownSaturatedPowerDbm)} amplifier gives at most ${most === null ? 'an unknown power' : dbm(most)}.`;
  return `For ${dbm(wantedAntennaMeanDbm)} clean you need a saturated power of ${parts.join(', ')}. ${own}`;
}

/** The least saturated power within the EVM budget, or over it when there is no other. */
function adviseOf(options: readonly AskOption[], corrected: boolean): AskOption | null {
  const fitting = options.filter((option) => option.corrected === corrected);
  return fitting.find((option) => option.withinEvmBudget) ?? fitting[0] ?? null;
}

function needText(option: AskOption): string {
  return `${option.bracketed ? 'at least' : 'less than'} ${dbm(option.neededSaturatedPowerDbm)}`;
}

function wayText(option: AskOption): string {
  const crest = option.targetPaprDb === null ? [] : [`crest factor ${db(option.targetPaprDb)}`];
  const { highestOrder, memoryDepth } = option;
  const structure = highestOrder === null || memoryDepth === null ? [] : [structureText(highestOrder, memoryDepth)];
  const budget = option.withinEvmBudget ? [] : ['over the EVM budget'];
  return [...crest, ...structure, `${db(option.outputBackoffDb)} output back-off`, ...budget].join(', ');
}

function noOption(result: AskResult, scenario: Scenario, complete: boolean): string {
  if (!complete) return 'no way is settled yet.';
  const best = result.refused.reduce<AskResult['refused'][number] | null>(
    (a, b) => (a === null || b.miss.marginDb > a.miss.marginDb ? b : a),
    null,
  );
  return `No amplifier of this shape meets all limits; ${missText(best?.miss ?? null, scenario, best?.corrected ?? false)}`;
}

function answerSpread(result: SpreadResult, complete: boolean): string {
  const of = result.readings.some((reading) => reading.of === 'corrected') ? 'corrected' : 'uncorrected';
  const readings = result.readings.filter((reading) => reading.of === of);
  const [first, ...others] = readings;
  const count = complete ? `${result.seedsRead}` : `${result.seedsRead} of ${result.seedCount}`;
  if (first === undefined) return `${count} seeds read, too few for a spread.`;
  const tightest = others.reduce((a, b) => (b.marginDb < a.marginDb ? b : a), first);
  const { seedsOutOfReach } = result;
  const seeds = seedsOutOfReach === 1 ? 'seed' : 'seeds';
  const lost = seedsOutOfReach === 0 ? '' : ` With ${seedsOutOfReach} ${seeds} the wanted power is out of reach.`;
  return `Over ${count} seeds the ${of} output ${verdictText(tightest)}.${lost}${yieldText(result, of)}`;
}

function verdictText(reading: SpreadReading): string {
  const { limit, mean, standardDeviation, worst, unit, state } = reading;
  const words = { pass: 'passes', marginal: 'is marginal', fail: 'fails' }[state];
  const figure = `${formatFixed(mean, 1)} ± ${formatFixed(standardDeviation, 2)} ${unit}`;
  return `${words}: ${limit} reads ${figure}, worst ${formatFixed(worst, 2)} ${unit}`;
}

function yieldText(result: SpreadResult, of: 'uncorrected' | 'corrected'): string {
  const found = result.yields.find((one) => one.of === of);
  if (found === undefined) return '';
  const percent = (value: number) => formatFixed(value, 0);
  return ` Of ${found.unitCount} units ${found.passCount} pass: yield ${percent(found.yieldPercent)} %, between ${percent(found.lowPercent)} and ${percent(found.highPercent)} % at 95 % confidence.`;
}
