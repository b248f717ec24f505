// `npm test`: everything that must hold, from a fresh clone to the page in a browser. All stages that can run do run, so
// that one report shows every fault. The last line is `N passed, N failed`: tests, plus one failure a broken stage.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { ensureChromium } from './browser.mjs';
import { install, prepare } from './build.mjs';
import { repositoryRoot } from './freshness.mjs';

/** @typedef {{ passed: number, failed: number, skipped: number }} Counts */

const RESULTS = join(repositoryRoot, 'dist', 'check');

/**
 * Runs an installed program with this Node.js; returns its exit status.
 * @param {string} script
 * @param {string[]} args
 * @param {Record<string, string>} [environment]
 */
function run(script, args, environment = {}) {
  const { status, error } = spawnSync(process.execPath, [join('node_modules', script), ...args], {
    cwd: repositoryRoot,
    stdio: ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...environment },
  });
  if (error) throw error;
  return status ?? 1;
}

/**
 * @param {string} script
 * @param {string[]} args
 */
function mustSucceed(script, args) {
  const status = run(script, args);
  if (status !== 0) throw new Error(`ended with status ${status}`);
}

/**
 * Counts of a test run, where a run that failed without a failed test, or ran none, counts as one failure.
 * @param {number} status
 * @param {string} resultFile
 * @param {(result: any) => Counts} read
 * @returns {Counts}
 */
function countTests(status, resultFile, read) {
  if (!existsSync(resultFile)) throw new Error(`ended with status ${status} and without a result`);
  const counts = read(JSON.parse(readFileSync(resultFile, 'utf8')));
  if (counts.passed + counts.failed === 0) throw new Error('no test ran');
  if (status !== 0 && counts.failed === 0) return { ...counts, failed: 1 };
  return counts;
}

function runVitest() {
  const resultFile = join(RESULTS, 'vitest.json');
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${resultFile}`];
  const status = run('vitest/vitest.mjs', ['run', ...reporters]);
  return countTests(status, resultFile, (result) => ({
    passed: result.numPassedTests,
    failed: result.numFailedTests,
    skipped: result.numPendingTests + result.numTodoTests,
  }));
}

function runPlaywright() {
  const resultFile = join(RESULTS, 'playwright.json');
  const args = ['test', '--config', 'tests/browser/playwright.config.ts', '--reporter', 'list,json'];
  const status = run('@playwright/test/cli.js', args, { PLAYWRIGHT_JSON_OUTPUT_NAME: resultFile });
  return countTests(status, resultFile, ({ stats }) => ({
    passed: stats.expected,
    failed: stats.unexpected + stats.flaky,
    skipped: stats.skipped,
  }));
}

/** @type {[name: string, work: () => Counts | void][]} */
const STAGES = [
  ['install', install],
  ['types', () => mustSucceed('typescript/bin/tsc', ['-b'])],
  ['lint and format', () => mustSucceed('@biomejs/biome/bin/biome', ['check', '--error-on-warnings'])],
  ['builds', () => prepare(['page', 'cli', 'library'])],
  ['engine, library and command line', runVitest],
  ['browser', () => void process.stdout.write(`${ensureChromium()}\n`)],
  ['page', runPlaywright],
];

rmSync(RESULTS, { recursive: true, force: true });
mkdirSync(RESULTS, { recursive: true });

/** @type {Counts} */
const total = { passed: 0, failed: 0, skipped: 0 };
/** @type {string[]} */
const summary = [];
for (const [name, work] of STAGES) {
  process.stdout.write(`\n== ${name}\n`);
  const startedMs = Date.now();
  let outcome = 'ok';
  try {
    const counts = work() ?? { passed: 0, failed: 0, skipped: 0 };
    total.passed += counts.passed;
    total.failed += counts.failed;
    total.skipped += counts.skipped;
    if (counts.failed > 0) outcome = `${counts.failed} FAILED`;
  } catch (error) {
    total.failed += 1;
    outcome = `FAILED: ${error instanceof Error ? error.message : error}`;
  }
  summary.push(`${((Date.now() - startedMs) / 1000).toFixed(1).padStart(7)} s  ${name}: ${outcome}`);
  // Without packages no other stage can say anything.
  if (name === 'install' && outcome !== 'ok') break;
}

process.stdout.write(`\n${summary.join('\n')}\n\n`);
process.stdout.write(
  `${total.passed} passed, ${total.failed} failed${total.skipped > 0 ? `, ${total.skipped} skipped` : ''}\n`,
);
process.exitCode = total.failed > 0 ? 1 : 0;
