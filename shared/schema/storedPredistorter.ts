// From a report to a predistorter that can be kept: its structure, its coefficients, and what they were learned for.
import type { PredistorterSettings, StoredPredistorter } from './predistorter.ts';
import type { Report } from './report.ts';

/** What of a report a predistorter is made from. */
export type PredistortedRun = Pick<Report, 'predistorter' | 'scenario'>;

/** The coefficients of a run, at the level at which it sent them; null without a predistorter. */
export function storedOf({ predistorter }: Pick<Report, 'predistorter'>, name = ''): StoredPredistorter | null {
  if (predistorter === null) return null;
  const { re, im } = predistorter.coefficients;
  return {
    name,
    coefficients: Array.from(re, (value, i) => ({ re: value, im: im[i] as number })),
    sampleRateHz: predistorter.sampleRateHz,
    driveScaleRatio: predistorter.driveScale,
    kneeAmplitude: predistorter.kneeAmplitude,
    levelBy: 'drive',
    passCount: 0,
    learnedFor: predistorter.learnedFor,
  };
}

/** The predistorter section of a scenario that uses the run's coefficients as they are; null without a predistorter. */
export function predistorterToKeep(report: PredistortedRun, name = ''): PredistorterSettings | null {
  const stored = storedOf(report, name);
  const settings = report.scenario.predistorter;
  return stored === null || settings === null ? null : { ...settings, stored };
}
