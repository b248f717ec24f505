// A small static server for the built page: loopback only, read only, one folder.
import { createReadStream, realpathSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, sep } from 'node:path';

const LOOPBACK = '127.0.0.1';

/** @type {Record<string, string>} */
const MIME_TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.mjs': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json; charset=utf-8',
  '.csv': 'text/csv; charset=utf-8',
  '.txt': 'text/plain; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.wasm': 'application/wasm',
};

/**
 * The file a request path names: its path, 400 for a path that is malformed, 404 where nothing is to be had.
 * @param {string} root  a real path, without links
 * @param {string} requestUrl
 * @returns {string | 400 | 404}
 */
export function resolveRequest(root, requestUrl) {
  let path;
  try {
    path = decodeURIComponent(/^[^?#]*/.exec(requestUrl)?.[0] ?? '');
  } catch {
    return 400;
  }
  if (!path.startsWith('/') || path.includes('\0') || path.includes('\\')) return 400;
  try {
    const file = realpathSync(join(root, path.endsWith('/') ? `${path}index.html` : path));
    // Checked after links and dots are resolved, so neither can lead out of the folder.
    return file.startsWith(root + sep) && statSync(file).isFile() ? file : 404;
  } catch {
    return 404;
  }
}

/**
 * @param {string} root
 * @returns {import('node:http').RequestListener}
 */
function answerFrom(root) {
  return (request, response) => {
    const refuse = (/** @type {number} */ status) => {
      response.writeHead(status, { 'content-type': 'text/plain; charset=utf-8' }).end(`${status}\n`);
    };
    if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(405);
    const file = resolveRequest(root, request.url ?? '/');
    if (typeof file === 'number') return refuse(file);
    response.writeHead(200, {
      'content-type': MIME_TYPES[extname(file)] ?? 'application/octet-stream',
      'content-length': statSync(file).size,
      'cache-control': 'no-cache',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
    if (request.method === 'HEAD') return response.end();
    const stream = createReadStream(file);
    stream.on('error', () => response.destroy());
    return stream.pipe(response);
  };
}

/**
 * @param {import('node:http').Server} server
 * @param {number} port
 * @returns {Promise<number>} the port it listens on
 */
function listen(server, port) {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, LOOPBACK, () => {
      server.off('error', reject);
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : port);
    });
  });
}

/**
 * Serves a folder on the loopback address. When `port` is taken and `anyPort` is true, a free port is used instead.
 * @param {{ root: string, port?: number, anyPort?: boolean }} options
 * @returns {Promise<{ url: string, port: number, close: () => Promise<void> }>}
 */
export async function serveFolder({ root, port = 0, anyPort = false }) {
  const server = createServer(answerFrom(realpathSync(root)));
  let listening;
  try {
    listening = await listen(server, port);
  } catch (error) {
    const taken = error instanceof Error && 'code' in error && error.code === 'EADDRINUSE';
    if (!taken || !anyPort) throw error;
    listening = await listen(server, 0);
  }
  const close = () =>
    new Promise((/** @type {(value: void) => void} */ resolve) => {
      server.close(() => resolve());
      server.closeAllConnections();
    });
  return { url: `http://${LOOPBACK}:${listening}/`, port: listening, close };
}
