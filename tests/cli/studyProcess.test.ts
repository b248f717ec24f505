// Studies in a process of their own: worker threads, and the user who interrupts.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { answerStudy, SMALL_BENCH, smallStudy } from './smallStudies.ts';

const launcher = join(import.meta.dirname, '..', '..', 'src', 'cli', 'launch.mjs');
const folder = mkdtempSync(join(tmpdir(), 'kneepoint-study-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
// The first launch may have to build the program.
vi.setConfig({ testTimeout: 180_000 });

function launch(args: readonly string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [launcher, ...args], {
    cwd: folder,
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

describe('worker threads', () => {
  test('1 and 3 workers print byte-identical JSON and keep byte-identical stores after sorting', () => {
    writeFileSync(join(folder, 'study.json'), JSON.stringify(smallStudy('ladder')));
    const [one, three] = [1, 3].map((count) => {
      const run = launch(['ladder', 'study.json', '--json', '--workers', `${count}`, '--store', `of-${count}.jsonl`]);
      expect(run.status, run.stderr).toBe(0);
      const lines = readFileSync(join(folder, `of-${count}.jsonl`), 'utf8')
        .split('\n')
        .sort();
      return { ...run, lines };
    });
    expect(one?.stdout).toBe(three?.stdout);
    expect(one?.lines).toEqual(three?.lines);
    // And the library in this process says the same.
    expect(JSON.parse(one?.stdout ?? '')).toEqual(JSON.parse(JSON.stringify(answerStudy(smallStudy('ladder')).report)));
  });
});

/** Long enough to be interrupted: two dozen runs of a larger record. */
const LONG = {
  title: 'Long',
  scenario: { ...SMALL_BENCH, waveform: { ...SMALL_BENCH.waveform, symbolCount: 30 } },
  question: { kind: 'spread', seedCount: 24 },
};

describe('an interruption', () => {
  test('keeps what is done, prints the report so far with code 130, and the same command goes on from there', async () => {
    writeFileSync(join(folder, 'long.json'), JSON.stringify(LONG));
    const store = join(folder, 'long.jsonl');
    const args = ['spread', 'long.json', '--json', '--workers', '2', '--store', 'long.jsonl'];
    const child = spawn(process.execPath, [launcher, ...args], { cwd: folder });
    let [stdout, stderr] = ['', ''];
    child.stdout.on('data', (part) => {
      stdout += part;
    });
    child.stderr.on('data', (part) => {
      stderr += part;
    });
    const ended = new Promise((resolve) => child.once('close', resolve));
    await until(() => linesOf(store) >= 3);
    child.kill('SIGINT');
    expect(await ended, stderr).toBe(130);
    const partial = JSON.parse(stdout);
    const kept = linesOf(store);
    expect(partial).toMatchObject({ complete: false, doneCount: kept, neededCount: 24 });
    expect(partial.answer).toMatch(/^So far: /);
    expect(partial.result.seedsRead).toBe(kept);
    expect(kept).toBeLessThan(24);
    expect(stderr).toContain(`interrupted with ${kept} of 24 runs done; the same command goes on from here`);

    const resumed = launch(args);
    expect(resumed.status).toBe(0);
    expect(resumed.stderr).toContain(`${24 - kept} runs made, ${kept} taken from long.jsonl`);
    expect(JSON.parse(resumed.stdout)).toMatchObject({ complete: true, doneCount: 24 });
  });

  test('a killed process loses no line but the one in flight', async () => {
    writeFileSync(join(folder, 'killed.json'), JSON.stringify(LONG));
    const store = join(folder, 'killed.jsonl');
    const args = ['spread', 'killed.json', '--json', '--workers', '1', '--store', 'killed.jsonl'];
    const child = spawn(process.execPath, [launcher, ...args], { cwd: folder, stdio: 'ignore' });
    const ended = new Promise((resolve) => child.once('close', resolve));
    await until(() => linesOf(store) >= 3);
    child.kill('SIGKILL');
    await ended;
    const whole = readFileSync(store, 'utf8').split('\n').slice(0, -1);
    expect(whole.length).toBeGreaterThanOrEqual(3);
    for (const line of whole) expect(JSON.parse(line)).toMatchObject({ outcome: { kind: 'readings' } });
  });
});

function linesOf(path: string): number {
  try {
    return readFileSync(path, 'utf8').split('\n').length - 1;
  } catch {
    return 0;
  }
}

async function until(condition: () => boolean): Promise<void> {
  while (!condition()) await new Promise((resolve) => setTimeout(resolve, 20));
}
