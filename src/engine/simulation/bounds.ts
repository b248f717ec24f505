// What the result is held against: the ideal limiter, and the best drive that any structure could send.
import type { BestDriveReport, BoundsReport, FloorName, OutputReport } from '../../../shared/schema/report.ts';
import { peakPower, scale } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { findBestDrive } from '../linearization/bestDrive.ts';
import { worstAclrDb } from '../measurement/aclr.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import type { Records, UncorrectedOutput } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import type { RunFaults } from './faults.ts';
import { levellingBench, worstFirstAclr } from './linearize.ts';
import { worstEvm } from './readings.ts';

/** Iterative learning on the judging record, under the same ceiling, at the same mean output power; null when left out. */
export function readBestDrive(
  setup: Setup,
  records: Records,
  uncorrected: UncorrectedOutput,
  faults: RunFaults,
): BestDriveReport | null {
  const learning = setup.scenario.predistorter?.learning;
  if (learning === undefined || learning.bestDrivePassCount === 0) return null;
  const judging = records.judging.waveform;
  const found = findBestDrive({
    wanted: scale(judging.signal, uncorrected.driveScale),
    start: uncorrected,
    passCount: learning.bestDrivePassCount,
    ceiling: faults.ignoreCeiling ? Infinity : learning.driveCeilingRatio,
    bench: { ...levellingBench(setup, uncorrected.slope), measureNmseDb },
  });
  if (found === null) return null;
  return {
    worstAclrDb: worstFirstAclr(setup, found.output),
    evmPercent: worstEvm(setup, judging, found.output)?.rmsPercent ?? null,
    nmseDb: found.nmseDb,
    drivePeakDb: powerRatioToDb(peakPower(found.drive)),
    passCount: found.passNmseDb.length,
  };
}

/** Nearer than this to a bound, the bound is what limits. */
const NEAR_DB = 1.5;

/**
 * What limits the result, from its total error and from its worst adjacent ratio: a floor that the first channel's worse
 * side names; the ideal limiter, which bounds the error of every correction; the amplifier, when the best drive does
 * not come nearer either; else the predistorter's structure and learning.
 */
export function boundsOf(
  setup: Setup,
  corrected: OutputReport | null,
  ideal: OutputReport,
  bestDrive: BestDriveReport | null,
): BoundsReport | null {
  if (corrected === null) return null;
  const bestNmseDb = bestDrive?.nmseDb ?? null;
  // The best drive found is one drive; a correction may beat it by little, and then is the best itself.
  const distanceFromBestDb = bestNmseDb === null ? null : Math.max(0, corrected.nmseDb - bestNmseDb);
  return {
    idealLimiterNmseDb: ideal.nmseDb,
    bestDriveNmseDb: bestNmseDb,
    distanceFromBestDb,
    limitedBy: limitOf(setup, corrected, ideal, distanceFromBestDb),
  };
}

function limitOf(
  setup: Setup,
  corrected: OutputReport,
  ideal: OutputReport,
  distanceFromBestDb: number | null,
): BoundsReport['limitedBy'] {
  const first = setup.channels[0]?.name;
  const worst = worstAclrDb(corrected.aclr, first);
  const named: FloorName | null =
    corrected.aclr.find(({ channel, aclrDb }) => channel === first && aclrDb === worst)?.limitedBy ?? null;
  if (named !== null && named !== 'idealLimiter') return named;
  if (corrected.nmseDb - ideal.nmseDb < NEAR_DB) return 'idealLimiter';
  if (distanceFromBestDb !== null && distanceFromBestDb < NEAR_DB) return 'amplifier';
  return 'predistorter';
}
