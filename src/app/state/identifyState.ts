// Everything the identification of an amplifier shows, in one plain object.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { IdentifyAnswer, IdentifyProgress, IdentifyRequest } from '../../worker/identifyClient.ts';
import { RECORD_PLACES, type RecordPlace } from './identifyFiles.ts';
import type { FileSet } from './records.ts';

export type IdentifySettings = Required<IdentifyRequest['settings']>;
export type Identified = Extract<IdentifyAnswer, { kind: 'identified' }>;
export type PlacedRecords = Readonly<Record<RecordPlace, FileSet | null>>;

export interface IdentifyState {
  readonly places: PlacedRecords;
  /** Of text records that state none. */
  readonly sampleRateHz: number | null;
  readonly settings: IdentifySettings;
  /** Of files and of the last request, in the engine's words and paths. */
  readonly issues: readonly Issue[];
  /** How files dropped together were told apart. */
  readonly guess: string | null;
  readonly isRunning: boolean;
  readonly progress: IdentifyProgress | null;
  /** The last good one; it stays until a newer one takes its place. */
  readonly identified: Identified | null;
  /** What it was identified from. */
  readonly names: Readonly<Record<RecordPlace, string | null>> | null;
  /** Files or settings have changed since. */
  readonly isStale: boolean;
  /** An internal fault of the engine or the browser, in its own words. */
  readonly fault: string | null;
}

export const INITIAL_IDENTIFY_STATE: IdentifyState = {
  places: { drive: null, observed: null, 'validation.drive': null, 'validation.observed': null },
  sampleRateHz: null,
  settings: {
    highestOrder: 9,
    memoryDepth: 5,
    crossReachSamples: 2,
    outputPowerDbm: null,
    saturatedPowerDbm: null,
    outputBackoffDb: null,
  },
  issues: [],
  guess: null,
  isRunning: false,
  progress: null,
  identified: null,
  names: null,
  isStale: false,
  fault: null,
};

/** The place an issue belongs to; null for settings and for the files as a whole. */
export function placeOf({ path }: Issue): RecordPlace | null {
  return RECORD_PLACES.find((place) => path === place || path.startsWith(`${place}.`)) ?? null;
}

/** An issue without its place's name in front, for a list that stands beside that place. */
export function withoutPlace(issue: Issue, place: RecordPlace): Issue {
  const rest = issue.path.slice(place.length).replace(/^\./, '');
  return { ...issue, path: rest === '' ? 'record' : rest };
}
