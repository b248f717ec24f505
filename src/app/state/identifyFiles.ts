// Which of the files brought in is the drive and which the observation: by their names, else by their order. A guess is
// shown and can be exchanged.
import { type BroughtFile, type FileSet, type RecordFault, sortFiles } from './records.ts';

/** Places a record can stand at; the names are those of the engine's issues. */
export const RECORD_PLACES = ['drive', 'observed', 'validation.drive', 'validation.observed'] as const;
export type RecordPlace = (typeof RECORD_PLACES)[number];

export const PLACE_NAMES: Readonly<Record<RecordPlace, string>> = {
  drive: 'Drive',
  observed: 'Observation',
  'validation.drive': 'Second drive',
  'validation.observed': 'Second observation',
};

export interface Placing {
  readonly placed: Partial<Readonly<Record<RecordPlace, FileSet>>>;
  readonly faults: readonly RecordFault[];
  /** How it was guessed, for the user to judge; null when there was nothing to guess. */
  readonly guess: string | null;
}

type Role = 'drive' | 'observed';

/** Words of file names, set off by anything that is no letter. */
const ROLE_WORDS: Readonly<Record<Role, RegExp>> = {
  drive: /(^|[^a-z])(drive|driven|sent|send|tx|in|input|stimulus)(?=$|[^a-z])/i,
  observed: /(^|[^a-z])(observed|observation|obs|rx|out|output|received|feedback|capture|captured)(?=$|[^a-z])/i,
};
const SECOND_WORD = /(^|[^a-z])(second|validation|validate|check|b|2)(?=$|[^a-z0-9])/i;

function roleOf(name: string): Role | null {
  const [isDrive, isObserved] = [ROLE_WORDS.drive.test(name), ROLE_WORDS.observed.test(name)];
  if (isDrive === isObserved) return null;
  return isDrive ? 'drive' : 'observed';
}

/** What is left of a name without the word of its role: the same for both records of a pair. */
function stemOf(name: string): string {
  return name.replace(ROLE_WORDS.drive, '').replace(ROLE_WORDS.observed, '').toLowerCase();
}

interface Pair {
  readonly drive: FileSet;
  readonly observed: FileSet;
  /** Neither name tells: taken in the order they came. */
  readonly isByOrder: boolean;
}

function pairOf(first: FileSet, second: FileSet): Pair {
  const [one, other] = [roleOf(first.name), roleOf(second.name)];
  const isExchanged = (other === 'drive' && one !== 'drive') || (other === null && one === 'observed');
  if (isExchanged) return { drive: second, observed: first, isByOrder: false };
  return { drive: first, observed: second, isByOrder: one === other };
}

/** Two pairs by their stems; the one that calls itself the second comes second, else in the order of names. */
function twoPairs(sets: readonly FileSet[]): readonly [Pair, Pair] | null {
  const stems = [...new Set(sets.map(({ name }) => stemOf(name)))].sort(bySecondThenName);
  const pairs = stems.flatMap((stem) => {
    const [first, second, ...more] = sets.filter(({ name }) => stemOf(name) === stem);
    return first === undefined || second === undefined || more.length > 0 ? [] : [pairOf(first, second)];
  });
  const [one, other] = pairs;
  return one === undefined || other === undefined || stems.length > 2 ? null : [one, other];
}

function bySecondThenName(a: string, b: string): number {
  return Number(SECOND_WORD.test(a)) - Number(SECOND_WORD.test(b)) || (a < b ? -1 : 1);
}

function guessText({ drive, observed, isByOrder }: Pair): string {
  const how = isByOrder ? 'The names do not say which is which: taken in their order' : 'Taken by name';
  return `${how}, ${drive.name} was sent and ${observed.name} was seen. Swap them if it was the other way.`;
}

/** Puts files dropped together where they seem to belong, given the places that hold a record already. */
export function placeFiles(files: readonly BroughtFile[], taken: ReadonlySet<RecordPlace>): Placing {
  const { sets, faults } = sortFiles(files);
  const [first, second] = sets;
  if (first === undefined) return { placed: {}, faults, guess: null };
  if (second === undefined) return { placed: { [placeOfOne(first.name, taken)]: first }, faults, guess: null };
  if (sets.length === 2) {
    const pair = pairOf(first, second);
    const isSecond = taken.has('drive') && taken.has('observed') && SECOND_WORD.test(stemOf(first.name));
    return { placed: isSecond ? asSecond(pair) : asFirst(pair), faults, guess: guessText(pair) };
  }
  const pairs = sets.length === 4 ? twoPairs(sets) : null;
  if (pairs === null) return { placed: {}, faults: [...faults, tooMany(sets.length)], guess: null };
  const [one, other] = pairs;
  const guess = `${guessText(one)} ${other.drive.name} and ${other.observed.name} are the second pair.`;
  return { placed: { ...asFirst(one), ...asSecond(other) }, faults, guess };
}

/** By its name, else the first place that is free. */
function placeOfOne(name: string, taken: ReadonlySet<RecordPlace>): RecordPlace {
  return roleOf(name) ?? RECORD_PLACES.find((place) => !taken.has(place)) ?? 'observed';
}

function asFirst({ drive, observed }: Pair): Placing['placed'] {
  return { drive, observed };
}

function asSecond({ drive, observed }: Pair): Placing['placed'] {
  return { 'validation.drive': drive, 'validation.observed': observed };
}

function tooMany(count: number): RecordFault {
  const rule = 'must be one record, a pair, or two pairs whose names tell them apart';
  const remedy = 'drop each record on its place';
  return { name: 'The files', issues: [{ path: 'files', rule, value: `${count} records`, remedy }] };
}
