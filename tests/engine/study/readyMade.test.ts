// The ready-made studies: sound, of one question each, and with a first batch of runs that the question explains.
import { describe, expect, test } from 'vitest';
import { studies, studyNames } from '../../../shared/studies/index.ts';
import { evaluated } from './drive.ts';

describe.each(studyNames)('%s', (name) => {
  const { report, pending } = evaluated(studies[name], new Map());

  test('its name ends in its question, and it has a title and a story', () => {
    expect(name.endsWith(`-${report.questionKind}`)).toBe(true);
    expect(report.study.title).not.toBe('Untitled study');
    expect(report.study.story?.length).toBeGreaterThan(80);
    // Its gain rises from small drive on, as the scenario is stated; the warning says what follows of it.
    const expected = name === 'skip-channel-radio-hold' ? ['model-gain-not-one'] : [];
    expect(report.warnings.map(({ code }) => code)).toEqual(expected);
  });

  test('nothing is known at first, and the answer says so', () => {
    expect(report).toMatchObject({ complete: false, doneCount: 0, neededCount: pending.length });
    expect(report.answer).toMatch(/^So far: /);
    expect(new Set(pending.map((task) => task.key)).size).toBe(pending.length);
  });
});

test('first batches: a ladder of 14, 7 targets × 2 outputs × 6, 3 targets × 4 ways × 6, 8 seeds and 40 units, 35 levels, 7 spacings', () => {
  const first = (name: string) => evaluated(studies[`quarry-link-${name}`], new Map()).pending.length;
  // 5 to 18 dB: every dB for the ladder; 5, 8, 11, 14, 17 and 18 dB where a search is all that is wanted.
  expect(first('ladder')).toBe(14);
  expect(first('shape')).toBe(7 * 2 * 6);
  expect(first('ask')).toBe(3 * 4 * 6);
  expect(first('spread')).toBe(8 + 40);
  // 6 to 40 dB, the small-signal reference, and the spacings; 13 dB at 5 MHz belongs to both sweeps.
  expect(first('tones')).toBe(35 + 1 + 7 - 1);
});
