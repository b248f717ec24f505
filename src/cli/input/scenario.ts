// A scenario by the name of a preset, by a JSON file, or from standard input (`-`), with `--set` and `--limits` put in.

import { dirname } from 'node:path';
import { DEFAULT_PRESET, presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import type { RecordStore } from '../../engine/index.ts';
import { type Session, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';
import { withLimits } from './limitSet.ts';
import { supplyModel } from './scenarioModel.ts';
import { supplyRecords } from './scenarioRecords.ts';

export interface ScenarioSource {
  /** As the user named it. */
  readonly name: string;
  /** Not checked yet. */
  readonly input: unknown;
  /** The records it names. */
  readonly records: RecordStore;
  /** What a limit set took for granted. */
  readonly notes: readonly string[];
}

/**
 * Throws UnusableInput for an unknown name, an unreadable file, text that is not JSON, a faulty `--set`, a limit set that does
 * not fit, or a record that is missing or faulty.
 */
export function readScenario(
  session: Session,
  name = DEFAULT_PRESET,
  settings: readonly string[] = [],
  limits?: string,
): ScenarioSource {
  const isPreset = Object.hasOwn(presets, name);
  const base = isPreset ? presets[name] : readJson(session, fileOf(session, name));
  const folder = isPreset || name === '-' ? '' : dirname(name);
  return {
    name,
    ...withLimits(session, base, settings, limits, (input) =>
      supplyRecords(session, supplyModel(session, input, folder), folder),
    ),
  };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const near = nearest(name, presetNames);
  const remedy = near === null ? `the presets are ${presetNames.join(', ')}` : `did you mean the preset ${near}?`;
  throw unusable('SCENARIO', 'must be a preset or a JSON file', JSON.stringify(name), remedy);
}
