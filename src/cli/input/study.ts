// A study by the name of a ready-made one, by a study file, or by a scenario (a preset, a file, standard input) to which
// the command's question is put with its defaults. Options replace fields of the question, `--set` fields of the scenario.
import { dirname } from 'node:path';
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { channelSaturatedPowerDbm } from '../../../shared/schema/overBand.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import type { QuestionKind } from '../../../shared/schema/study.ts';
import { studies, studyNames } from '../../../shared/studies/index.ts';
import { checkScenario, type RecordStore, type Scenario } from '../../engine/index.ts';
import { type Session, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';
import { supplyScenario } from './scenario.ts';

type Fields = Readonly<Record<string, unknown>>;

export interface StudySource {
  /** As the user named it. */
  readonly name: string;
  /** Not checked yet. */
  readonly input: unknown;
  /** The records its scenario names. */
  readonly records: RecordStore;
  /** What was filled in for the user, in words. */
  readonly notes: readonly string[];
}

const QUESTION_TITLES: Readonly<Record<QuestionKind, string>> = {
  ladder: 'how much back-off',
  shape: 'which crest factor',
  map: 'which order',
  ask: 'which amplifier',
  spread: 'how firm',
  tones: 'which intercept',
  burst: 'how a burst starts',
  path: 'how good an observation path',
  hold: 'does it hold',
};

/** The ready-made study that answers a question when nothing is named. */
export function defaultStudy(kind: QuestionKind): string {
  return studyNames.find((name) => studies[name]?.question.kind === kind) ?? '';
}

/** Throws UnusableInput for an unknown name, an unreadable file, another question, or a faulty `--set`. */
export function readStudy(
  session: Session,
  kind: QuestionKind,
  name: string,
  settings: readonly string[],
  changes: Fields,
  limits?: string,
): StudySource {
  const found = findStudy(session, kind, name);
  const asked = isFields(found.question) ? found.question : {};
  if (asked['kind'] !== kind) {
    const remedy = `use kneepoint ${String(asked['kind'])}, or a study that asks ${kind}`;
    throw unusable(name, `must ask the question "${kind}"`, JSON.stringify(asked['kind'] ?? null), remedy);
  }
  const isOfFile = !Object.hasOwn(studies, name) && !Object.hasOwn(presets, name) && name !== '-';
  const folder = isOfFile ? dirname(name) : '';
  const limited = supplyScenario(session, found.scenario, folder, settings, limits);
  const { input: scenario, records } = limited;
  const question = mergeFields(asked, changes);
  const wanted =
    kind === 'ask' && question['wantedAntennaMeanDbm'] === undefined ? ownAntennaPower(scenario, records) : null;
  if (wanted === null) return { name, input: { ...found, scenario, question }, records, notes: limited.notes };
  const note = `wanted power: ${wanted.toFixed(2)} dBm at the antenna port, the scenario’s own; --power asks for another`;
  return {
    name,
    input: { ...found, scenario, question: { ...question, wantedAntennaMeanDbm: wanted } },
    records,
    notes: [...limited.notes, note],
  };
}

/** The question of a ready-made study or a study file; null for everything else. */
export function findStudyKind(session: Session, name: string): QuestionKind | null {
  if (Object.hasOwn(studies, name)) return studies[name]?.question.kind ?? null;
  if (name === '-' || !isFile(session, name)) return null;
  const value = readJson(session, name);
  if (!isFields(value) || !('question' in value)) return null;
  const { question } = value;
  const kind = isFields(question) ? question['kind'] : null;
  return Object.keys(QUESTION_TITLES).find((known): known is QuestionKind => known === kind) ?? null;
}

type Found = Fields & { readonly scenario: unknown; readonly question: unknown };

function findStudy(session: Session, kind: QuestionKind, name: string): Found {
  const readyMade = Object.hasOwn(studies, name) ? studies[name] : undefined;
  const value: unknown =
    readyMade ?? (Object.hasOwn(presets, name) ? presets[name] : readJson(session, fileOf(session, name)));
  if (isFields(value) && 'question' in value) {
    // The preset itself, so that --set can change its fields.
    const named = typeof value['scenario'] === 'string' ? presets[value['scenario']] : undefined;
    return { ...value, scenario: named ?? value['scenario'], question: value['question'] };
  }
  return { ...titleOf(value, kind), scenario: value, question: { kind } };
}

function titleOf(scenario: unknown, kind: QuestionKind): Fields {
  if (!isFields(scenario)) return {};
  const { title, story } = scenario;
  return {
    ...(typeof title === 'string' ? { title: `${title}: ${QUESTION_TITLES[kind]}` } : {}),
    ...(typeof story === 'string' ? { story } : {}),
  };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const near = nearest(name, [...studyNames, ...presetNames]);
  const known = `the ready-made studies are ${studyNames.join(', ')}, the presets ${presetNames.join(', ')}`;
  const remedy = near === null ? known : `did you mean ${near}?`;
  throw unusable('STUDY', 'must be a ready-made study, a preset or a JSON file', JSON.stringify(name), remedy);
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** Fields of objects are replaced one by one; what is undefined changes nothing. */
function mergeFields(base: Fields, changes: Fields): Fields {
  const result: Record<string, unknown> = { ...base };
  for (const [name, value] of Object.entries(changes)) {
    if (value === undefined) continue;
    const old = result[name];
    result[name] = isFields(value) ? mergeFields(isFields(old) ? old : {}, value) : value;
  }
  return result;
}

/** The mean power at the antenna port that the scenario itself asks for, where it states a saturated power. */
function ownAntennaPower(input: unknown, records: RecordStore): number | null {
  const checked = checkScenario(input, records);
  return checked.kind === 'invalid' ? null : antennaPowerOf(checked.scenario);
}

function antennaPowerOf({ operatingPoint, amplifier }: Scenario): number | null {
  const { outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm } = operatingPoint;
  const { outputLossDb } = amplifier;
  const saturatedPowerDbm = channelSaturatedPowerDbm(amplifier);
  if (antennaMeanDbm !== undefined) return antennaMeanDbm;
  if (meanPowerDbm !== undefined) return meanPowerDbm - outputLossDb;
  if (meanPowerW !== undefined) return 30 + 10 * Math.log10(meanPowerW) - outputLossDb;
  if (outputBackoffDb === undefined || saturatedPowerDbm === null) return null;
  return saturatedPowerDbm - outputBackoffDb - outputLossDb;
}
