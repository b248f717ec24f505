// The questions the page answers, in the order they are asked. The first is the bench itself: one run.

export const DOORS = [
  'run',
  'ladder',
  'worth',
  'shape',
  'map',
  'ask',
  'spread',
  'tones',
  'burst',
  'hold',
  'path',
  'identify',
] as const;
export type Door = (typeof DOORS)[number];
/** Doors that a study answers, and the bench itself; a capture is identified without a scenario. */
export type StudyDoor = Exclude<Door, 'identify'>;

export const DOOR_TEXTS: Readonly<Record<Door, string>> = {
  run: 'How clean is it now?',
  ladder: 'How much back-off?',
  worth: 'Is correction worth it?',
  shape: 'Which crest factor?',
  map: 'Which order?',
  ask: 'Which amplifier?',
  spread: 'How firm is it?',
  tones: 'Which intercept?',
  burst: 'How does a burst start?',
  hold: 'Does it hold?',
  path: 'How good an observation path?',
  identify: 'Which model fits a capture?',
};

/** Quiet words over the questions, as a table of contents has its parts. */
export const DOOR_GROUPS = ['now', 'how far', 'to choose', 'device'] as const;
export type DoorGroup = (typeof DOOR_GROUPS)[number];

/** A question that is not listed is one about the device itself. */
const GROUPS: Partial<Readonly<Record<string, DoorGroup>>> = {
  run: 'now',
  spread: 'now',
  ladder: 'how far',
  worth: 'how far',
  hold: 'how far',
  path: 'to choose',
  shape: 'to choose',
  map: 'to choose',
  ask: 'to choose',
};

export function doorsOf(group: DoorGroup): readonly Door[] {
  return DOORS.filter((door) => (GROUPS[door] ?? 'device') === group);
}
