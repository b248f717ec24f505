// Which crest factor: what each target spends in EVM and gives in clean power.
//
// Crest-factor reduction trades EVM, which it spends by itself, for average power: with correction the output back-off
// needed follows the crest factor at 1e-4 to 1e-3 within about 1 dB (hand-outs, product.md). The best target is the one
// with the most clean power, that is the smallest output back-off at which all limits hold.
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { ShapeQuestion } from '../../../shared/schema/study.ts';
import type { RunReadings, ShapePoint, ShapeResult } from '../../../shared/schema/studyReport.ts';
import { anyReadings, type CleanPoint, findCleanPoint } from './cleanPoint.ts';
import type { Lookup } from './lookup.ts';
import { worstFirstAclrDb } from './margins.ts';
import { rounded, withTarget } from './variation.ts';

/** Probability at which the crest factor of a waveform without reduction is stated. */
const USUAL_PROBABILITY = 1e-4;

export function evaluateShape(base: Scenario, question: ShapeQuestion, lookup: Lookup): ShapeResult {
  const targets: (number | null)[] = [...new Set(question.targetPaprDb.map(rounded))];
  if (question.withoutReduction) targets.push(null);
  const points = targets.flatMap((target) => pointOf(base, target, question, lookup));
  return { kind: 'shape', points, best: bestOf(points, base.predistorter !== null) };
}

/** One target; nothing while none of its runs is known. */
function pointOf(base: Scenario, target: number | null, question: ShapeQuestion, lookup: Lookup): ShapePoint[] {
  const variant = withTarget(base, target);
  const range = question.outputBackoff;
  const without = findCleanPoint(variant, 'uncorrected', range, lookup);
  const corrected = base.predistorter === null ? null : findCleanPoint(variant, 'corrected', range, lookup);
  const readings =
    anyReadings(variant, 'uncorrected', range, lookup) ??
    (corrected === null ? null : anyReadings(variant, 'corrected', range, lookup));
  if (readings === null) return [];
  const paprProbability = base.waveform.crestFactorReduction?.probability ?? USUAL_PROBABILITY;
  const crestEvmPercent = readings.waveform.crestReductionEvmPercent;
  const found = corrected?.kind === 'found' ? corrected : null;
  return [
    {
      targetPaprDb: target,
      ...reachedPapr(readings, paprProbability),
      crestEvmPercent,
      withinEvmBudget: isWithinBudget(variant, crestEvmPercent),
      correctedBackoffDb: found?.outputBackoffDb ?? null,
      correctedPowerDbm: found?.output.meanPowerDbm ?? null,
      correctedAclrDb: found && worstFirstAclrDb(found.output),
      correctedEvmPercent: found?.output.evm?.rmsPercent ?? null,
      uncorrectedBackoffDb: without.kind === 'found' ? without.outputBackoffDb : null,
      uncorrectedPowerDbm: without.kind === 'found' ? without.output.meanPowerDbm : null,
      correctedMiss: missOf(corrected),
      uncorrectedMiss: missOf(without),
      complete: without.kind !== 'pending' && corrected?.kind !== 'pending',
    },
  ];
}

function missOf(point: CleanPoint | null): ShapePoint['correctedMiss'] {
  return point?.kind === 'none' ? point.miss : null;
}

/** The crest factor read at the wanted probability, or at the nearest one that is read. */
function reachedPapr(readings: RunReadings, wanted: number): Pick<ShapePoint, 'reachedPaprDb' | 'paprProbability'> {
  const distance = (probability: number) => Math.abs(Math.log(probability / wanted));
  const [first, ...others] = readings.waveform.papr;
  if (first === undefined) return { reachedPaprDb: null, paprProbability: wanted };
  const nearest = others.reduce(
    (best, one) => (distance(one.probability) < distance(best.probability) ? one : best),
    first,
  );
  return { reachedPaprDb: nearest.db, paprProbability: nearest.probability };
}

/** Whether the reduction by itself keeps within the EVM the scenario allows it. */
export function isWithinBudget(variant: Scenario, crestEvmPercent: number | null): boolean {
  const budget = variant.waveform.crestFactorReduction?.evmBudgetPercent ?? null;
  return budget === null || crestEvmPercent === null || crestEvmPercent <= budget;
}

/** Most clean power within the EVM budget; at equal power the first, in the order asked. */
function bestOf(points: readonly ShapePoint[], isCorrected: boolean): ShapePoint | null {
  const backoffOf = (point: ShapePoint) => (isCorrected ? point.correctedBackoffDb : point.uncorrectedBackoffDb);
  return points.reduce<ShapePoint | null>((best, one) => {
    const backoffDb = backoffOf(one);
    if (backoffDb === null || !one.withinEvmBudget) return best;
    const bestDb = best && backoffOf(best);
    return bestDb === null || backoffDb < bestDb ? one : best;
  }, null);
}
