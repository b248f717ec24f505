// Installs and builds: `node src/tools/build.mjs [page] [cli] [library]`, all three without a name.
// Everything these steps print goes to stderr, so that stdout stays the program's that asked for them.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync, rmSync, utimesSync } from 'node:fs';
import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { writeDeclarations } from './declarations.mjs';
import { isInstallStale, isStale, repositoryRoot, TARGETS } from './freshness.mjs';

/** @typedef {import('./freshness.mjs').TargetName} TargetName */

const VITE = 'node_modules/vite/bin/vite.js';
const TSC = 'node_modules/typescript/bin/tsc';

/**
 * Runs a program in the repository with its output on stderr; throws when it fails.
 * @param {string} command
 * @param {string[]} args
 */
export function runQuietly(command, args) {
  // npm is a script on Windows, which only a shell can start.
  const shell = process.platform === 'win32' && command === 'npm';
  // A test that builds has NODE_ENV=test, with which packages would be bundled in their talkative development form.
  const env = { ...process.env, NODE_ENV: 'production' };
  const { status, error } = spawnSync(command, args, { cwd: repositoryRoot, stdio: ['ignore', 2, 2], shell, env });
  if (error) throw error;
  if (status !== 0) throw new Error(`${basename(command)} ${args.join(' ')} ended with status ${status}`);
}

/** Installs what the lock file lists when something else, or nothing, is installed. */
export function install() {
  if (!isInstallStale()) return;
  process.stderr.write('installing packages\n');
  // Everything needed is a development package, whatever NODE_ENV says.
  runQuietly('npm', ['ci', '--include=dev', '--no-fund', '--no-audit']);
}

/**
 * Puts a finished build in the place of the old one. Another process may do the same at the same moment.
 * @param {string} staging
 * @param {string} place
 */
function swapIn(staging, place) {
  const old = `${staging}-old`;
  for (let attempt = 0; ; attempt++) {
    try {
      if (existsSync(place)) renameSync(place, old);
      renameSync(staging, place);
      break;
    } catch (error) {
      if (attempt === 5) throw error;
    } finally {
      rmSync(old, { recursive: true, force: true });
    }
  }
}

/**
 * Builds beside the old build and swaps, so that a program that runs meanwhile never meets half a build and a failed
 * build leaves the old one.
 * @param {TargetName} name
 */
export function build(name) {
  const startedS = Date.now() / 1000;
  const dist = join(repositoryRoot, 'dist');
  const staging = join(dist, `.staging-${name}-${process.pid}`);
  mkdirSync(dist, { recursive: true });
  try {
    runQuietly(process.execPath, [VITE, 'build', '--mode', name, '--outDir', staging, '--logLevel', 'warn']);
    if (name === 'library') {
      runQuietly(process.execPath, [TSC, '-b', 'src/engine']);
      writeDeclarations(join(dist, 'types'), join(staging, 'types'));
      runQuietly(process.execPath, ['src/tools/schema.mjs', join(staging, 'scenario.schema.json')]);
    }
    swapIn(staging, join(dist, name));
  } finally {
    rmSync(staging, { recursive: true, force: true });
  }
  // A source saved while the build ran is newer than the build, whether the build saw it or not.
  utimesSync(join(repositoryRoot, TARGETS[name].output), startedS, startedS);
}

/**
 * Installs if needed, then builds what is older than its sources.
 * @param {TargetName[]} names
 */
export function prepare(names) {
  install();
  for (const name of names) {
    if (!isStale(name)) continue;
    process.stderr.write(`building ${name}\n`);
    build(name);
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const known = /** @type {TargetName[]} */ (Object.keys(TARGETS));
  const asked = process.argv.slice(2);
  const unknown = asked.filter((name) => !known.some((target) => target === name));
  if (unknown.length > 0) {
    process.stderr.write(`build.mjs: must be one of ${known.join(', ')}, got ${unknown.join(', ')}\n`);
    process.exit(2);
  }
  install();
  for (const name of known) if (asked.length === 0 || asked.includes(name)) build(name);
}
