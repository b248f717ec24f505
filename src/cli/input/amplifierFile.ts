// Files that hold an amplifier: a model alone, the amplifier section of a scenario, a whole scenario, what `identify`
// writes, or a table of measured points.
import { readEnvelopePoints } from '../../engine/index.ts';
import { type Session, UnusableInput } from '../session.ts';
import { readJson, readText } from './files.ts';

export type Fields = Readonly<Record<string, unknown>>;

export function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** What a file holds, not checked yet. */
export type AmplifierFile =
  | { readonly kind: 'model'; readonly model: unknown }
  | { readonly kind: 'amplifier'; readonly amplifier: Fields }
  | { readonly kind: 'scenario'; readonly scenario: Fields };

/** Files of points, one a line. */
const POINTS_FILE = /\.(?:csv|tsv|txt)$/i;

/** `-` is standard input. Throws UnusableInput for an unreadable file, text that is not JSON, and faulty points. */
export function readAmplifierFile(session: Session, path: string): AmplifierFile {
  if (POINTS_FILE.test(path)) return { kind: 'model', model: pointsOf(session, path) };
  return amplifierFileOf(readJson(session, path));
}

export function amplifierFileOf(value: unknown): AmplifierFile {
  if (!isFields(value) || 'kind' in value) return { kind: 'model', model: value };
  if (isFields(value['amplifier'])) return { kind: 'scenario', scenario: value };
  // The report of `identify` holds the model beside its readings.
  if ('identification' in value) return { kind: 'model', model: value['model'] };
  return 'model' in value ? { kind: 'amplifier', amplifier: value } : { kind: 'model', model: value };
}

function pointsOf(session: Session, path: string): unknown {
  const outcome = readEnvelopePoints(readText(session, path));
  if (outcome.kind === 'invalid') throw new UnusableInput(path, outcome.issues);
  return { kind: 'envelopePoints', points: outcome.points };
}
