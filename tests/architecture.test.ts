import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  areaOf,
  checkFolderNames,
  checkImports,
  checkLength,
  checkPurity,
  importsOf,
  type SourceTree,
} from './architecture/checker.ts';

const root = join(import.meta.dirname, '..');

function readTree(): SourceTree {
  const tree = new Map<string, string>();
  for (const top of ['shared', 'src']) {
    for (const entry of readdirSync(join(root, top), { recursive: true, withFileTypes: true })) {
      if (!entry.isFile()) continue;
      const file = join(entry.parentPath, entry.name);
      tree.set(file.slice(root.length + 1).replaceAll('\\', '/'), readFileSync(file, 'utf8'));
    }
  }
  return tree;
}

describe('the tree as it is', () => {
  const tree = readTree();

  test('every import is one that the import table allows', () => {
    expect(checkImports(tree)).toEqual([]);
  });

  test('the engine has neither a clock nor chance of its own', () => {
    expect(checkPurity(tree)).toEqual([]);
  });

  test('every source file is short enough to read', () => {
    expect(checkLength(tree)).toEqual([]);
  });

  test('every folder has a name that says what is inside', () => {
    expect(checkFolderNames(tree)).toEqual([]);
  });

  test('the checker sees every layer and finds imports', () => {
    const layers = new Set([...tree.keys()].map((path) => areaOf(path).split('/')[0]!));
    expect([...layers].sort()).toEqual(['app', 'cli', 'engine', 'shared', 'tools', 'worker']);
    for (const path of ['src/app/main.ts', 'src/cli/main.ts', 'src/tools/start.mjs']) {
      expect(importsOf(tree.get(path)!), path).not.toEqual([]);
    }
  });
});

/** A tree with one faulty file, beside files that it may name. */
function planted(path: string, text: string): SourceTree {
  const there = [
    'shared/schema/a.ts',
    'src/engine/index.ts',
    'src/worker/client.ts',
    'src/worker/entry.ts',
    'src/app/main.ts',
  ];
  const folders = ['dsp', 'basis', 'waveform', 'amplifier', 'linearization', 'measurement', 'simulation', 'study'];
  const files = [...there, ...folders.map((folder) => `src/engine/${folder}/a.ts`)];
  return new Map([...files.map((file): [string, string] => [file, '']), [path, text]]);
}

describe('a planted fault is found', () => {
  test.each([
    ['shared imports the engine', 'shared/b.ts', "import { run } from '../src/engine/index.ts';"],
    ['dsp imports a value of shared', 'src/engine/dsp/b.ts', "import { A } from '../../../shared/schema/a.ts';"],
    ['an amplifier imports a predistorter', 'src/engine/amplifier/b.ts', "import { a } from '../linearization/a.ts';"],
    ['a basis imports a value of shared', 'src/engine/basis/b.ts', "import { a } from '../../../shared/schema/a.ts';"],
    [
      'a measurement imports a value of the amplifier',
      'src/engine/measurement/b.ts',
      "import { a } from '../amplifier/a.ts';",
    ],
    [
      'one inline type keeps the import at run time',
      'src/engine/measurement/b.ts',
      "import { type A } from '../amplifier/a.ts';",
    ],
    ['a study holds physics', 'src/engine/study/b.ts', "import { a } from '../amplifier/a.ts';"],
    ['simulation imports a study', 'src/engine/simulation/b.ts', "import { a } from '../study/a.ts';"],
    ['a re-export over several lines', 'src/engine/dsp/b.ts', "export {\n  a,\n  b,\n} from '../basis/a.ts';"],
    ['the engine imports Node', 'src/engine/record/b.ts', "import { readFileSync } from 'node:fs';"],
    ['a folder without a row', 'src/engine/extra/b.ts', "import { a } from '../dsp/a.ts';"],
    ['the page imports a value of the engine', 'src/app/b.ts', "import { run } from '../engine/index.ts';"],
    ['the page imports deep types of the engine', 'src/app/b.ts', "import type { A } from '../engine/dsp/a.ts';"],
    ['the page imports the worker entry', 'src/app/b.ts', "import { a } from '../worker/entry.ts';"],
    ['uplot outside the charts', 'src/app/elements/b.ts', "import uPlot from 'uplot';"],
    ['the worker imports the page', 'src/worker/b.ts', "import '../app/main.ts';"],
    ['the command line imports deep', 'src/cli/b.ts', "const { a } = await import('../engine/dsp/a.ts');"],
    ['the command line imports comlink', 'src/cli/b.ts', "import * as Comlink from 'comlink';"],
    ['an import without its extension', 'src/engine/dsp/b.ts', "import { a } from './a';"],
  ])('%s', (_title, path, text) => {
    expect(checkImports(planted(path, text))).toEqual([expect.stringContaining(path)]);
  });

  test('a package behind two files', () => {
    const tree = new Map(['a', 'b'].map((name) => [`src/engine/dsp/${name}.ts`, "import FFT from 'fft.js';"]));
    expect(checkImports(tree)).toEqual([expect.stringContaining('must stay behind one file')]);
  });

  test.each(['Math.random()', 'Date.now()', 'new Date()', 'performance.now()'])('%s in the engine', (code) => {
    expect(checkPurity(planted('src/engine/dsp/b.ts', `export const a = ${code};\n`))).toHaveLength(1);
    expect(checkPurity(planted('src/engine/dsp/b.ts', `// not ${code}\n/* nor ${code} */\n`))).toEqual([]);
    expect(checkPurity(planted('src/app/b.ts', `export const a = ${code};\n`))).toEqual([]);
  });

  test('a file of 401 lines', () => {
    expect(checkLength(planted('src/engine/dsp/b.ts', '\n'.repeat(401)))).toEqual([expect.stringContaining('got 401')]);
    expect(checkLength(planted('src/engine/dsp/b.ts', '\n'.repeat(400)))).toEqual([]);
  });

  test('a folder named utils', () => {
    expect(checkFolderNames(planted('src/app/utils/b.ts', ''))).toEqual([expect.stringContaining('src/app/utils')]);
  });
});

describe('what is allowed is not reported', () => {
  test.each([
    [
      'a measurement names an amplifier type',
      'src/engine/measurement/b.ts',
      "import type { A } from '../amplifier/a.ts';",
    ],
    ['a default import named type', 'src/engine/dsp/b.ts', "import type from './a.ts';"],
    ['the page names types of the engine', 'src/app/b.ts', "import type { A } from '../engine/index.ts';"],
    ['the page uses the client', 'src/app/state/b.ts', "import { a } from '../../worker/client.ts';"],
    ['uplot and its style in the charts', 'src/app/charts/b.ts', "import css from 'uplot/dist/uPlot.min.css?inline';"],
    ['the command line uses Node', 'src/cli/b.ts', "import { readFileSync } from 'node:fs';"],
    ['the client starts the worker', 'src/worker/client.ts', "new Worker(new URL('./entry.ts', import.meta.url));"],
    ['an import in a comment', 'src/engine/dsp/b.ts', " * import { a } from '../study/a.ts'"],
  ])('%s', (_title, path, text) => {
    expect(checkImports(planted(path, text))).toEqual([]);
  });
});
