// What goes to stderr: faults, warnings, notes, progress.
import type { Warning } from '../../../shared/schema/issue.ts';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { Progress } from '../../../shared/schema/report.ts';
import type { Session, UnusableInput } from '../session.ts';
import type { StudyProgress } from '../study/driveStudy.ts';
import { wrap } from './table.ts';

/** Every fault on a line of its own: path, rule, value, remedy. */
export function tellFaults(session: Session, { subject, issues }: UnusableInput): void {
  const [first] = issues;
  if (issues.length === 1 && first !== undefined && first.path === '') {
    session.stderr(`kneepoint: ${subject} ${first.rule}, got ${first.value}; ${first.remedy}\n`);
    return;
  }
  session.stderr(`kneepoint: ${subject}: ${issues.length} ${issues.length === 1 ? 'fault' : 'faults'}\n`);
  for (const issue of issues) session.stderr(`  ${formatIssue(issue)}\n`);
}

export function tellWarnings(session: Session, warnings: readonly Warning[]): void {
  for (const { code, message } of warnings) session.stderr(`${wrap(`warning (${code}): ${message}`, '  ')}\n`);
}

export function tellNotes(session: Session, notes: readonly string[]): void {
  for (const note of notes) session.stderr(`${wrap(`note: ${note}`, '  ')}\n`);
}

export interface ProgressLine {
  readonly onProgress: (progress: Pick<Progress, 'label' | 'doneRatio'> & Partial<Progress>) => void;
  /** Takes the line away. */
  readonly clear: () => void;
}

/** One line on a terminal, written over and over; nothing elsewhere. */
export function progressLine(session: Session): ProgressLine {
  const { show, clear } = oneLine(session);
  return {
    onProgress: ({ label, doneRatio }) => show(`${String(Math.round(100 * doneRatio)).padStart(3)} %  ${label}`),
    clear,
  };
}

/** The same for a study: runs done, runs needed so far, and the time left. */
export function studyProgressLine(session: Session) {
  const { show, clear } = oneLine(session);
  const onProgress = ({ doneCount, neededCount, timeLeftS }: StudyProgress) => {
    const left = timeLeftS === null ? '' : `, about ${durationText(timeLeftS)} left`;
    show(`${doneCount} of ${neededCount} runs known to be needed${left}; Ctrl+C keeps what is done`);
  };
  return { onProgress, clear };
}

function durationText(seconds: number): string {
  if (seconds < 90) return `${Math.max(1, Math.round(seconds))} s`;
  return seconds < 5400 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds / 3600)} h`;
}

function oneLine(session: Session) {
  if (!session.isTerminal) return { show: () => {}, clear: () => {} };
  const width = Math.max(20, session.columns - 1);
  return {
    show: (text: string) => session.stderr(`\r${[...text].slice(0, width).join('').padEnd(width)}`),
    clear: () => session.stderr(`\r${' '.repeat(width)}\r`),
  };
}
