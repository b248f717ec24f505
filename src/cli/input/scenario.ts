// A scenario by the name of a preset, by a JSON file, or from standard input (`-`), with `--set` put in.

import { DEFAULT_PRESET, presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';
import { setFields } from './setFields.ts';

export interface ScenarioSource {
  /** As the user named it. */
  readonly name: string;
  /** Not checked yet. */
  readonly input: unknown;
}

/** Throws UnusableInput for an unknown name, an unreadable file, text that is not JSON, or a faulty `--set`. */
export function readScenario(
  session: Session,
  name = DEFAULT_PRESET,
  settings: readonly string[] = [],
): ScenarioSource {
  const base = Object.hasOwn(presets, name) ? presets[name] : readJson(session, fileOf(session, name));
  const { scenario, issues } = setFields(base, settings);
  if (issues.length > 0) throw new UnusableInput('--set', issues);
  return { name, input: scenario };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const near = nearest(name, presetNames);
  const remedy = near === null ? `the presets are ${presetNames.join(', ')}` : `did you mean the preset ${near}?`;
  throw unusable('SCENARIO', 'must be a preset or a JSON file', JSON.stringify(name), remedy);
}
