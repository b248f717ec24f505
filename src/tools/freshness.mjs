// Says what has to be installed or built again. Plain JavaScript without packages: it runs before they are installed.
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const repositoryRoot = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

const EVERY_BUILD = ['vite.config.ts', 'tsconfig.json', 'package-lock.json'];

/** What is built: the file that shows the build is there, and the sources it depends on. */
export const TARGETS = {
  page: {
    output: 'dist/page/index.html',
    sources: ['index.html', 'shared', 'src/engine', 'src/worker', 'src/app', ...EVERY_BUILD],
  },
  cli: { output: 'dist/cli/main.js', sources: ['shared', 'src/engine', 'src/cli', 'src/tools', ...EVERY_BUILD] },
  library: {
    output: 'dist/library/index.js',
    sources: ['shared', 'src/engine', 'src/tools/declarations.mjs', 'src/tools/schema.mjs', ...EVERY_BUILD],
  },
};

/** @typedef {keyof typeof TARGETS} TargetName */

/** False in an installed package, which holds the built files only: npm never packs a lock file. */
export function isCheckout() {
  return existsSync(join(repositoryRoot, 'package-lock.json')) && existsSync(join(repositoryRoot, 'vite.config.ts'));
}

/**
 * Newest modification time in milliseconds below a path, 0 where nothing is.
 * Folders count too, because a removed file leaves its trace only there.
 * @param {string} path
 * @returns {number}
 */
export function newestChangeMs(path) {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat === undefined) return 0;
  if (!stat.isDirectory()) return stat.mtimeMs;
  return readdirSync(path).reduce((newest, name) => Math.max(newest, newestChangeMs(join(path, name))), stat.mtimeMs);
}

/** @param {TargetName} name */
export function isStale(name, root = repositoryRoot) {
  const { output, sources } = TARGETS[name];
  const builtMs = statSync(join(root, output), { throwIfNoEntry: false })?.mtimeMs;
  return builtMs === undefined || sources.some((source) => newestChangeMs(join(root, source)) > builtMs);
}

/**
 * True when the lock file asks for something else than what is installed. It compares contents: times would ask for
 * a new installation after every `npm install`, which writes the lock last, and under the feet of whoever is working.
 */
export function isInstallStale(root = repositoryRoot) {
  const installedPath = join(root, 'node_modules', '.package-lock.json');
  if (!existsSync(installedPath)) return true;
  const wanted = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')).packages;
  const installed = JSON.parse(readFileSync(installedPath, 'utf8')).packages;
  return Object.entries(wanted).some(([path, { version, integrity, optional }]) => {
    if (path === '') return false;
    const there = installed[path];
    // Builds for other platforms are in the lock as optional and never installed here.
    if (there === undefined) return optional !== true;
    return there.version !== version || there.integrity !== integrity;
  });
}
