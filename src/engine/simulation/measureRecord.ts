// Readings of a record from anywhere, under the names of the report of a run; against a reference record also delay,
// gain, NMSE and EVM. The whole file is one record and is never renormalised: powers are relative to |x| = 1 (dBfs).
//
// Segments wrap around the end of a record only when it is one period (recordPeriod).
import type { ComplexSignal } from '../dsp/complex.ts';
import { isOnePeriod } from '../dsp/recordPeriod.ts';
import { estimateSpectrum } from '../dsp/spectrum.ts';
import { measureCcdf, measurePapr } from '../measurement/ccdf.ts';
import { checkReference, checkSettings, checkStatistics, type RecordSettings, spectrumOptions } from './checkRecord.ts';
import { compareRecords } from './compareRecords.ts';
import { type MeasureOutcome, writeRecordReport } from './recordReport.ts';
import { statisticsOf } from './recordStatistics.ts';

/** A record and its rate, as a reader gives it. */
export interface RecordInput {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
}

export interface MeasureRecordInput extends RecordInput, RecordSettings {
  /** Record of what was sent, at the same rate; where the two are not one period, what overlaps is compared. */
  readonly reference?: RecordInput | null;
}

/** Measures a record, or says what makes it unusable. */
export function measureRecord(input: MeasureRecordInput): MeasureOutcome {
  const { signal, sampleRateHz, reference } = input;
  const statistics = statisticsOf(signal, input.fullScale ?? null);
  const issues = [
    ...checkStatistics(statistics),
    ...(reference ? checkReference(reference, sampleRateHz) : []),
    ...checkSettings(input, sampleRateHz, statistics.sampleCount),
  ];
  if (issues.length > 0) return { kind: 'invalid', issues };
  const periodic = input.isOnePeriod ?? isOnePeriod(signal);
  const options = spectrumOptions(input, sampleRateHz, statistics.sampleCount, periodic);
  return writeRecordReport({
    settings: input,
    statistics,
    options,
    spectrum: estimateSpectrum(signal, options),
    papr: measurePapr(signal),
    ccdf: measureCcdf(signal),
    isStreamed: false,
    compare: reference
      ? (channels) => compareRecords(reference.signal, signal, sampleRateHz, channels, periodic)
      : null,
  });
}
