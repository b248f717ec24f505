// What the transmit and observation paths of a run cost, as sentences.
import { formatQuantity } from '../format/numbers.ts';
import type { SignalPathReport } from '../schema/pathReport.ts';
import type { Report } from '../schema/report.ts';

/** One sentence a path that has effects; none without paths. */
export function pathTexts({ transmitter, observation }: Pick<Report, 'transmitter' | 'observation'>): string[] {
  return [
    ...sentence('Transmitter, error of each effect alone on the uncorrected drive', transmitter),
    ...sentence('Observation, error of each effect alone on the uncorrected output', observation),
  ];
}

function sentence(heading: string, path: SignalPathReport | null): string[] {
  if (path === null || path.rows.length === 0) return [];
  const rows = path.rows.map(({ label, errorDb, errorPercent }) => {
    return `${label}: ${formatQuantity(errorDb, 'dB')} (${formatQuantity(errorPercent, '%', 2)})`;
  });
  const together = path.rows.length < 2 ? '' : `; together ${formatQuantity(path.together.errorDb, 'dB')}`;
  return [`${heading}: ${rows.join(', ')}${together}.`];
}
