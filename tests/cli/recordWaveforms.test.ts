// Scenarios that name a record: found beside the scenario's file, the same figures from every command and from workers.
import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import { kneepoint, openTerminal, SMALL_SCENARIO, type Terminal } from './terminal.ts';

// The first launch may have to build the program.
vi.setConfig({ testTimeout: 180_000 });

const ofRecord = (recordName: string, more: object = {}) => ({
  ...SMALL_SCENARIO,
  title: 'Foreign record',
  waveform: { carriers: [{ kind: 'record', recordName, partCount: 3, ...more }], sampleRateHz: 122.88e6 },
});

/** A folder `deep` with a record of the small scenario's noise as SigMF and as text, and scenarios that name them. */
async function withRecord(): Promise<Terminal> {
  const terminal = openTerminal();
  mkdirSync(join(terminal.folder, 'deep'));
  writeFileSync(join(terminal.folder, 'bench.json'), JSON.stringify(SMALL_SCENARIO));
  const { code } = await kneepoint(['wave', 'bench.json', '--out', 'deep/noise'], terminal);
  expect(code).toBe(0);
  const data = readFileSync(join(terminal.folder, 'deep', 'noise.sigmf-data'));
  const lines = ['# sample_rate 122.88e6', 'I,Q'];
  for (let at = 0; at < data.byteLength; at += 8) lines.push(`${data.readFloatLE(at)},${data.readFloatLE(at + 4)}`);
  writeFileSync(join(terminal.folder, 'deep', 'noise.csv'), `${lines.join('\n')}\n`);
  for (const [file, name] of [
    ['sigmf', 'noise.sigmf-meta'],
    ['text', 'noise.csv'],
    ['gone', 'nowhere'],
  ] as const) {
    writeFileSync(join(terminal.folder, 'deep', `${file}.json`), JSON.stringify(ofRecord(name)));
  }
  terminal.out = '';
  terminal.err = '';
  return terminal;
}

async function jsonOf(terminal: Terminal, args: readonly string[]) {
  terminal.out = '';
  terminal.err = '';
  const { code, out, err } = await kneepoint([...args, '--json'], terminal);
  expect(code, err).toBe(0);
  return JSON.parse(out);
}

describe('a scenario that names a record', () => {
  test('runs on the file beside it, SigMF or text, and keeps its digest', async () => {
    const terminal = await withRecord();
    const meta = JSON.parse(readFileSync(join(terminal.folder, 'deep', 'noise.sigmf-meta'), 'utf8'));
    const sigmf = await jsonOf(terminal, ['run', 'deep/sigmf.json']);
    expect(sigmf.scenario.waveform.carriers[0]).toMatchObject({
      recordName: 'noise.sigmf-meta',
      sha512: meta.global['core:sha512'],
    });
    const text = await jsonOf(terminal, ['run', 'deep/text.json']);
    // The numbers printed are those of the samples: only the names differ.
    expect(text.uncorrected.aclr).toEqual(sigmf.uncorrected.aclr);
    expect(text.waveform.papr).toEqual(sigmf.waveform.papr);
    const checked = await jsonOf(terminal, ['check', 'deep/sigmf.json']);
    expect(checked.waveform.carriers[0].sha512).toBe(meta.global['core:sha512']);
  });

  test('wave writes a part of it', async () => {
    const terminal = await withRecord();
    const { code, err } = await kneepoint(['wave', 'deep/sigmf.json', '--out', 'part'], terminal);
    expect(code, err).toBe(0);
    const measured = await jsonOf(terminal, ['measure', 'part']);
    expect(measured.record.sampleCount).toBeLessThan(2 ** 15 / 3);
    expect(Math.abs(measured.record.occupiedBandwidthHz / 8.91e6 - 1)).toBeLessThan(0.02); // 99 % of flat 9 MHz
  });

  test('a missing record, another digest and a faulty record end with 2, what and where', async () => {
    const terminal = await withRecord();
    const gone = await kneepoint(['run', 'deep/gone.json'], terminal);
    expect(gone.code).toBe(2);
    expect(gone.err).toContain('nowhere.sigmf-meta must be a readable file, got no such file or folder');
    terminal.err = '';
    const wrong = ofRecord('noise', { sha512: '0'.repeat(128) });
    writeFileSync(join(terminal.folder, 'deep', 'wrong.json'), JSON.stringify(wrong));
    const other = await kneepoint(['run', 'deep/wrong.json'], terminal);
    expect(other.code).toBe(2);
    expect(other.err).toContain('waveform.carriers.0.sha512 must be the digest of record "noise"');
    terminal.err = '';
    writeFileSync(join(terminal.folder, 'deep', 'noise.csv'), 'I,Q\n1,2\n3\n');
    const faulty = await kneepoint(['check', 'deep/text.json'], terminal);
    expect(faulty.code).toBe(2);
    expect(faulty.err).toContain('line 3 must hold 2 numbers, as the lines above it, got "3"');
  });

  test('a claim on it is repeated from beside the card', async () => {
    const terminal = await withRecord();
    const made = await kneepoint(['run', 'deep/sigmf.json', '--claim', 'deep/claim.html'], terminal);
    expect(made.code, made.err).toBe(0);
    terminal.out = '';
    const checked = await kneepoint(['check', 'deep/claim.html'], terminal);
    expect(checked.code, checked.err).toBe(0);
    expect(checked.out).toContain('the claim holds');
  });

  test('a study gives the same report in this process and in worker threads', async () => {
    const terminal = await withRecord();
    const args = ['ladder', 'deep/sigmf.json', '--from', '8', '--to', '9', '--step', '1'];
    const here = await jsonOf(terminal, args);
    const launcher = join(import.meta.dirname, '..', '..', 'src', 'cli', 'launch.mjs');
    const there = spawnSync(process.execPath, [launcher, ...args, '--json', '--workers', '2'], {
      cwd: terminal.folder,
      encoding: 'utf8',
    });
    expect(there.status, there.stderr).toBe(0);
    expect(JSON.parse(there.stdout)).toEqual(here);
    expect(here.complete).toBe(true);
  });
});
