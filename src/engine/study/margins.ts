// Margins of one run to the scenario's limits, for each of its three outputs.
import type { OutputReport, Subject } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import type { RunReadings } from '../../../shared/schema/studyReport.ts';
import { judge } from '../simulation/verdicts.ts';

/** The output a user would get: a rejected correction leaves the uncorrected one. */
export function outputOf(readings: RunReadings, subject: Subject): OutputReport {
  if (subject === 'ideal') return readings.ideal;
  if (subject === 'uncorrected') return readings.uncorrected;
  return readings.correctionUsed && readings.corrected !== null ? readings.corrected : readings.uncorrected;
}

/** Margin in dB to one limit, or the smallest over several; null when none can be judged. */
export function marginDb(readings: RunReadings, subject: Subject, limits: readonly LimitSettings[]): number | null {
  const verdicts = judge('corrected', outputOf(readings, subject), limits);
  return verdicts.length === 0 ? null : Math.min(...verdicts.map((verdict) => verdict.marginDb));
}

export { limitName } from '../../../shared/format/limitText.ts';

/** Worse side of the first channel read. */
export function worstFirstAclrDb(output: OutputReport): number | null {
  const first = output.aclr[0]?.channel;
  const values = output.aclr.filter((reading) => reading.channel === first).map((reading) => reading.aclrDb);
  return values.length === 0 ? null : Math.min(...values);
}
