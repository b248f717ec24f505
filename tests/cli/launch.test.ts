// The command as a user starts it: a process of its own, from the launcher through the built program.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { runScenario } from '../../src/engine/index.ts';
import { SMALL_SCENARIO } from './terminal.ts';

const launcher = join(import.meta.dirname, '..', '..', 'src', 'cli', 'launch.mjs');
const folder = mkdtempSync(join(tmpdir(), 'kneepoint-launch-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function launch(args: readonly string[], input = '') {
  const { status, stdout, stderr } = spawnSync(process.execPath, [launcher, ...args], {
    cwd: folder,
    input,
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

describe('the built program', () => {
  test('prints data on stdout only, and its readings are the library’s', () => {
    const { status, stdout } = launch(['run', '-', '--json'], JSON.stringify(SMALL_SCENARIO));
    expect(status).toBe(0);
    const outcome = runScenario(SMALL_SCENARIO);
    if (outcome.kind !== 'report') throw new Error('must run');
    const report = JSON.parse(stdout);
    expect(report.answer).toBe(outcome.report.answer);
    // One runtime, one seed: identical figures.
    expect(report.uncorrected.aclr).toEqual(outcome.report.uncorrected.aclr);
    expect(report.corrected.aclr).toEqual(outcome.report.corrected!.aclr);
  });

  test('a bad scenario: faults on stderr, nothing on stdout, status 2', () => {
    writeFileSync(join(folder, 'bad.json'), JSON.stringify({ ...SMALL_SCENARIO, operatingPoint: {} }));
    const { status, stdout, stderr } = launch(['run', 'bad.json']);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toContain('operatingPoint must give exactly one of');
  });

  test('a missed limit is status 1 when asked', () => {
    const strict = { ...SMALL_SCENARIO, limits: [{ reading: 'aclr', requiredDb: 119 }] };
    expect(launch(['run', '-', '--fail-on-limit'], JSON.stringify(strict)).status).toBe(1);
  });

  test('a reader that stops early is no fault', async () => {
    const child = spawn(process.execPath, [launcher, 'run', '-', '--json', '--traces'], { cwd: folder });
    let stderr = '';
    child.stderr.on('data', (part) => {
      stderr += part;
    });
    child.stdout.once('data', () => child.stdout.destroy());
    child.stdin.end(JSON.stringify(SMALL_SCENARIO));
    const status = await new Promise((resolve) => child.once('close', resolve));
    expect(status).toBe(0);
    expect(stderr).not.toContain('EPIPE');
  });
});
