import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { presetNames } from '../../shared/presets/index.ts';
import { decodeFragment, encodeFragment } from '../../src/app/state/addressBar.ts';
import { parsed, preset } from './smallReport.ts';

describe('the scenario in the address', () => {
  test.each(presetNames)('%s comes back as it was', async (name) => {
    const scenario = parsed(preset(name));
    expect(await decodeFragment(await encodeFragment(scenario))).toEqual({ kind: 'scenario', scenario });
  });

  test('a preset fits an address that mail programs leave in one piece', async () => {
    // 2000 characters: common practice, no source. An amplifier of nine channels is longer; browsers take it.
    for (const name of presetNames) {
      const scenario = parsed(preset(name));
      const most = scenario.amplifier.overBand === null ? 2000 : 4000;
      expect((await encodeFragment(scenario)).length, name).toBeLessThan(most);
    }
  });

  test('the fragment holds only characters that need no escape in an address', async () => {
    expect(await encodeFragment(parsed(preset('quarry-link')))).toMatch(/^#1\.[A-Za-z0-9_-]+$/);
  });

  test('no fragment is no scenario, and no fault', async () => {
    expect(await decodeFragment('')).toEqual({ kind: 'none' });
    expect(await decodeFragment('#')).toEqual({ kind: 'none' });
  });

  test('every kind of garbage is one answer', async () => {
    const whole = await encodeFragment(parsed(preset('quarry-link')));
    const damaged = [
      '#2.abc',
      '#section',
      '#1.',
      '#1.%%%',
      '#1.AAAA',
      whole.slice(0, 60),
      `${whole.slice(0, -30)}AAAA`,
    ];
    for (const fragment of damaged) expect(await decodeFragment(fragment), fragment).toEqual({ kind: 'unreadable' });
  });

  test('any text after the mark is answered, never thrown', async () => {
    await fc.assert(
      fc.asyncProperty(fc.base64String({ maxLength: 200 }), async (text) => {
        const { kind } = await decodeFragment(`#1.${text}`);
        expect(['unreadable', 'invalid', 'scenario']).toContain(kind);
      }),
      { numRuns: 200 },
    );
  });

  test('a valid packing of an invalid scenario lists its faults', async () => {
    const outcome = await decodeFragment(await encodeFragment({ waveform: 3 }));
    expect(outcome.kind).toBe('invalid');
  });

  test('a fragment that unpacks without end is refused', async () => {
    const bomb = await encodeFragment('x'.repeat(5_000_000));
    expect(bomb.length).toBeLessThan(20_000);
    expect(await decodeFragment(bomb)).toEqual({ kind: 'unreadable' });
  });
});
