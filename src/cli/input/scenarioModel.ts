// A scenario whose amplifier.model is the name of a model file, such as `identify` writes: the file takes the name's place.
import { join } from 'node:path';
import { type Session, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';

type Fields = Readonly<Record<string, unknown>>;

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * Reads the file beside the scenario (`folder`), or in the working folder. The model is checked with the scenario. Throws
 * UnusableInput when neither is there.
 */
export function supplyModel(session: Session, input: unknown, folder: string): unknown {
  const amplifier = isFields(input) ? input['amplifier'] : null;
  if (!isFields(input) || !isFields(amplifier) || typeof amplifier['model'] !== 'string') return input;
  const name = amplifier['model'];
  const path = [join(folder, name), name].find((candidate) => isFile(session, candidate));
  if (path === undefined) {
    const remedy = 'name a file that identify wrote, or write the model itself';
    throw unusable('amplifier.model', 'must be a model or the name of a model file', JSON.stringify(name), remedy);
  }
  return { ...input, amplifier: { ...amplifier, model: readJson(session, path) } };
}
