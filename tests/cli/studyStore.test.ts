import { appendFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { keyHash } from '../../src/cli/study/resultStore.ts';
import { ENGINE_VERSION } from '../../src/engine/index.ts';
import { answerStudy, smallStudy } from './smallStudies.ts';
import { kneepoint, openTerminal } from './terminal.ts';

function bench() {
  const terminal = openTerminal();
  writeFileSync(join(terminal.folder, 'study.json'), JSON.stringify(smallStudy('spread')));
  const store = join(terminal.folder, 'results.jsonl');
  const run = async (...args: string[]) => {
    [terminal.out, terminal.err] = ['', ''];
    return kneepoint(['spread', 'study.json', '--json', '--store', 'results.jsonl', ...args], terminal);
  };
  const lines = () => readFileSync(store, 'utf8').trimEnd().split('\n');
  return { terminal, store, run, lines };
}

describe('the result store', () => {
  test('one line a run, keyed by a hash; the second study computes nothing and says the same', async () => {
    const { run, lines } = bench();
    const first = await run();
    expect(first.err).toContain('6 runs made, 0 taken from results.jsonl');
    const { known } = answerStudy(smallStudy('spread'));
    const kept = lines().map((line) => JSON.parse(line));
    const plain = JSON.parse(JSON.stringify([...known.values()]));
    expect(kept.map(({ key }) => key).sort()).toEqual([...known.keys()].map(keyHash).sort());
    for (const { version, outcome } of kept) {
      expect(version).toBe(ENGINE_VERSION);
      expect(plain).toContainEqual(outcome);
    }
    const second = await run();
    expect(second.err).toContain('0 runs made, 6 taken from results.jsonl');
    expect(second.out).toBe(first.out);
    expect(lines()).toHaveLength(6);
  });

  test('another limit or title computes nothing; another scenario computes its own runs', async () => {
    const { run, lines } = bench();
    await run();
    const stricter = await run('--set', 'limits.0.requiredDb=50', '--set', 'title=Other');
    expect(stricter.err).toContain('0 runs made');
    expect(JSON.parse(stricter.out).result.readings[0].required).toBe(50);
    expect((await run('--set', 'operatingPoint.outputBackoffDb=10')).err).toContain('6 runs made, 0 taken');
    expect(lines()).toHaveLength(12);
  });

  test('damaged lines are told with their number, passed over and computed again', async () => {
    const { run, store, lines } = bench();
    const first = await run();
    const kept = lines();
    kept[1] = `${kept[1]?.slice(0, 200)}`;
    kept[2] = '{"key":"x","version":"y"}';
    writeFileSync(store, `${kept.join('\n')}\n`);
    const again = await run();
    expect(again.err).toContain('results.jsonl: line 2 is damaged; its run is computed again');
    expect(again.err).toContain('results.jsonl: line 3 is damaged');
    expect(again.err).toContain('2 runs made, 4 taken');
    expect(again.out).toBe(first.out);
  });

  test('a line cut off by a killed process does not spoil the line written after it', async () => {
    const { run, store, lines } = bench();
    await run();
    const whole = lines();
    writeFileSync(store, `${whole.slice(0, 5).join('\n')}\n${whole[5]?.slice(0, 300)}`);
    const again = await run();
    expect(again.err).toContain('line 6 is damaged');
    expect(again.err).toContain('1 runs made, 5 taken');
    expect((await run()).err).toContain('0 runs made, 6 taken');
  });

  test('results of another version are not used', async () => {
    const { run, store, lines } = bench();
    await run();
    const older = lines().map((line) => JSON.stringify({ ...JSON.parse(line), version: '0.0.1' }));
    writeFileSync(store, `${older.join('\n')}\n`);
    const again = await run();
    expect(again.err).toContain('results.jsonl: 6 results are of another version and not used');
    expect(again.err).toContain('6 runs made, 0 taken');
    expect(lines()).toHaveLength(12);
  });

  test('a folder, and a place that cannot be written, are the user’s to change', async () => {
    const { run, terminal } = bench();
    expect(await run('--store', '.')).toMatchObject({ code: 2, out: '' });
    writeFileSync(join(terminal.folder, 'plain'), '');
    const below = await run('--store', 'plain/results.jsonl');
    expect(below.code).toBe(2);
    expect(below.err).toContain('plain/results.jsonl must be a');
  });

  test('empty lines and a missing line end are no fault', async () => {
    const { run, store } = bench();
    await run();
    appendFileSync(store, '\n\n');
    const again = await run();
    expect(again.err).not.toContain('damaged');
    expect(again.err).toContain('0 runs made');
  });
});
