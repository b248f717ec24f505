// The library as a user gets it: the built files, imported by the package's own name, with the README's example.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { presetNames, presets } from '../shared/presets/index.ts';
import { SCENARIO_FORMAT, scenarioSchema } from '../shared/schema/scenario.ts';
import { runScenario } from '../src/engine/index.ts';
import { prepare } from '../src/tools/build.mjs';
import { scenarioFileSchema, scenarioJsonSchema } from '../src/tools/schema.mjs';
import { codeBlocks, readDocument, root, section } from './docs/markdown.ts';
import { differenceOf } from './docs/sameFigures.ts';

const TSC = join(root, 'node_modules/typescript/bin/tsc');
let folder = '';

// Inside the package, so that `kneepoint` names the package itself: its `exports` are what a user's import reads.
beforeAll(() => {
  prepare(['library']);
  mkdirSync(join(root, 'dist'), { recursive: true });
  folder = mkdtempSync(join(root, 'dist', 'example-'));
}, 480_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Finished {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

function node(args: readonly string[]): Finished {
  return spawnSync(process.execPath, [...args], { cwd: folder, encoding: 'utf8' });
}

/** Compiles one file as strictly as a careful user would, declarations of the library included. */
function compile(name: string, text: string): Finished {
  const options = {
    target: 'ES2022',
    module: 'nodenext',
    strict: true,
    exactOptionalPropertyTypes: true,
    noUncheckedIndexedAccess: true,
    noUnusedLocals: true,
    skipLibCheck: false,
    types: ['node'],
    rootDir: '.',
    outDir: 'out',
    noEmitOnError: true,
  };
  writeFileSync(join(folder, `${name}.ts`), text);
  writeFileSync(join(folder, `${name}.json`), JSON.stringify({ compilerOptions: options, files: [`${name}.ts`] }));
  return node([TSC, '-p', `${name}.json`]);
}

describe('the example of the README', () => {
  const library = section(readDocument('README.md'), '## Library');
  const example = codeBlocks(library, 'ts')[0]?.text ?? '';
  const quoted = codeBlocks(library, 'text')[0]?.text ?? '';

  test('compiles strictly, runs on the built library and prints the figures that the README quotes', () => {
    expect(example).toContain("from 'kneepoint'");
    const { status, stdout } = compile('example', example);
    expect(status, stdout).toBe(0);
    const run = node(['out/example.js']);
    expect(run.stderr).toBe('');
    expect(quoted.trim().split('\n').length).toBeGreaterThan(2);
    expect(differenceOf(quoted, run.stdout)).toBeNull();
  });

  test('a wrong type does not compile', () => {
    const wrong = example.replace('saturatedPowerDbm: 43', "saturatedPowerDbm: '43'");
    expect(wrong).not.toBe(example);
    expect(compile('wrong', wrong).stdout).toContain("Type 'string' is not assignable to type 'number'");
  });
});

describe('the built library', () => {
  test('gives the figures of the sources to the last digit, for every preset', () => {
    writeFileSync(
      join(folder, 'presets.mjs'),
      `import { coarseScenario, runScenario } from 'kneepoint';
      const presets = ${JSON.stringify(presets)};
      const readings = Object.values(presets).map((preset) => {
        const { report } = runScenario(coarseScenario(preset));
        const { traces, ...rest } = report;
        return rest;
      });
      process.stdout.write(JSON.stringify(readings));`,
    );
    const { stdout, stderr } = node(['presets.mjs']);
    expect(stderr).toBe('');
    const built = JSON.parse(stdout) as { uncorrected: unknown; corrected: unknown; verdicts: unknown }[];
    presetNames.forEach((name, i) => {
      const outcome = runScenario({
        ...presets[name],
        waveform: { ...presets[name]?.waveform, ...lengthOf(built[i]) },
      });
      if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
      const { uncorrected, corrected, verdicts } = outcome.report;
      expect(built[i]).toMatchObject(JSON.parse(JSON.stringify({ uncorrected, corrected, verdicts })));
    });
  });

  function lengthOf(readings: unknown): object {
    const { scenario } = readings as { scenario: { waveform: { symbolCount: number; sampleCount: number } } };
    return { symbolCount: scenario.waveform.symbolCount, sampleCount: scenario.waveform.sampleCount };
  }

  test('needs no other package: its only imports are its own files', () => {
    const text = readFileSync(join(root, 'dist/library/index.js'), 'utf8');
    const specifiers = [...text.matchAll(/^\s*(?:import|export)\b[^'"\n]*from\s*["']([^"']+)["']/gm)].map(
      ([, name]) => name,
    );
    expect(specifiers.filter((name) => !name?.startsWith('.'))).toEqual([]);
  });

  test('the published JSON Schema is that of the sources’ scenario files, under its own name', () => {
    writeFileSync(
      join(folder, 'schema.mjs'),
      `import { createRequire } from 'node:module';
      process.stdout.write(JSON.stringify(createRequire(import.meta.url)('kneepoint/scenario.schema.json')));`,
    );
    const { stdout, stderr } = node(['schema.mjs']);
    expect(stderr).toBe('');
    const fresh = scenarioFileSchema(scenarioJsonSchema(scenarioSchema, SCENARIO_FORMAT));
    expect(JSON.parse(stdout)).toEqual(JSON.parse(JSON.stringify(fresh)));
  });
});
