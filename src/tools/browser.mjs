// Finds a Chromium for the browser tests and prints its path: `node src/tools/browser.mjs`.
// The order is CHROMIUM_PATH, known places, Debian's package when root, Playwright's own download.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { runQuietly } from './build.mjs';
import { repositoryRoot } from './freshness.mjs';

const KNOWN_PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/local/bin/chromium',
  '/opt/homebrew/bin/chromium',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
];

/** Where Playwright keeps, or would keep, the browser it downloads. */
function playwrightPlace() {
  try {
    /** @type {typeof import('@playwright/test')} */
    const { chromium } = createRequire(join(repositoryRoot, 'package.json'))('@playwright/test');
    return chromium.executablePath();
  } catch {
    return '';
  }
}

/** The path of a Chromium that is there, or null. */
export function findChromium() {
  const asked = process.env.CHROMIUM_PATH;
  if (asked) {
    if (!existsSync(asked)) throw new Error(`CHROMIUM_PATH must name a Chromium, nothing is at ${asked}`);
    return asked;
  }
  return [...KNOWN_PLACES, playwrightPlace()].find((path) => path !== '' && existsSync(path)) ?? null;
}

/** Debian's package; the fonts, because a page without any font shows no text. */
function installWithApt() {
  process.env.DEBIAN_FRONTEND = 'noninteractive';
  runQuietly('apt-get', ['update', '-q']);
  runQuietly('apt-get', [
    'install',
    '-yq',
    '--no-install-recommends',
    'chromium',
    'fonts-dejavu-core',
    'fonts-liberation',
  ]);
}

/** The path of a Chromium, installed first where none is there; throws when that fails. */
export function ensureChromium() {
  const found = findChromium();
  if (found) return found;
  const hasApt = spawnSync('apt-get', ['--version'], { stdio: 'ignore' }).status === 0;
  if (process.getuid?.() === 0 && hasApt) installWithApt();
  else runQuietly(process.execPath, ['node_modules/@playwright/test/cli.js', 'install', 'chromium']);
  const installed = findChromium();
  if (!installed) throw new Error('no Chromium was found or could be installed; set CHROMIUM_PATH to one');
  return installed;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  try {
    process.stdout.write(`${ensureChromium()}\n`);
  } catch (error) {
    process.stderr.write(`browser.mjs: ${error instanceof Error ? error.message : error}\n`);
    process.exit(1);
  }
}
