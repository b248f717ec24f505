// The questions the page answers, in the order they are asked. The first is the bench itself: one run.

export const DOORS = ['run', 'ladder', 'worth', 'shape', 'map', 'ask', 'spread', 'tones'] as const;
export type Door = (typeof DOORS)[number];

export const DOOR_TEXTS: Readonly<Record<Door, string>> = {
  run: 'How clean is it now?',
  ladder: 'How much back-off?',
  worth: 'Is correction worth it?',
  shape: 'Which crest factor?',
  map: 'Which order?',
  ask: 'Which amplifier?',
  spread: 'How firm is it?',
  tones: 'Which intercept?',
};
