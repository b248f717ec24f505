// A scenario round an amplifier that comes without one: a band of noise at the rate the model's taps hold at, so that its
// amplifier can be read by itself.
import { dirname } from 'node:path';
import { presets } from '../../../shared/presets/index.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import type { Session } from '../session.ts';
import { type Fields, isFields, readAmplifierFile } from './amplifierFile.ts';
import { isFile } from './files.ts';
import { readScenario, type ScenarioSource, supplyScenario } from './scenario.ts';
import { sectionOf } from './scenarioAmplifier.ts';

const publishedIds: readonly string[] = publishedAmplifierIds;

/** Where the model itself holds at any rate. */
const USUAL_RATE_HZ = 122.88e6;
/** Products of order 5 stay inside the rate. */
const BAND_RATIO = 1 / 8;

/** As readScenario; an amplifier or model file, or a published model's name, may stand in the scenario's place. */
export function readAmplifierBench(
  session: Session,
  name: string | undefined,
  settings: readonly string[],
): ScenarioSource {
  const section = name === undefined || Object.hasOwn(presets, name) ? null : namedSection(session, name);
  if (name === undefined || section === null) return readScenario(session, name, settings);
  return { name, ...supplyScenario(session, benchOf(name, section), dirname(name), settings, undefined) };
}

function namedSection(session: Session, name: string): Fields | null {
  if (publishedIds.includes(name)) return sectionOf({ kind: 'model', model: { kind: 'published', id: name } });
  if (name === '-' || !isFile(session, name)) return null;
  const file = readAmplifierFile(session, name);
  if (file.kind === 'scenario') return null;
  // Anything that is no object, or an object without a kind, is a faulty scenario rather than a faulty model.
  return file.kind === 'model' && !(isFields(file.model) && 'kind' in file.model) ? null : sectionOf(file);
}

function benchOf(name: string, amplifier: Fields): Fields {
  const model = amplifier['model'];
  const rate = isFields(model) ? model['modelRateHz'] : null;
  const sampleRateHz = typeof rate === 'number' && rate > 0 ? rate : USUAL_RATE_HZ;
  return {
    title: name,
    waveform: { sampleRateHz, carriers: [{ kind: 'noise', occupiedBandwidthHz: BAND_RATIO * sampleRateHz }] },
    amplifier,
    operatingPoint: { outputBackoffDb: 9 },
    predistorter: null,
    limits: [],
  };
}
