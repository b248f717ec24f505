// Limits by the name of a set, of a preset, or by a file: a list of limits or a scenario.
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import { parseLimits } from '../../../shared/schema/parseLimits.ts';
import { limitSetIds } from '../../../shared/tables/limitSets.ts';
import type { RecordSettings } from '../../engine/index.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';

/** What a record is held against. Throws UnusableInput for an unknown name or a faulty file. */
export function readLimits(session: Session, name: string): Pick<RecordSettings, 'limits' | 'limitSet'> {
  if (limitSetIds.includes(name)) return { limitSet: name };
  const value = Object.hasOwn(presets, name) ? presets[name] : readJson(session, fileOf(session, name));
  const parsed = parseLimits(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  return { limits: parsed.limits };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const known = [...limitSetIds, ...presetNames];
  const near = nearest(name, known);
  const remedy = near === null ? `known names are ${known.join(', ')}` : `did you mean ${near}?`;
  throw unusable('--limits', 'must be a limit set, a preset or a JSON file', JSON.stringify(name), remedy);
}
