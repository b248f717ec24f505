import { mkdirSync, mkdtempSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { isInstallStale, isStale } from '../../src/tools/freshness.mjs';

const root = mkdtempSync(join(tmpdir(), 'kneepoint-freshness-'));
afterAll(() => rmSync(root, { recursive: true }));

function write(path: string, text: string, timeS: number): void {
  const file = join(root, path);
  mkdirSync(join(file, '..'), { recursive: true });
  writeFileSync(file, text);
  utimesSync(file, timeS, timeS);
  utimesSync(join(file, '..'), timeS, timeS);
}

test('a build is old when there is none, or a source changed, or a source went', () => {
  write('src/engine/dsp/fft.ts', '', 1000);
  write('src/engine/dsp/fir.ts', '', 1000);
  utimesSync(join(root, 'src/engine'), 1000, 1000);
  expect(isStale('library', root)).toBe(true);

  write('dist/library/index.js', '', 2000);
  expect(isStale('library', root)).toBe(false);

  write('src/engine/dsp/fft.ts', 'changed', 3000);
  expect(isStale('library', root)).toBe(true);

  write('dist/library/index.js', '', 4000);
  expect(isStale('library', root)).toBe(false);
  rmSync(join(root, 'src/engine/dsp/fir.ts'));
  expect(isStale('library', root)).toBe(true);
});

test('an installation is old when the lock names another version, but not for other platforms or by its time', () => {
  const a = { version: '1.0.0', integrity: 'sha512-a' };
  const elsewhere = { version: '1.0.0', integrity: 'sha512-b', optional: true };
  const lock = (packages: object) => JSON.stringify({ packages: { '': {}, ...packages } });
  write('package-lock.json', lock({ 'node_modules/a': a, 'node_modules/elsewhere': elsewhere }), 9000);
  expect(isInstallStale(root)).toBe(true);

  write('node_modules/.package-lock.json', JSON.stringify({ packages: { 'node_modules/a': a } }), 1000);
  expect(isInstallStale(root)).toBe(false);

  write('package-lock.json', lock({ 'node_modules/a': { ...a, version: '1.1.0' } }), 1000);
  expect(isInstallStale(root)).toBe(true);
  write('package-lock.json', lock({ 'node_modules/a': a, 'node_modules/new': a }), 1000);
  expect(isInstallStale(root)).toBe(true);
});
