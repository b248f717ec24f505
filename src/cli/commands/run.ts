// `kneepoint run`: one scenario, with and without correction at the same mean output power.
import { runFigures } from '../../../shared/figures/runFigures.ts';
import { buildClaim } from '../../../shared/reports/claim.ts';
import { claimCard } from '../../../shared/reports/claimCard.ts';
import { reportJson } from '../../../shared/reports/json.ts';
import { unequalPowerText } from '../../../shared/reports/runParts.ts';
import { createRunMemory, type RecordStore, type Report, runScenario } from '../../engine/index.ts';
import { writeOut } from '../input/files.ts';
import { readScenario } from '../input/scenario.ts';
import { checklistText } from '../output/checklistText.ts';
import { writeRunFolder } from '../output/folder.ts';
import { progressLine, tellNotes, tellWarnings } from '../output/messages.ts';
import { runText } from '../output/runText.ts';
import { wrap } from '../output/table.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';
import { spreadOver } from '../study/spreadOver.ts';

export interface RunOptions {
  readonly set: readonly string[];
  /** A limit set in place of the scenario's limits. */
  readonly limits?: string;
  readonly json?: true;
  readonly traces?: true;
  readonly checklist?: true;
  readonly out?: string;
  readonly claim?: string;
  /** Seed sets of the claim's spread. */
  readonly seeds?: number;
  readonly failOnLimit?: true;
}

/** `runner` is the engine's pipeline; a test may put a run with a mistake in its place. */
export async function run(
  session: Session,
  name: string | undefined,
  options: RunOptions,
  runner: typeof runScenario = runScenario,
): Promise<ExitCode> {
  const { seeds, claim } = options;
  if (seeds !== undefined && claim === undefined) {
    throw unusable(
      '--seeds',
      'must stand beside --claim',
      String(seeds),
      'use kneepoint spread for the spread by itself',
    );
  }
  const source = readScenario(session, name, options.set, options.limits);
  tellNotes(session, source.notes);
  const progress = progressLine(session);
  const memory = createRunMemory(source.records);
  const outcome = runAndClear(() => runner(source.input, { onProgress: progress.onProgress, memory }), progress.clear);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  const { report } = outcome;
  const withTraces = options.traces === true;
  if (options.out !== undefined) writeRunFolder(session, options.out, report, withTraces);
  if (claim !== undefined) await writeClaim(session, claim, report, seeds, source.records);
  session.stdout(textOf(report, options));
  tellWarnings(session, report.warnings);
  if (!report.equalPower) session.stderr(`${wrap(unequalPowerText(report))}\n`);
  return options.failOnLimit ? judge(session, report) : EXIT.result;
}

function textOf(report: Report, { json, traces, checklist }: RunOptions): string {
  if (json) return reportJson(report, traces === true);
  return checklist ? checklistText(report) : runText(report);
}

async function writeClaim(
  session: Session,
  path: string,
  report: Report,
  seeds: number | undefined,
  records: RecordStore,
): Promise<void> {
  const spread = seeds === undefined ? null : await spreadOver(session, report.scenario, seeds, records);
  writeOut(session, path, claimCard(buildClaim(report, spread), runFigures(report)));
  session.stderr(`wrote the claim card ${path}\n`);
}

/** The progress line goes away however the run ends. */
function runAndClear<Outcome>(work: () => Outcome, clear: () => void): Outcome {
  try {
    return work();
  } finally {
    clear();
  }
}

/** What is used is judged: the corrected output, or the uncorrected one where no correction is used. */
function judge(session: Session, report: Report): ExitCode {
  const subject = report.correctionUsed ? 'corrected' : 'uncorrected';
  const missed = report.verdicts.filter(({ of, marginDb }) => of === subject && marginDb < 0);
  if (!report.equalPower) {
    session.stderr('exit 1: the outputs are not at equal power, so no verdict holds\n');
    return EXIT.limitMissed;
  }
  if (missed.length === 0) return EXIT.result;
  session.stderr(`exit 1: the ${subject} output misses ${missed.length} of its limits\n`);
  return EXIT.limitMissed;
}
