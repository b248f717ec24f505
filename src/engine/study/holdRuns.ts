// The runs behind the study of a frozen correction, and what is read from them.
import type { HoldReading } from '../../../shared/schema/holdReport.ts';
import type { OutputReport } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { storedOf } from '../../../shared/schema/storedPredistorter.ts';
import type { HoldQuestion } from '../../../shared/schema/study.ts';
import type { RunReadings } from '../../../shared/schema/studyReport.ts';
import { judge } from '../simulation/verdicts.ts';
import { levelByOf } from './holdConditions.ts';
import type { Lookup } from './lookup.ts';
import { worstFirstAclrDb } from './margins.ts';

export interface Trained {
  /** Null while pending and where the condition cannot be run. */
  readonly readings: RunReadings | null;
  readonly isPending: boolean;
  readonly uncorrected: HoldReading | null;
  readonly retrained: HoldReading | null;
}

export function trainedOf(base: Scenario, scenario: Scenario, lookup: Lookup): Trained {
  const outcome = lookup.outcome(scenario, false);
  const readings = outcome?.kind === 'readings' ? outcome.readings : null;
  const isUsed = readings?.correctionUsed === true;
  return {
    readings,
    isPending: outcome === null,
    uncorrected: readings && readingOf(base, readings.uncorrected, null),
    retrained: isUsed ? correctedReading(base, readings) : null,
  };
}

/** The used condition with the coefficients of a training run; null where that run has none in use. */
export function frozenScenario(
  axis: HoldQuestion['axis'],
  readings: RunReadings | null,
  used: Scenario,
): Scenario | null {
  if (readings === null || !readings.correctionUsed || used.predistorter === null) return null;
  const stored = storedOf(readings);
  if (stored === null) return null;
  return { ...used, predistorter: { ...used.predistorter, stored: { ...stored, levelBy: levelByOf(axis) } } };
}

/** A frozen run's scenario with passes of learning that go on from the frozen coefficients. */
export function warmScenario(frozen: Scenario | null, passCount: number): Scenario | null {
  const { predistorter } = frozen ?? {};
  if (frozen === null || !predistorter?.stored) return null;
  return { ...frozen, predistorter: { ...predistorter, stored: { ...predistorter.stored, passCount } } };
}

/** The reading of a warm run, uncorrected where learning found that better; null while missing or out of reach. */
export function warmReading(base: Scenario, scenario: Scenario | null, lookup: Lookup): HoldReading | null {
  const readings = scenario && lookup.readings(scenario);
  if (readings === null) return null;
  return readings.correctionUsed ? correctedReading(base, readings) : readingOf(base, readings.uncorrected, null);
}

/** What corrected output there is, whether better than none or not. */
export function correctedReading(base: Scenario, { corrected, peaks }: RunReadings): HoldReading | null {
  return corrected && readingOf(base, corrected, peaks.driveHeld);
}

function readingOf({ limits }: Scenario, output: OutputReport, heldRatio: number | null): HoldReading {
  const margins = judge('corrected', output, limits).map(({ marginDb }) => marginDb);
  return {
    worstAclrDb: worstFirstAclrDb(output),
    evmPercent: output.evm?.rmsPercent ?? null,
    worstMarginDb: margins.length === 0 ? null : Math.min(...margins),
    heldRatio,
  };
}

/** The reading of a frozen run; null while missing or out of reach. */
export function frozenReading(base: Scenario, scenario: Scenario | null, lookup: Lookup): HoldReading | null {
  const readings = scenario && lookup.readings(scenario);
  return readings && correctedReading(base, readings);
}
