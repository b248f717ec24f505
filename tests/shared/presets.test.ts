// Every ready-made scenario is sound, tells its story and sources, and can be said in an address.
import { describe, expect, test } from 'vitest';
import { DEFAULT_PRESET, presetNames, presets } from '../../shared/presets/index.ts';
import { formatIssue } from '../../shared/schema/issue.ts';
import { checkScenario } from '../../src/engine/index.ts';

test('the default is one of them', () => {
  expect(presetNames).toContain(DEFAULT_PRESET);
});

describe.each(presetNames)('%s', (name) => {
  const preset = presets[name];
  if (preset === undefined) throw new Error(name);

  test('is sound in itself and between its fields', () => {
    const outcome = checkScenario(preset);
    expect(outcome.kind === 'invalid' ? outcome.issues.map(formatIssue) : []).toEqual([]);
  });

  test('has a name of its own, fit for a file and an address, and a title', () => {
    expect(name).toMatch(/^[a-z]+(-[a-z0-9]+)*$/);
    expect(preset.title?.toLowerCase().replaceAll(' ', '-')).toBe(name);
    expect(presetNames.filter((other) => presets[other]?.title === preset.title)).toEqual([name]);
  });

  test('tells a story of at least two sentences and judges by limits with a source', () => {
    expect(preset.story?.match(/[.?](\s|$)/g)?.length ?? 0).toBeGreaterThanOrEqual(2);
    expect(preset.limits?.length ?? 0).toBeGreaterThan(0);
    for (const limit of preset.limits ?? []) {
      expect(limit.source).toMatch(/\((invented|read|from memory)[^)]*\)$/);
    }
  });

  test('its story speaks of output back-off, and of the one it runs at', () => {
    const story = preset.story ?? '';
    expect(story).not.toMatch(/(?<!output )back-off/);
    const { outputBackoffDb } = preset.operatingPoint;
    for (const [, told] of story.matchAll(/([\d.]+) dB output back-off/g)) expect(Number(told)).toBe(outputBackoffDb);
  });

  test('is plain data: JSON carries all of it', () => {
    expect(JSON.parse(JSON.stringify(preset))).toEqual(preset);
  });
});
