// An amplifier model by the name of a preset or of a published model, by a scenario file, or by a model file.
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest, parseScenario } from '../../../shared/schema/parse.ts';
import { parseAmplifierModel } from '../../../shared/schema/parseAmplifierModel.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';

const publishedIds: readonly string[] = publishedAmplifierIds;

export interface NamedModel {
  readonly name: string;
  readonly settings: AmplifierModelSettings;
}

/** Throws UnusableInput for an unknown name or a faulty file. */
export function readAmplifierModel(session: Session, name: string): NamedModel {
  if (publishedIds.includes(name)) return { name, settings: check(name, { kind: 'published', id: name }) };
  const value = Object.hasOwn(presets, name) ? presets[name] : readJson(session, fileOf(session, name));
  if (typeof value !== 'object' || value === null || !('amplifier' in value)) {
    return { name, settings: check(name, value) };
  }
  // A scenario must be sound as a whole: a fault elsewhere may be a mistake about the amplifier, too.
  const parsed = parseScenario(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  return { name, settings: parsed.scenario.amplifier.model };
}

function check(name: string, value: unknown): AmplifierModelSettings {
  const parsed = parseAmplifierModel(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  return parsed.model;
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
