// A record from anywhere through a learned predistorter. The samples are the digital level in the drive units of the
// amplifier model that was learned for, the ones `amplifyRecord` takes, and are never renormalised:
//   u = k·ceiling(P(x/k; c)),   k the amplitude of the knee in those units
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { PredistorterSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, meanPower, peakPower, scale } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { heldRatio, holdAmplitude } from '../linearization/idealLimiter.ts';
import { quantiseDrive } from '../linearization/numbers.ts';
import { predistorterIssues } from './checkPredistorter.ts';
import type { RecordInput } from './measureRecord.ts';
import { inWords } from './numberFormats.ts';
import { coefficientsOf, storedIssues } from './storedPredistorter.ts';
import { regressorsOf } from './structure.ts';

export interface PredistortedRecord {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
  /** Of the record, before the predistorter. */
  readonly inputMeanDbfs: number;
  /** Level of the record over the one it was learned for. */
  readonly levelDifferenceDb: number;
  readonly meanDbfs: number;
  /** Largest amplitude written, in the record's units, as is the ceiling. */
  readonly peak: number;
  readonly ceiling: number;
  /** Share of the samples held at the ceiling. */
  readonly heldSampleRatio: number;
  readonly warnings: readonly Warning[];
}

export type PredistortOutcome =
  | { readonly kind: 'record'; readonly record: PredistortedRecord }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Further from the level of the learning than this, the figures of the learning no longer hold. */
const LEVEL_DOUBT_DB = 0.5;

/**
 * Passes a record, taken as one period, through stored coefficients. Faults: no stored coefficients, another structure or
 * sample rate, a record without power or shorter than the memory. Samples beyond the drive ceiling are held and counted.
 */
export function predistortRecord(input: RecordInput, predistorter: PredistorterSettings): PredistortOutcome {
  const { signal, sampleRateHz } = input;
  const { stored } = predistorter;
  const issues = recordIssues(signal);
  if (stored === null) return { kind: 'invalid', issues: [...issues, nothingStored()] };
  const faults = predistorterIssues(withoutTraining(predistorter), Math.max(1, signal.re.length));
  issues.push(...faults);
  const structure = faults.length === 0 ? regressorsOf(predistorter) : null;
  if (structure !== null) issues.push(...storedIssues(predistorter, structure.termCount, { sampleRateHz }));
  if (structure === null || issues.length > 0) return { kind: 'invalid', issues };
  const knee = stored.kneeAmplitude;
  const { driveCeilingRatio } = predistorter.learning;
  const level = scale(signal, 1 / knee);
  const { numbers } = predistorter;
  // Gain tables end where the record does, as in a run.
  const reach = Math.sqrt(peakPower(level));
  const functions = numbers === null ? structure : inWords(structure, predistorter, numbers, reach);
  const requested = functions.apply(coefficientsOf(stored), level);
  const held = holdAmplitude(requested, driveCeilingRatio);
  const drive = scale(numbers === null ? held : quantiseDrive(held, numbers, driveCeilingRatio), knee);
  const ceiling = driveCeilingRatio * knee;
  const heldSampleRatio = heldRatio(requested, driveCeilingRatio);
  const inputMeanDbfs = powerRatioToDb(meanPower(signal));
  const levelDifferenceDb = inputMeanDbfs - learnedLevelDbfs(stored);
  return {
    kind: 'record',
    record: {
      signal: drive,
      sampleRateHz,
      inputMeanDbfs,
      levelDifferenceDb,
      meanDbfs: powerRatioToDb(meanPower(drive)),
      peak: Math.sqrt(peakPower(drive)),
      ceiling,
      heldSampleRatio,
      warnings: [...levelDoubts(levelDifferenceDb), ...ceilingDoubts(heldSampleRatio, ceiling)],
    },
  };
}

/** Mean level, in the record's units, at the predistorter's input while it was learned. */
export function learnedLevelDbfs({
  driveScaleRatio,
  kneeAmplitude,
}: Pick<NonNullable<PredistorterSettings['stored']>, 'driveScaleRatio' | 'kneeAmplitude'>): number {
  return powerRatioToDb((driveScaleRatio * kneeAmplitude) ** 2);
}

/** Nothing is trained here: the length asked for in a scenario says nothing about this record. */
function withoutTraining(predistorter: PredistorterSettings): PredistorterSettings {
  return { ...predistorter, learning: { ...predistorter.learning, trainingSampleCount: 'all' } };
}

function recordIssues({ re, im }: ComplexSignal): Issue[] {
  if (re.length > 0 && meanPower({ re, im }) > 0) return [];
  const value = `${re.length} samples of zero`;
  return [{ path: 'record', rule: 'must hold power', value, remedy: 'give a record of a signal' }];
}

function nothingStored(): Issue {
  return {
    path: 'predistorter.stored',
    rule: 'must hold coefficients',
    value: 'null',
    remedy: 'give the report or the predistorter file that run --out wrote',
  };
}

function levelDoubts(differenceDb: number): Warning[] {
  if (Math.abs(differenceDb) <= LEVEL_DOUBT_DB) return [];
  const where = `${Math.abs(differenceDb).toFixed(2)} dB ${differenceDb > 0 ? 'above' : 'below'}`;
  const message = `The record’s mean level is ${where} the level that the predistorter was learned at. Records are never renormalised: bring the record to that level, or learn at this one.`;
  return [{ code: 'level-elsewhere', message }];
}

function ceilingDoubts(ratio: number, ceiling: number): Warning[] {
  if (ratio === 0) return [];
  const message = `${(1e6 * ratio).toFixed(0)} ppm of the samples are held at the drive ceiling of ${ceiling.toPrecision(4)}.`;
  return [{ code: 'drive-held', message }];
}
