// Changes of the base scenario that studies make. Numbers are rounded so that equal points have equal keys.
import type { Scenario } from '../../../shared/schema/scenario.ts';

const STEPS_PER_UNIT = 1e6;

export function rounded(value: number): number {
  return Math.round(value * STEPS_PER_UNIT) / STEPS_PER_UNIT;
}

export function atBackoff(base: Scenario, outputBackoffDb: number): Scenario {
  return { ...base, operatingPoint: { outputBackoffDb: rounded(outputBackoffDb) } };
}

/** Null takes crest-factor reduction away. */
export function withTarget(base: Scenario, targetPaprDb: number | null): Scenario {
  const { crestFactorReduction } = base.waveform;
  const settings = crestFactorReduction ?? {
    method: 'clipAndFilter' as const,
    probability: 1e-4,
    roundCount: 12,
    evmBudgetPercent: null,
    targetPaprDb: 8,
  };
  const reduction = targetPaprDb === null ? null : { ...settings, targetPaprDb: rounded(targetPaprDb) };
  return { ...base, waveform: { ...base.waveform, crestFactorReduction: reduction } };
}

export { oddOrders } from '../simulation/structure.ts';

/** Grid from–to in steps, the last point included. */
export function gridOf(range: { readonly fromDb: number; readonly toDb: number; readonly stepDb: number }): number[] {
  const grid: number[] = [];
  for (let x = range.fromDb; x < range.toDb - 1e-9; x += range.stepDb) grid.push(rounded(x));
  grid.push(rounded(range.toDb));
  return grid;
}
