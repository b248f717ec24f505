// A scenario that names a file in place of its amplifier, or of its amplifier's model: what the file holds takes the
// name's place.
//   amplifier: FILE         the section of the file: model, power scale, gain, slow states; a model alone has no power scale
//   amplifier.model: FILE   the model of the file; the section's other fields are the scenario's own
//   amplifier.overBand.points.N.model: FILE   likewise, for one point of the band
import { join } from 'node:path';
import { formatQuantity } from '../../../shared/format/numbers.ts';
import { type Session, unusable } from '../session.ts';
import { type AmplifierFile, type Fields, isFields, readAmplifierFile } from './amplifierFile.ts';
import { isFile } from './files.ts';

export interface NamedAmplifier {
  /** Not checked yet. */
  readonly input: unknown;
  /** What of a file was not taken. */
  readonly notes: readonly string[];
}

/**
 * Reads the file beside the scenario (`folder`), or in the working folder; it is checked with the scenario. Throws
 * UnusableInput when neither is there.
 */
export function supplyAmplifier(session: Session, input: unknown, folder: string): NamedAmplifier {
  const amplifier = isFields(input) ? input['amplifier'] : null;
  if (!isFields(input)) return { input, notes: [] };
  if (typeof amplifier === 'string') {
    const section = sectionOf(readNamed(session, 'amplifier', amplifier, folder));
    return { input: { ...input, amplifier: section }, notes: [] };
  }
  if (!isFields(amplifier)) return { input, notes: [] };
  const own = supplyPoints(session, amplifier, folder);
  if (typeof own['model'] !== 'string') return { input: { ...input, amplifier: own }, notes: [] };
  const name = own['model'];
  const section = sectionOf(readNamed(session, 'amplifier.model', name, folder));
  const supplied = { ...input, amplifier: { ...own, model: section['model'] } };
  return { input: supplied, notes: scaleNotes(name, section, own) };
}

/** The section with the models that points of its band name by file. */
function supplyPoints(session: Session, amplifier: Fields, folder: string): Fields {
  const { overBand } = amplifier;
  if (!isFields(overBand) || !Array.isArray(overBand['points'])) return amplifier;
  const points = overBand['points'].map((point: unknown, i) => {
    if (!isFields(point) || typeof point['model'] !== 'string') return point;
    const path = `amplifier.overBand.points.${i}.model`;
    return { ...point, model: sectionOf(readNamed(session, path, point['model'], folder))['model'] };
  });
  return { ...amplifier, overBand: { ...overBand, points } };
}

/**
 * `--set amplifier=FILE` with the section in the file's place, so that later settings can change its fields; other settings
 * as they are. The file is in the working folder. Throws UnusableInput when it is not there.
 */
export function expandAmplifier(session: Session, settings: readonly string[]): string[] {
  return settings.map((setting) => {
    const name = /^\s*amplifier\s*=\s*"?([^"{[]*?)"?\s*$/.exec(setting)?.[1];
    if (name === undefined || name === '' || name === 'null') return setting;
    return `amplifier=${JSON.stringify(sectionOf(readNamed(session, 'amplifier', name, '')))}`;
  });
}

/** The amplifier section of a file; a model alone has no power scale. */
export function sectionOf(file: AmplifierFile): Fields {
  switch (file.kind) {
    case 'model':
      return { model: file.model, saturatedPowerDbm: null };
    case 'amplifier':
      return file.amplifier;
    case 'scenario':
      return file.scenario['amplifier'] as Fields;
  }
}

function readNamed(session: Session, path: string, name: string, folder: string): AmplifierFile {
  const found = [join(folder, name), name].find((candidate) => isFile(session, candidate));
  if (found !== undefined) return readAmplifierFile(session, found);
  const what =
    path === 'amplifier' ? 'an amplifier or the name of an amplifier file' : 'a model or the name of a model file';
  const remedy = `name a file that identify wrote, or write the ${path === 'amplifier' ? 'amplifier' : 'model'} itself`;
  throw unusable(path, `must be ${what}`, JSON.stringify(name), remedy);
}

/** A file that knows its power scale, whose model alone is taken. */
function scaleNotes(name: string, section: Fields, amplifier: Fields): string[] {
  const [stated, used] = [section['saturatedPowerDbm'], amplifier['saturatedPowerDbm']];
  if (typeof stated !== 'number' || stated === used) return [];
  const own = typeof used === 'number' ? `the scenario’s ${formatQuantity(used, 'dBm', 2)} is` : 'none is';
  return [
    `${name} states a saturated power of ${formatQuantity(stated, 'dBm', 2)}, and ${own} used; --set amplifier=${name} takes the file’s`,
  ];
}
