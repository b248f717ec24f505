// How much back-off: every limit against output back-off, uncorrected, corrected and for the ideal limiter.
import { ALL_LIMITS } from '../../../shared/format/limitText.ts';
import { channelSaturatedPowerDbm } from '../../../shared/schema/overBand.ts';
import type { Subject } from '../../../shared/schema/report.ts';
import type { LimitSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { LadderQuestion } from '../../../shared/schema/study.ts';
import type { LadderPoint, LadderResult, LimitCrossing, RunReadings } from '../../../shared/schema/studyReport.ts';
import { dbmToW, FLOOR_DB } from '../dsp/decibels.ts';
import { structureCostOf } from '../simulation/structure.ts';
import { type Crossing, findCrossing } from './crossing.ts';
import type { Lookup } from './lookup.ts';
import { limitName, marginDb, outputOf, worstFirstAclrDb } from './margins.ts';
import { atBackoff, gridOf } from './variation.ts';

const SUBJECTS: readonly Subject[] = ['uncorrected', 'corrected', 'ideal'];

export { ALL_LIMITS };

export function evaluateLadder(base: Scenario, question: LadderQuestion, lookup: Lookup): LadderResult {
  const grid = gridOf(question.outputBackoff);
  const subjects = SUBJECTS.filter((subject) => subject !== 'corrected' || base.predistorter !== null);
  const known = grid.flatMap((x) => lookup.readings(atBackoff(base, x)) ?? []);
  const points = known.map((readings) => pointOf(readings, subjects, base.limits));
  const crossings: LimitCrossing[] = [];
  const unmet: LadderResult['unmet'][number][] = [];
  for (const of of subjects) {
    for (const [limit, limits] of namedLimits(base.limits)) {
      const crossing = crossingOf(base, grid, of, limits, lookup);
      // A limit that no run could judge stands at the floor of all levels.
      if (crossing.kind === 'none') unmet.push({ of, limit, bestMarginDb: Math.max(FLOOR_DB, crossing.best) });
      if (crossing.kind === 'found') crossings.push(...writeCrossing(base, of, limit, crossing, lookup));
      if (crossing.kind === 'pending' && crossing.near !== null)
        crossings.push(estimate(base, of, limit, crossing.near));
    }
  }
  return {
    kind: 'ladder',
    points,
    crossings,
    unmet,
    gain: gainOf(base, crossings),
    correctionFailsBelowDb: failsBelow(points),
    correctionCost: costOfCorrection(base),
    power: known[0]?.amplifier.power ?? null,
  };
}

/** Each limit by itself, and all of them together when there are several. */
function namedLimits(limits: readonly LimitSettings[]): [string, readonly LimitSettings[]][] {
  const single = limits.map((limit): [string, readonly LimitSettings[]] => [limitName(limit), [limit]]);
  return limits.length === 0 ? [] : [...single, [ALL_LIMITS, limits]];
}

/** Where one output of the base scenario meets the given limits. */
export function crossingOf(
  base: Scenario,
  grid: readonly number[],
  subject: Subject,
  limits: readonly LimitSettings[],
  lookup: Lookup,
): Crossing {
  return findCrossing(grid, (x) => {
    const outcome = lookup.outcome(atBackoff(base, x), false);
    if (outcome === null) return 'pending';
    return outcome.kind === 'readings' ? marginDb(outcome.readings, subject, limits) : null;
  });
}

function pointOf(readings: RunReadings, subjects: readonly Subject[], limits: readonly LimitSettings[]): LadderPoint {
  return {
    outputBackoffDb: readings.uncorrected.outputBackoffDb,
    meanPowerDbm: readings.uncorrected.meanPowerDbm,
    correctionUsed: readings.correctionUsed,
    subjects: subjects.map((of) => {
      // The picture shows what the correction does even where it is not used.
      const shown = of === 'corrected' ? (readings.corrected ?? readings.uncorrected) : outputOf(readings, of);
      return {
        of,
        worstAclrDb: worstFirstAclrDb(shown),
        evmPercent: shown.evm?.rmsPercent ?? null,
        worstMarginDb: marginDb(readings, of, limits),
        dcPowerW: shown.dcPowerW,
        efficiencyPercent: shown.efficiencyPercent,
        heatW: shown.heatW,
        junctionTemperatureC: shown.junctionTemperatureC,
        peakPowerDbm: shown.peakPowerDbm,
        peakPowerW: shown.peakPowerW,
        drivePeakDbm: shown.drivePeakDbm,
        drivePeakW: shown.drivePeakW,
      };
    }),
  };
}

function writeCrossing(
  base: Scenario,
  of: Subject,
  limit: string,
  crossing: Extract<Crossing, { kind: 'found' }>,
  lookup: Lookup,
): LimitCrossing[] {
  const readings = lookup.readings(atBackoff(base, crossing.x));
  if (readings === null) return [];
  const output = outputOf(readings, of);
  const { meanPowerDbm, meanPowerW, antennaMeanDbm, dcPowerW } = output;
  const heatW = dcPowerW === null || meanPowerW === null ? null : dcPowerW - meanPowerW;
  const { x: outputBackoffDb, bracketed } = crossing;
  const powers = { meanPowerDbm, meanPowerW, antennaMeanDbm, dcPowerW, heatW };
  return [{ of, limit, outputBackoffDb, ...powers, bracketed, isEstimate: false }];
}

/** A crossing that the root search has not reached yet: the powers follow from the output back-off alone. */
function estimate(base: Scenario, of: Subject, limit: string, outputBackoffDb: number): LimitCrossing {
  const { outputLossDb } = base.amplifier;
  const saturatedPowerDbm = channelSaturatedPowerDbm(base.amplifier);
  const meanPowerDbm = saturatedPowerDbm === null ? null : saturatedPowerDbm - outputBackoffDb;
  return {
    of,
    limit,
    outputBackoffDb,
    meanPowerDbm,
    meanPowerW: meanPowerDbm === null ? null : dbmToW(meanPowerDbm),
    antennaMeanDbm: meanPowerDbm === null ? null : meanPowerDbm - outputLossDb,
    dcPowerW: null,
    heatW: null,
    bracketed: true,
    isEstimate: true,
  };
}

/** What correction buys when all limits hold: dB, watts, and DC power against a larger amplifier without correction. */
function gainOf(base: Scenario, crossings: readonly LimitCrossing[]): LadderResult['gain'] {
  const find = (of: Subject) => crossings.find((one) => one.of === of && one.limit === ALL_LIMITS);
  const without = find('uncorrected');
  const corrected = find('corrected');
  if (without === undefined || corrected === undefined) return null;
  const backoffDb = without.outputBackoffDb - corrected.outputBackoffDb;
  // The same clean power uncorrected takes an amplifier larger by the gap, driven at its own output back-off.
  const larger = 10 ** (backoffDb / 10);
  const dcPowerUncorrectedW = without.dcPowerW === null ? null : without.dcPowerW * larger;
  const saturatedPowerDbm = channelSaturatedPowerDbm(base.amplifier);
  return {
    backoffDb,
    meanPowerW: difference(corrected.meanPowerW, without.meanPowerW),
    dcPowerCorrectedW: corrected.dcPowerW,
    dcPowerUncorrectedW,
    heatSavedW: difference(dcPowerUncorrectedW, corrected.dcPowerW),
    largerSaturatedPowerDbm: saturatedPowerDbm === null ? null : saturatedPowerDbm + backoffDb,
  };
}

function difference(a: number | null, b: number | null): number | null {
  return a === null || b === null ? null : a - b;
}

/** Largest output back-off at which the correction is no better than none. */
function failsBelow(points: readonly LadderPoint[]): number | null {
  const failing = points.filter((point) => {
    const without = point.subjects.find((one) => one.of === 'uncorrected')?.worstAclrDb ?? null;
    const corrected = point.subjects.find((one) => one.of === 'corrected')?.worstAclrDb ?? null;
    return without !== null && corrected !== null && (!point.correctionUsed || corrected <= without);
  });
  return failing.length === 0 ? null : Math.max(...failing.map((point) => point.outputBackoffDb));
}

function costOfCorrection(base: Scenario): LadderResult['correctionCost'] {
  const { predistorter } = base;
  return predistorter && structureCostOf(predistorter);
}
