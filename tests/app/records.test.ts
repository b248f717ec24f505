// Files brought in: which belong together, what becomes of the record, what is said of faults.
import { beforeEach, describe, expect, test } from 'vitest';
import type { AppState } from '../../src/app/state/appState.ts';
import { type BroughtFile, RecordController, sortFiles } from '../../src/app/state/records.ts';
import { initialState } from '../../src/app/state/scenarioController.ts';
import { Store } from '../../src/app/state/store.ts';
import type { RecordSource, SupplyOutcome } from '../../src/worker/client.ts';

const file = (name: string, text = '', size = text.length): BroughtFile => ({
  name,
  size,
  text: async () => text,
  arrayBuffer: async () => new TextEncoder().encode(text).buffer,
});

describe('which files belong together', () => {
  test('the two files of a SigMF record are one record, in any order; CSV is one by itself', () => {
    const { sets, faults } = sortFiles([file('a.sigmf-data'), file('b.csv'), file('a.sigmf-meta')]);
    expect(sets.map(({ format, name }) => `${format} ${name}`).sort()).toEqual(['csv b', 'sigmf a']);
    expect(faults).toEqual([]);
  });

  test('half a pair says which half lacks, and another file that it is none', () => {
    const { sets, faults } = sortFiles([file('a.sigmf-data'), file('b.sigmf-meta'), file('notes.pdf')]);
    expect(sets).toEqual([]);
    const told = Object.fromEntries(faults.map(({ name, issues }) => [name, issues[0].rule]));
    expect(told['a']).toBe('lacks its .sigmf-meta file');
    expect(told['b']).toBe('lacks its .sigmf-data file');
    expect(told['notes.pdf']).toContain('.csv');
  });
});

let store: Store<AppState>;
let asked: RecordSource[];
let edits: { path: string; value: unknown }[];
let controller: RecordController;
let answer: (source: RecordSource) => SupplyOutcome;

beforeEach(() => {
  store = new Store(initialState());
  asked = [];
  edits = [];
  answer = ({ name }) => ({
    kind: 'record',
    facts: { name, sampleRateHz: 61.44e6, sampleCount: 1000, sha512: 'd1', notes: [] },
  });
  const reader = {
    supplyRecord: async (source: RecordSource) => {
      asked.push(source);
      return answer(source);
    },
  };
  controller = new RecordController(store, reader, { edit: (path, value) => edits.push({ path, value }) });
});

describe('what becomes of a record', () => {
  test('dropped on the page it is the waveform, by name and digest, and the block opens', async () => {
    const outcome = await controller.bringIn([file('field.csv', '1,0')], null);
    expect(outcome.kind).toBe('taken');
    expect(edits).toHaveLength(1);
    // Quarry Link has an ACLR and an EVM limit; a record's symbols are not known.
    expect(edits[0]).toMatchObject({
      path: '',
      value: {
        waveform: { carriers: [{ kind: 'record', recordName: 'field', sha512: 'd1', partCount: 3 }] },
        limits: [{ reading: 'aclr' }],
      },
    });
    expect(outcome.kind === 'taken' && outcome.message).toContain('without the EVM limit');
    expect(store.state.records.map(({ name }) => name)).toEqual(['field']);
    expect(store.state.block).toBe('data');
  });

  test('brought in for a carrier it takes that carrier’s place', async () => {
    await controller.bringIn([file('field.csv', '1,0')], 0);
    expect(edits[0]).toMatchObject({ path: 'waveform.carriers.0', value: { kind: 'record', recordName: 'field' } });
  });

  test('a record that the scenario names already changes nothing of it', async () => {
    const { draft } = store.state;
    const carriers = [
      ...draft.waveform.carriers,
      { kind: 'record', recordName: 'field', sha512: 'other', partCount: 5 },
    ] as unknown as typeof draft.waveform.carriers;
    store.update({ draft: { ...draft, waveform: { ...draft.waveform, carriers } } });
    await controller.bringIn([file('field.csv', '1,0')], null);
    expect(edits).toEqual([{ path: 'waveform.carriers', value: carriers }]);
  });

  test('a record of the same name is kept once', async () => {
    await controller.bringIn([file('field.csv', '1,0')], null);
    await controller.bringIn([file('field.csv', '0,1')], null);
    expect(store.state.records).toHaveLength(1);
  });
});

describe('faults', () => {
  test('all faults of all files are told, and the scenario stays', async () => {
    answer = () => ({
      kind: 'invalid',
      issues: [{ path: 'line 3', rule: 'must be numbers', value: 'x', remedy: 'mend' }],
    });
    const outcome = await controller.bringIn([file('a.csv', 'x'), file('b.sigmf-meta', '{}')], null);
    expect(outcome.kind === 'refused' && outcome.faults.map(({ name }) => name).sort()).toEqual(['a', 'b']);
    expect(edits).toEqual([]);
    expect(store.state.records).toEqual([]);
  });

  test('a rate given by hand reaches the reader of CSV', async () => {
    await controller.bringIn([file('a.csv', '1,0')], null, 30.72e6);
    expect(asked[0]).toMatchObject({ format: 'csv', sampleRateHz: 30.72e6 });
  });

  test('a file too large for a page is not read', async () => {
    const outcome = await controller.bringIn([file('a.csv', '', 600 * 2 ** 20)], null);
    expect(outcome.kind === 'refused' && outcome.faults[0].issues[0].rule).toContain('512 MiB');
    expect(asked).toEqual([]);
  });
});
