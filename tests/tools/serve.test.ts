import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { serveFolder } from '../../src/tools/serve.mjs';

const folder = mkdtempSync(join(tmpdir(), 'kneepoint-serve-'));
let server: Awaited<ReturnType<typeof serveFolder>>;

beforeAll(async () => {
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'secret.txt'), 'secret');
  writeFileSync(join(folder, 'page', 'index.html'), '<p>page</p>');
  writeFileSync(join(folder, 'page', 'main.js'), 'export {};');
  symlinkSync(join(folder, 'secret.txt'), join(folder, 'page', 'link.txt'));
  server = await serveFolder({ root: join(folder, 'page') });
});

afterAll(async () => {
  await server.close();
  rmSync(folder, { recursive: true });
});

/** A raw request: fetch would tidy the path up before it is sent. */
function get(path: string, method = 'GET') {
  return new Promise<{ status: number; type: string; body: string }>((resolve, reject) => {
    const sent = request({ host: '127.0.0.1', port: server.port, path, method }, (response) => {
      let body = '';
      response.setEncoding('utf8');
      response.on('data', (part: string) => {
        body += part;
      });
      response.on('end', () =>
        resolve({ status: response.statusCode ?? 0, type: response.headers['content-type'] ?? '', body }),
      );
    });
    sent.on('error', reject).end();
  });
}

test('a folder answers with its index.html, a script with its type', async () => {
  expect(await get('/?theme=dark')).toEqual({ status: 200, type: 'text/html; charset=utf-8', body: '<p>page</p>' });
  expect(await get('/main.js')).toEqual({ status: 200, type: 'text/javascript; charset=utf-8', body: 'export {};' });
});

test.each(['/../secret.txt', '/%2e%2e/secret.txt', '/..%2fsecret.txt', '/link.txt', '/nothing'])(
  '%s is not found',
  async (path) => {
    expect(await get(path)).toMatchObject({ status: 404, body: '404\n' });
  },
);

test.each(['/%', '/%00', '/%5c..%5csecret.txt'])('%s is malformed, and the server goes on', async (path) => {
  expect((await get(path)).status).toBe(400);
  expect((await get('/')).status).toBe(200);
});

test('only reading is answered', async () => {
  expect((await get('/', 'POST')).status).toBe(405);
  expect(await get('/', 'HEAD')).toMatchObject({ status: 200, body: '' });
});

test('a taken port is an error, or another port where any will do', async () => {
  const root = join(folder, 'page');
  await expect(serveFolder({ root, port: server.port })).rejects.toThrow('EADDRINUSE');
  const other = await serveFolder({ root, port: server.port, anyPort: true });
  expect(other.port).not.toBe(server.port);
  await other.close();
});
