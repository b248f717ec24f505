// `kneepoint check`: is this scenario or study sound, and what does it resolve to? Nothing is run, except for a claim
// card, which is repeated and compared.
import { carrierText } from '../../../shared/format/carrierText.ts';
import { limitName } from '../../../shared/format/limitText.ts';
import { formatEngineering } from '../../../shared/format/numbers.ts';
import { structureText } from '../../../shared/format/predistorterText.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { repeatable } from '../../../shared/reports/studyPage.ts';
import type { QuestionKind } from '../../../shared/schema/study.ts';
import { checkScenario, evaluateStudy, type Scenario } from '../../engine/index.ts';
import { isFile, readText } from '../input/files.ts';
import { readScenario } from '../input/scenario.ts';
import { findStudyKind, readStudy } from '../input/study.ts';
import { tellNotes, tellWarnings } from '../output/messages.ts';
import { formatLines } from '../output/table.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';
import { checkClaim } from './checkClaim.ts';

interface CheckOptions {
  readonly set: readonly string[];
  readonly limits?: string;
  readonly json?: true;
}

export async function check(session: Session, name: string | undefined, options: CheckOptions): Promise<ExitCode> {
  if (name?.toLowerCase().endsWith('.html') && isFile(session, name)) {
    const code = await checkClaim(session, name, readText(session, name), options);
    if (code !== null) return code;
    throw unusable(name, 'must be a claim card, a scenario or a study', 'another page', 'name a file of run --claim');
  }
  const study = name === undefined ? null : findStudyKind(session, name);
  return study === null ? checkScenarioFile(session, name, options) : checkStudy(session, name ?? '', study, options);
}

function checkStudy(session: Session, name: string, kind: QuestionKind, options: CheckOptions): ExitCode {
  const source = readStudy(session, kind, name, options.set, {}, options.limits);
  const outcome = evaluateStudy(source.input, new Map(), source.records);
  if (outcome.kind === 'invalid') throw new UnusableInput(name, outcome.issues);
  const { report, pending } = outcome;
  tellNotes(session, source.notes);
  const runs = `the study is sound; it asks ${kind} and begins with ${pending.length} runs`;
  session.stdout(
    options.json ? toJson(repeatable(report)) : `${report.study.title}: ${runs}\n\n${report.conditions}\n`,
  );
  tellWarnings(session, report.warnings);
  return EXIT.result;
}

function checkScenarioFile(session: Session, name: string | undefined, options: CheckOptions): ExitCode {
  const source = readScenario(session, name, options.set, options.limits);
  const outcome = checkScenario(source.input, source.records);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  tellNotes(session, source.notes);
  session.stdout(options.json ? toJson(outcome.scenario) : summarize(outcome.scenario));
  tellWarnings(session, outcome.warnings);
  return EXIT.result;
}

function summarize(scenario: Scenario): string {
  const { waveform, amplifier, operatingPoint, predistorter, seeds, limits } = scenario;
  const hz = (value: number) => formatEngineering(value, 'Hz', 6);
  const carriers = waveform.carriers.map((carrier) => `${carrierText(carrier)} at ${hz(carrier.offsetHz)}`);
  const rate = waveform.sampleRateHz === 'auto' ? 'auto' : hz(waveform.sampleRateHz);
  const point = Object.entries(operatingPoint).map(([key, value]) => `${key} ${value}`);
  const model = amplifier.model.kind === 'published' ? `published ${amplifier.model.id}` : amplifier.model.kind;
  const correction =
    predistorter === null ? 'none' : `${structureText(predistorter)}, ${predistorter.learning.passCount} passes`;
  const rows = [
    ['carriers', carriers.join('; ')],
    ['sample rate', rate],
    ['amplifier', model],
    ['operating point', point.join(', ')],
    ['predistorter', correction],
    ['seeds', `judging ${seeds.judging}, training ${seeds.training}, selection ${seeds.selection}`],
    ['limits', limits.length === 0 ? 'none' : limits.map(limitName).join('; ')],
  ];
  return `${scenario.title}: the scenario is sound\n\n${formatLines(rows)}`;
}
