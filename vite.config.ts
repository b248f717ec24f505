// One configuration for the three things built from one engine. The mode picks which:
// `page` (dist/page), `cli` (dist/cli) or `library` (dist/library). The tests use the same file.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { Plugin, UserConfig } from 'vite';
import { defineConfig } from 'vitest/config';

const root = import.meta.dirname;
const at = (path: string) => resolve(root, path);

/** Worker threads of the command line start from files of their own: each `src/cli/<name>Worker.ts` is one. */
function cliEntries(): Record<string, string> {
  const workers = readdirSync(at('src/cli')).filter((name) => name.endsWith('Worker.ts'));
  return Object.fromEntries(['main.ts', ...workers].map((name) => [name.replace(/\.ts$/, ''), at(`src/cli/${name}`)]));
}

const CONTENT_SECURITY_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "worker-src 'self'",
  "connect-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

/** Build only: the development server injects style elements, which this policy forbids. */
const contentSecurityPolicy: Plugin = {
  name: 'content-security-policy',
  apply: 'build',
  transformIndexHtml: () => [
    {
      tag: 'meta',
      attrs: { 'http-equiv': 'Content-Security-Policy', content: CONTENT_SECURITY_POLICY },
      injectTo: 'head-prepend',
    },
  ],
};

/** The pool starts its threads from files beside its own code, so a bundle that contains the pool needs them beside it. */
const tinypoolFiles: Plugin = {
  name: 'tinypool-files',
  apply: 'build',
  generateBundle() {
    const from = at('node_modules/tinypool/dist');
    if (!existsSync(from)) return;
    for (const name of readdirSync(from, { recursive: true, encoding: 'utf8' })) {
      if (!name.endsWith('.js') || name === 'index.js') continue;
      this.emitFile({ type: 'asset', fileName: name.replaceAll('\\', '/'), source: readFileSync(resolve(from, name)) });
    }
  },
};

const page: UserConfig = {
  base: './',
  publicDir: at('src/app/public'),
  worker: { format: 'es' },
  plugins: [contentSecurityPolicy],
  build: { outDir: at('dist/page'), emptyOutDir: true, modulePreload: { polyfill: false } },
};

const nodeBundle: UserConfig = {
  publicDir: false,
  ssr: { noExternal: true },
};

const cli: UserConfig = {
  ...nodeBundle,
  plugins: [tinypoolFiles],
  build: {
    ssr: true,
    target: 'node20',
    outDir: at('dist/cli'),
    emptyOutDir: true,
    // Flat names: code that finds files beside itself works from every chunk.
    rolldownOptions: { input: cliEntries(), output: { entryFileNames: '[name].js', chunkFileNames: '[name].js' } },
  },
};

const library: UserConfig = {
  ...nodeBundle,
  build: {
    ssr: true,
    target: 'es2022',
    outDir: at('dist/library'),
    emptyOutDir: true,
    rolldownOptions: { input: { index: at('src/engine/index.ts') }, output: { entryFileNames: '[name].js' } },
  },
};

export default defineConfig(({ mode }) => ({
  root,
  ...(mode === 'cli' ? cli : mode === 'library' ? library : page),
  test: {
    environment: 'node',
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**'],
    // By default one core is left free, which on a machine with two leaves half of it idle.
    maxWorkers: Math.max(2, availableParallelism()),
    // A module is read once a worker, not once a file: the engine keeps no state between calls that a test could see.
    isolate: false,
    testTimeout: 240_000,
    hookTimeout: 240_000,
  },
}));
