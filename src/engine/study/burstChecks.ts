// What the burst study needs of its scenario, where its figures deserve doubt, and under which conditions they hold.
import { formatEngineering, formatFixed } from '../../../shared/format/numbers.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { BurstQuestion } from '../../../shared/schema/study.ts';
import type { BurstResult } from '../../../shared/schema/studyReport.ts';
import type { Setup } from '../simulation/checkScenario.ts';
import { coldStartIssues, coldStartWarnings } from '../simulation/coldStart.ts';
import { silencesOf } from './burstStart.ts';
import { conditionsOf } from './conditions.ts';

const seconds = (value: number) => formatEngineering(value, 's');

export function burstIssues(setup: Setup): Issue[] {
  // The silences are the question's own and were checked with it.
  return coldStartIssues(setup, []).map((issue) => ({ ...issue, path: `scenario.${issue.path}` }));
}

/** Doubts of the question as such, and of what was read so far. */
export function burstWarnings(setup: Setup, result: BurstResult): Warning[] {
  return [...coldStartWarnings(setup), ...warmOverThreshold(result), ...uncorrected(setup, result)];
}

function warmOverThreshold({ warm, evmWithinPercent }: BurstResult): Warning[] {
  if (warm === null) return [];
  const over = warm.netPercent.filter((percent) => percent >= evmWithinPercent).length;
  if (over === 0) return [];
  const most = formatFixed(Math.max(...warm.netPercent), 2);
  const message = `The warm burst itself reads up to ${most} %: ${over} of its ${warm.netPercent.length} symbols stand at or over the ${evmWithinPercent} % under which a burst counts as settled. Raise evmWithinPercent, or average more records.`;
  return [{ code: 'burst-threshold-in-noise', message }];
}

function uncorrected({ scenario }: Setup, { recordsRead, recordsCorrected }: BurstResult): Warning[] {
  const missing = recordsRead - recordsCorrected;
  if (scenario.predistorter === null || missing === 0) return [];
  const message = `With ${missing} of ${recordsRead} records the correction was not used: it was no better than none. Their bursts are uncorrected.`;
  return [{ code: 'burst-uncorrected', message }];
}

/** The one line under every picture. */
export function burstConditions(scenario: Scenario, question: BurstQuestion): string {
  const { slowStates } = scenario.amplifier;
  const heat = slowStates === null ? '' : `heat ${seconds(slowStates.heatTimeConstantS)}`;
  const traps =
    slowStates === null ? '' : `traps ${seconds(slowStates.trapAttackS)} and ${seconds(slowStates.trapReleaseS)}`;
  const silences = silencesOf(question).map(seconds).join(', ');
  const { recordCount } = question;
  const records = recordCount === 1 ? 'one record' : `means of ${recordCount} records, the first with the seeds below`;
  return [
    `silences of ${silences} after states settled with the drive as sent`,
    `${heat}, ${traps}`,
    `${records}, EVM of each symbol without what shaping spent on it`,
    'equalizer of the warm burst',
    conditionsOf(scenario),
  ].join('; ');
}
