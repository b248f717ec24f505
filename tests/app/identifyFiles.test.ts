// Files dropped together: which is the drive and which the observation, which pair is the second.
import { describe, expect, test } from 'vitest';
import { placeFiles, type RecordPlace } from '../../src/app/state/identifyFiles.ts';
import type { BroughtFile } from '../../src/app/state/records.ts';

const file = (name: string): BroughtFile => ({
  name,
  size: 4,
  text: async () => '{}',
  arrayBuffer: async () => new ArrayBuffer(4),
});
const sigmf = (name: string) => [file(`${name}.sigmf-meta`), file(`${name}.sigmf-data`)];

/** Names by place. */
function placed(files: readonly BroughtFile[], taken: readonly RecordPlace[] = []) {
  const { placed: sets, guess, faults } = placeFiles(files, new Set(taken));
  const names = Object.fromEntries(Object.entries(sets).map(([place, set]) => [place, set?.name]));
  return { names, guess, faults };
}

describe('a pair', () => {
  const pairs: readonly (readonly [drive: string, observed: string])[] = [
    ['harbour.drive', 'harbour.observed'],
    ['run3_tx', 'run3_rx'],
    ['sent', 'received'],
    ['pa-in', 'pa-out'],
    ['mast input', 'mast capture'],
    // One name tells enough.
    ['stimulus', 'monday'],
    ['monday', 'feedback'],
  ];
  test.each(pairs)('%s was sent and %s was seen, in either order', (drive, observed) => {
    for (const names of [
      [drive, observed],
      [observed, drive],
    ]) {
      const { names: found, guess } = placed(names.map((name) => file(`${name}.csv`)));
      expect(found).toEqual({ drive, observed });
      expect(guess).toContain('Taken by name');
    }
  });

  test('names that do not tell are taken in their order, and the guess says so', () => {
    const { names, guess } = placed([file('b.csv'), file('a.csv')]);
    expect(names).toEqual({ drive: 'b', observed: 'a' });
    expect(guess).toContain('The names do not say which is which');
    // A word inside another is no word: "interim" holds "in", "layout" holds "out".
    expect(placed([file('layout.csv'), file('interim.csv')]).guess).toContain('do not say');
  });

  test('four SigMF files are one pair; a half without the other is a fault', () => {
    const files = [...sigmf('x.observed'), ...sigmf('x.drive')];
    expect(placed(files).names).toEqual({ drive: 'x.drive', observed: 'x.observed' });
    const { names, faults } = placed(files.slice(0, 3));
    expect(names).toEqual({ observed: 'x.observed' });
    expect(faults.map(({ issues }) => issues[0]?.rule)).toEqual(['lacks its .sigmf-data file']);
  });

  test('a pair that calls itself the second is one beside a first', () => {
    const files = [...sigmf('x-second.drive'), ...sigmf('x-second.observed')];
    const second = { 'validation.drive': 'x-second.drive', 'validation.observed': 'x-second.observed' };
    expect(placed(files, ['drive', 'observed']).names).toEqual(second);
    expect(placed(files).names).toEqual({ drive: 'x-second.drive', observed: 'x-second.observed' });
  });
});

describe('two pairs and single records', () => {
  test('two pairs are told apart by their names; the one that says so comes second', () => {
    const names = ['a-second.observed', 'z.drive', 'a-second.drive', 'z.observed'];
    const found = placed(names.map((name) => file(`${name}.csv`)));
    expect(found.names).toEqual({
      drive: 'z.drive',
      observed: 'z.observed',
      'validation.drive': 'a-second.drive',
      'validation.observed': 'a-second.observed',
    });
    expect(found.guess).toContain('a-second.drive and a-second.observed are the second pair');
  });

  test('three records, or four of other names, are refused with what to do', () => {
    for (const names of [
      ['a.drive', 'a.observed', 'b.drive'],
      ['a', 'b', 'c', 'd'],
    ]) {
      const { names: found, faults } = placed(names.map((name) => file(`${name}.csv`)));
      expect(found).toEqual({});
      expect(faults[0]?.issues[0]).toMatchObject({ value: `${names.length} records` });
      expect(faults[0]?.issues[0]?.remedy).toBe('drop each record on its place');
    }
  });

  test('one record goes where its name says, else to the first place without one', () => {
    expect(placed([file('x.rx.csv')]).names).toEqual({ observed: 'x.rx' });
    expect(placed([file('monday.csv')]).names).toEqual({ drive: 'monday' });
    expect(placed([file('monday.csv')], ['drive']).names).toEqual({ observed: 'monday' });
    expect(placed([file('monday.csv')], ['drive', 'observed']).names).toEqual({ 'validation.drive': 'monday' });
  });
});
