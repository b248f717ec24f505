// A scenario by the name of a preset, by a JSON file, or from standard input (`-`), with `--set` and `--limits` put in.

import { dirname } from 'node:path';
import { DEFAULT_PRESET, presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import type { RecordStore } from '../../engine/index.ts';
import { type Session, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';
import { withLimits } from './limitSet.ts';
import { expandPredistorter, supplyPredistorter } from './predistorterFile.ts';
import { expandAmplifier, supplyAmplifier } from './scenarioAmplifier.ts';
import { supplyRecords } from './scenarioRecords.ts';

export interface ScenarioSource {
  /** As the user named it. */
  readonly name: string;
  /** Not checked yet. */
  readonly input: unknown;
  /** The records it names. */
  readonly records: RecordStore;
  /** What a limit set took for granted, what of a file was not taken. */
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
  return { name, ...supplyScenario(session, base, folder, settings, limits) };
}

/**
 * A scenario of a file in `folder`, with the files it names, `--set` and `--limits` put in. The amplifier comes before
 * `--set`, so that its fields can be changed, and after it, where `--set` names another file.
 */
export function supplyScenario(
  session: Session,
  base: unknown,
  folder: string,
  settings: readonly string[],
  limits: string | undefined,
): Omit<ScenarioSource, 'name'> {
  const told: string[] = [];
  const supplied = (input: unknown) => {
    const named = supplyAmplifier(session, input, folder);
    told.push(...named.notes);
    return supplyPredistorter(session, named.input, folder);
  };
  const isReplaced = settings.some((setting) => /^\s*(?:amplifier(?:\.model)?|predistorter)\s*=/.test(setting));
  const ready = isReplaced ? base : supplied(base);
  const expanded = expandPredistorter(session, expandAmplifier(session, settings));
  const limited = withLimits(session, ready, expanded, limits, (input) =>
    supplyRecords(session, supplied(input), folder),
  );
  return { ...limited, notes: [...told, ...limited.notes] };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const near = nearest(name, presetNames);
  const remedy = near === null ? `the presets are ${presetNames.join(', ')}` : `did you mean the preset ${near}?`;
  throw unusable('SCENARIO', 'must be a preset or a JSON file', JSON.stringify(name), remedy);
}
