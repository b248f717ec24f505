// Files that hold a learned predistorter, and scenarios that name one in place of their predistorter:
//   predistorter: FILE      what `run --out` wrote: predistorter.json, report.json; or a scenario with stored coefficients
import { join } from 'node:path';
import { parsePredistorter } from '../../../shared/schema/parsePredistorter.ts';
import type { PredistorterSettings } from '../../../shared/schema/scenario.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFields } from './amplifierFile.ts';
import { isFile, readJson } from './files.ts';

/** `-` is standard input. Throws UnusableInput for a file that cannot be read or holds no learned predistorter. */
export function readPredistorter(session: Session, path: string): PredistorterSettings {
  const outcome = parsePredistorter(readJson(session, path));
  if (outcome.kind === 'invalid') throw new UnusableInput(path, outcome.issues);
  return outcome.predistorter;
}

/** The scenario with the predistorter of the file it names, which lies beside the scenario or in the working folder. */
export function supplyPredistorter(session: Session, input: unknown, folder: string): unknown {
  if (!isFields(input) || typeof input['predistorter'] !== 'string') return input;
  return { ...input, predistorter: readNamed(session, input['predistorter'], folder) };
}

/** `--set predistorter=FILE` with the section in the file's place, so that later settings can change its fields. */
export function expandPredistorter(session: Session, settings: readonly string[]): string[] {
  return settings.map((setting) => {
    const name = /^\s*predistorter\s*=\s*"?([^"{[]*?)"?\s*$/.exec(setting)?.[1];
    if (name === undefined || name === '' || name === 'null') return setting;
    return `predistorter=${JSON.stringify(readNamed(session, name, ''))}`;
  });
}

function readNamed(session: Session, name: string, folder: string): PredistorterSettings {
  const found = [join(folder, name), name].find((candidate) => isFile(session, candidate));
  if (found !== undefined) return readPredistorter(session, found);
  const rule = 'must be a predistorter or the name of a predistorter file';
  throw unusable('predistorter', rule, JSON.stringify(name), 'name a file that run --out wrote, or write null');
}
