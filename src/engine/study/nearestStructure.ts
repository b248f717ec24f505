// When no structure of an order map is within the limits: the one that comes nearest, limit by limit, and what a single
// change would do to it. What helps depends on the amplifier (one that dips in mid-range does not get cleaner with a little
// back-off), so the changes are run and not guessed.
import type { LimitSettings, OperatingPointSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { MapCell, MapNearest, MapTrial, NearestMiss, RunReadings } from '../../../shared/schema/studyReport.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import type { MapStructure } from '../simulation/mapStructures.ts';
import type { Lookup } from './lookup.ts';
import { limitName, marginDb } from './margins.ts';
import { oddOrders, rounded, withTarget } from './variation.ts';

/** A cell with what it was made from. */
export interface JudgedCell {
  readonly cell: MapCell;
  readonly structure: MapStructure;
  readonly readings: RunReadings;
}

const STEP_DB = 1;
const HIGHEST_ORDER = 25;
const DEEPEST = 64;
const LEAST_TARGET_DB = 3;

/** The cell of the largest margin when none is within the limits; null when one is, or when there is nothing to judge. */
export function nearestOf(base: Scenario, judged: readonly JudgedCell[], lookup: Lookup): MapNearest | null {
  const best = judged.reduce<JudgedCell | null>((a, b) => (a === null || scoreOf(b) > scoreOf(a) ? b : a), null);
  if (best === null || best.cell.worstMarginDb === null || best.cell.worstMarginDb >= 0) return null;
  const margins = marginsOf(best.readings, base.limits);
  const trials = changesOf(base, best, judged, margins[0]?.limit ?? '').flatMap(([trial, scenario]) => {
    const readings = lookup.readings(scenario);
    return readings === null ? [] : [{ ...trial, margins: marginsOf(readings, base.limits) }];
  });
  return { cell: best.cell, margins, trials };
}

function scoreOf({ cell }: JudgedCell): number {
  return cell.worstMarginDb ?? Number.NEGATIVE_INFINITY;
}

/** Every limit's own margin, the worst first. */
function marginsOf(readings: RunReadings, limits: readonly LimitSettings[]): NearestMiss[] {
  const margins = limits.flatMap((limit) => {
    const margin = marginDb(readings, 'corrected', [limit]);
    return margin === null ? [] : [{ limit: limitName(limit), marginDb: margin }];
  });
  return margins.sort((a, b) => a.marginDb - b.marginDb);
}

/** One change each; what the map itself holds is not tried again. */
function changesOf(
  base: Scenario,
  { structure }: JudgedCell,
  judged: readonly JudgedCell[],
  worstLimit: string,
): [Omit<MapTrial, 'margins'>, Scenario][] {
  const { highestOrder, memoryDepth, settings } = structure;
  const own: Scenario = { ...base, predistorter: settings };
  const isNew = (order: number, depth: number) =>
    order <= HIGHEST_ORDER &&
    depth <= DEEPEST &&
    !judged.some(({ cell }) => cell.highestOrder === order && cell.memoryDepth === depth);
  const changes: [Omit<MapTrial, 'margins'>, Scenario][] = [];
  const withStructure = (change: MapTrial['change'], order: number, depth: number) => {
    if (!isNew(order, depth)) return;
    const predistorter = { ...settings, nonlinearOrders: oddOrders(order), memoryDepth: depth };
    changes.push([
      { change, highestOrder: order, memoryDepth: depth, stepDb: null },
      { ...own, predistorter },
    ]);
  };
  withStructure('higherOrder', highestOrder + 2, memoryDepth);
  withStructure('moreTaps', highestOrder, memoryDepth + 1);
  const same = { highestOrder, memoryDepth };
  const operatingPoint = lowered(base.operatingPoint, STEP_DB);
  changes.push([
    { change: 'moreBackoff', ...same, stepDb: STEP_DB },
    { ...own, operatingPoint },
  ]);
  const targetDb = base.waveform.crestFactorReduction?.targetPaprDb ?? null;
  // Less crest factor spends EVM and spares the amplifier's peaks.
  const stepDb = worstLimit.startsWith('EVM') ? STEP_DB : -STEP_DB;
  if (targetDb !== null && targetDb + stepDb >= LEAST_TARGET_DB) {
    changes.push([{ change: 'crestFactor', ...same, stepDb }, withTarget(own, targetDb + stepDb)]);
  }
  return changes;
}

/** The same operating point with this much less mean power, however it is stated. */
function lowered(point: OperatingPointSettings, byDb: number): OperatingPointSettings {
  const { outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm } = point;
  if (outputBackoffDb !== undefined) return { outputBackoffDb: rounded(outputBackoffDb + byDb) };
  if (meanPowerDbm !== undefined) return { meanPowerDbm: rounded(meanPowerDbm - byDb) };
  if (antennaMeanDbm !== undefined) return { antennaMeanDbm: rounded(antennaMeanDbm - byDb) };
  return { meanPowerW: (meanPowerW ?? 0) * dbToPowerRatio(-byDb) };
}
