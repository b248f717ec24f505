// A record of any length measured in pieces: it is read twice, and the memory does not grow with it. The figures are
// those of `measureRecord` on a record that is not one period; levels of rank are known to 2^−33 of themselves.
//
//   first reading    sums, peak, DC, clipped samples, cells of power      → what the record is
//   second reading   segments of the spectrum, exceedance curve, ranks    → what it holds
import type { Issue } from '../../../shared/schema/issue.ts';
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { LEAST_SAMPLES_BEYOND } from '../dsp/exceedance.ts';
import { createPowerCells, createPowerRanks } from '../dsp/powerRanks.ts';
import { createSegmentAverager } from '../dsp/segmentAverager.ts';
import { ccdf, ccdfLevelsDb, PAPR_PROBABILITIES } from '../measurement/ccdf.ts';
import { checkSettings, checkStatistics, type RecordSettings, spectrumOptions } from './checkRecord.ts';
import { type MeasureOutcome, writeRecordReport } from './recordReport.ts';
import { gatherStatistics, type RecordStatistics } from './recordStatistics.ts';

export interface FirstReading {
  /** The record's next samples; they may be overwritten afterwards. */
  readonly push: (samples: ComplexSignal) => void;
  readonly finish: (
    sampleRateHz: number,
    settings: RecordSettings,
  ) =>
    | { readonly kind: 'second'; readonly second: SecondReading }
    | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };
}

export interface SecondReading {
  /** The same samples once more. */
  readonly push: (samples: ComplexSignal) => void;
  readonly finish: () => MeasureOutcome;
}

/** Begins to measure a record in pieces. `fullScale` as in `RecordSettings`. */
export function beginRecord(fullScale: number | null): FirstReading {
  const sums = gatherStatistics(fullScale);
  const cells = createPowerCells();
  return {
    push: (samples) => {
      sums.push(samples);
      cells.push(samples);
    },
    finish: (sampleRateHz, settings) => {
      const statistics = sums.finish();
      const issues = [...checkStatistics(statistics), ...checkSettings(settings, sampleRateHz, statistics.sampleCount)];
      if (issues.length > 0) return { kind: 'invalid', issues };
      return { kind: 'second', second: readAgain(statistics, cells.counts, sampleRateHz, settings) };
    },
  };
}

function readAgain(
  statistics: RecordStatistics,
  counts: Float64Array,
  sampleRateHz: number,
  settings: RecordSettings,
): SecondReading {
  const { sampleCount } = statistics;
  const options = spectrumOptions(settings, sampleRateHz, sampleCount, false);
  const averager = createSegmentAverager(sampleCount, options);
  const curve = gatherCcdf(statistics.meanPower);
  const known = PAPR_PROBABILITIES.filter(
    (probability) => Math.floor(probability * sampleCount) >= LEAST_SAMPLES_BEYOND,
  );
  const ranks = createPowerRanks(
    counts,
    known.map((probability) => Math.floor(probability * sampleCount) + 1),
  );
  let seen = 0;
  const push = (samples: ComplexSignal) => {
    seen += samples.re.length;
    averager.push(samples);
    curve.push(samples);
    ranks.push(samples);
  };
  const finish = (): MeasureOutcome => {
    if (seen !== sampleCount) return { kind: 'invalid', issues: [changedIssue(sampleCount, seen)] };
    const levels = ranks.finish();
    const papr = PAPR_PROBABILITIES.map((probability, i) => ({
      probability,
      db: i < levels.length ? powerRatioToDb(levels[i] / statistics.meanPower) : null,
    }));
    const spectrum = averager.finish();
    const ccdfTrace = curve.finish();
    const parts = { settings, statistics, options, spectrum, papr, ccdf: ccdfTrace, isStreamed: true, compare: null };
    return writeRecordReport(parts);
  };
  return { push, finish };
}

function changedIssue(first: number, second: number): Issue {
  const rule = `must hold the same samples both times it is read, ${first}`;
  return { path: 'record', rule, value: `${second} samples`, remedy: 'wait until the record is written' };
}

/** The exceedance curve over the record's mean, from the curves of its pieces over their own. */
function gatherCcdf(mean: number) {
  const levelDb = ccdfLevelsDb();
  const above = new Float64Array(levelDb.length);
  let count = 0;
  const push = (samples: ComplexSignal) => {
    count += samples.re.length;
    const ownMean = meanPower(samples);
    if (!(ownMean > 0)) return;
    const shiftDb = powerRatioToDb(mean / ownMean);
    const own = ccdf(
      samples,
      levelDb.map((level) => level + shiftDb),
    );
    for (let i = 0; i < above.length; i++) above[i] += own[i] * samples.re.length;
  };
  const finish = () => ({ levelDb, probability: above.map((value) => value / count) });
  return { push, finish };
}
