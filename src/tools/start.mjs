// `npm start`: installs and builds what is missing or old, then serves the page on the loopback address.
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { prepare } from './build.mjs';
import { repositoryRoot } from './freshness.mjs';
import { serveFolder } from './serve.mjs';

const DEFAULT_PORT = 4173;

/** @returns {{ port: number, anyPort: boolean }} */
function readPort() {
  const { port } = parseArgs({ options: { port: { type: 'string' } } }).values;
  if (port === undefined) return { port: DEFAULT_PORT, anyPort: true };
  const number = Number(port);
  if (!/^\d+$/.test(port) || number > 65535)
    throw new Error(`--port must be a whole number from 0 to 65535, got ${port}`);
  // A port that was asked for by number is that one or an error.
  return { port: number, anyPort: false };
}

try {
  const options = readPort();
  prepare(['page', 'cli']);
  const { url } = await serveFolder({ root: join(repositoryRoot, 'dist', 'page'), ...options });
  process.stdout.write(`Kneepoint is at ${url} (Ctrl+C ends it)\n`);
} catch (error) {
  process.stderr.write(`npm start: ${error instanceof Error ? error.message : error}\n`);
  process.exit(2);
}
