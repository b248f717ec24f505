// An amplifier model by the name of a preset or of a published model, or by a file that holds one.
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest, parseScenario } from '../../../shared/schema/parse.ts';
import { parseAmplifierModel, parseAmplifierSection } from '../../../shared/schema/parseAmplifierModel.ts';
import type {
  AmplifierModelSettings,
  AmplifierSettings,
  OverBandSettings,
  SlowStatesSettings,
} from '../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { amplifierAtChannel } from '../../engine/index.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { amplifierFileOf, readAmplifierFile } from './amplifierFile.ts';
import { isFile } from './files.ts';

const publishedIds: readonly string[] = publishedAmplifierIds;

export interface NamedModel {
  readonly name: string;
  readonly settings: AmplifierModelSettings;
  readonly slowStates: SlowStatesSettings | null;
  /** Of a scenario or an amplifier file; the settings are those of its channel. */
  readonly saturatedPowerDbm: number | null;
  readonly overBand: OverBandSettings | null;
}

/** Throws UnusableInput for an unknown name or a faulty file. */
export function readAmplifierModel(session: Session, name: string): NamedModel {
  if (publishedIds.includes(name)) return modelAlone(name, { kind: 'published', id: name });
  const isPreset = Object.hasOwn(presets, name);
  const file = isPreset ? amplifierFileOf(presets[name]) : readAmplifierFile(session, fileOf(session, name));
  switch (file.kind) {
    case 'model':
      return modelAlone(name, file.model);
    case 'amplifier': {
      const parsed = parseAmplifierSection(file.amplifier);
      if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
      return atChannel(name, parsed.amplifier);
    }
    case 'scenario': {
      // A scenario must be sound as a whole: a fault elsewhere may be a mistake about the amplifier, too.
      const parsed = parseScenario(file.scenario);
      if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
      return atChannel(name, parsed.scenario.amplifier);
    }
  }
}

function atChannel(name: string, amplifier: AmplifierSettings): NamedModel {
  const section = amplifierAtChannel(amplifier);
  if (section.kind === 'invalid') throw new UnusableInput(name, section.issues);
  const { model, slowStates, saturatedPowerDbm, overBand } = section.amplifier;
  return { name, settings: model, slowStates, saturatedPowerDbm, overBand };
}

function modelAlone(name: string, value: unknown): NamedModel {
  const parsed = parseAmplifierModel(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  return { name, settings: parsed.model, slowStates: null, saturatedPowerDbm: null, overBand: null };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const known = [...presetNames, ...publishedIds];
  const near = nearest(name, known);
  const remedy = near === null ? `known names are ${known.join(', ')}` : `did you mean ${near}?`;
  throw unusable(
    '--with',
    'must be a preset, a published model, a scenario, an amplifier or a model file',
    JSON.stringify(name),
    remedy,
  );
}
