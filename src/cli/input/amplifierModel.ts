// An amplifier model by the name of a preset or of a published model, by a scenario file, by a model file, or by a table
// of measured points.
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest, parseScenario } from '../../../shared/schema/parse.ts';
import { parseAmplifierModel } from '../../../shared/schema/parseAmplifierModel.ts';
import type { AmplifierModelSettings, OverBandSettings, SlowStatesSettings } from '../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { amplifierAtChannel, readEnvelopePoints } from '../../engine/index.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFile, readJson, readText } from './files.ts';

const publishedIds: readonly string[] = publishedAmplifierIds;

export interface NamedModel {
  readonly name: string;
  readonly settings: AmplifierModelSettings;
  readonly slowStates: SlowStatesSettings | null;
  /** Of a scenario; the settings are those of its channel. */
  readonly saturatedPowerDbm: number | null;
  readonly overBand: OverBandSettings | null;
}

/** Files of points, one a line. */
const POINTS_FILE = /\.(?:csv|tsv|txt)$/i;

/** Throws UnusableInput for an unknown name or a faulty file. */
export function readAmplifierModel(session: Session, name: string): NamedModel {
  if (publishedIds.includes(name)) return named(name, { kind: 'published', id: name });
  if (POINTS_FILE.test(name) && isFile(session, name)) return named(name, pointsOf(session, name));
  const value = Object.hasOwn(presets, name) ? presets[name] : readJson(session, fileOf(session, name));
  if (typeof value !== 'object' || value === null || !('amplifier' in value)) {
    return named(name, value);
  }
  // A scenario must be sound as a whole: a fault elsewhere may be a mistake about the amplifier, too.
  const parsed = parseScenario(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  const section = amplifierAtChannel(parsed.scenario.amplifier);
  if (section.kind === 'invalid') throw new UnusableInput(name, section.issues);
  const { model, slowStates, saturatedPowerDbm, overBand } = section.amplifier;
  return { name, settings: model, slowStates, saturatedPowerDbm, overBand };
}

function named(name: string, value: unknown): NamedModel {
  const parsed = parseAmplifierModel(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  return { name, settings: parsed.model, slowStates: null, saturatedPowerDbm: null, overBand: null };
}

function pointsOf(session: Session, name: string): unknown {
  const outcome = readEnvelopePoints(readText(session, name));
  if (outcome.kind === 'invalid') throw new UnusableInput(name, outcome.issues);
  return { kind: 'envelopePoints', points: outcome.points };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const known = [...presetNames, ...publishedIds];
  const near = nearest(name, known);
  const remedy = near === null ? `known names are ${known.join(', ')}` : `did you mean ${near}?`;
  throw unusable(
    '--with',
    'must be a preset, a published model, a scenario or a model file',
    JSON.stringify(name),
    remedy,
  );
}
