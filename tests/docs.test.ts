// The documents are true: what they quote is printed, what they list exists, what exists is listed.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import packageJson from '../package.json' with { type: 'json' };
import { cautions } from '../shared/cautions.ts';
import { SCENARIO_FORMAT, scenarioSchema } from '../shared/schema/scenario.ts';
import { runProgram } from '../src/cli/program.ts';
import { EXIT, type Session } from '../src/cli/session.ts';
import { renewFieldTables, TABLE_END, TABLE_START } from '../src/tools/fieldTable.mjs';
import { scenarioJsonSchema } from '../src/tools/schema.mjs';
import { IMPORT_TABLE } from './architecture/importTable.ts';
import {
  anchors,
  codeBlocks,
  inlineCode,
  links,
  quotations,
  readDocument,
  root,
  section,
  tableRows,
} from './docs/markdown.ts';
import { differenceOf } from './docs/sameFigures.ts';

const DOCUMENTS = ['README.md', 'DEVELOPERS.md', 'src/engine/README.md'];
const readme = readDocument('README.md');
const developers = readDocument('DEVELOPERS.md');
const engineReadme = readDocument('src/engine/README.md');

interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs a command line in a folder, in this process. */
async function runIn(folder: string, args: readonly string[]): Promise<Ended> {
  let [out, err] = ['', ''];
  const session: Session = {
    stdout: (text) => {
      out += text;
    },
    stderr: (text) => {
      err += text;
    },
    isTerminal: false,
    columns: 80,
    folder,
    readStdin: () => '',
    untilInterrupted: () => new Promise(() => {}),
  };
  return { code: await runProgram(args, session), out, err };
}

test('the comparison of figures takes a turned last digit and nothing more', () => {
  expect(differenceOf('ACLR 52.9 dB,  at −0.30 dB', 'ACLR 53.0 dB, at\n−0.31 dB')).toBeNull();
  expect(differenceOf('ACLR 52.9 dB', 'ACLR 53.1 dB')).toContain('got "53.1"');
  expect(differenceOf('−0.3 dB', '0.3 dB')).toContain('got "0.3"');
  expect(differenceOf('12 coefficients', '13 coefficient')).not.toBeNull();
  expect(differenceOf('one line', 'one line more')).not.toBeNull();
});

/** Words of a command line as a shell parts them; quotation marks hold blanks together. */
function words(line: string): string[] {
  return [...line.matchAll(/"([^"]*)"|'([^']*)'|(\S+)/g)].map((match) => match[1] ?? match[2] ?? match[3] ?? '');
}

describe('README: the beginning', () => {
  test('nothing but the title stands before the job, and the job says what for whom', () => {
    const [title, job = '', next] = readme.split(/\n{2,}/);
    expect(title).toBe('# Kneepoint');
    expect(job).not.toMatch(/^[#>|*![-]/);
    for (const word of ['engineers', 'amplifier', 'waveform', 'power', 'predistortion', 'limits']) {
      expect(job).toContain(word);
    }
    expect(next).toBe('## Start');
  });

  test('two commands do all set-up, one runs the main job, one passes the tests', () => {
    const lines = codeBlocks(section(readme, '## Start'), 'sh').flatMap(({ text }) => text.trim().split('\n'));
    expect(lines.map((line) => line.replace(/\s*#.*/, ''))).toEqual(['npm start', 'npm test', 'npx . run quarry-link']);
    for (const name of ['start', 'test'] as const) expect(packageJson.scripts[name]).toMatch(/^node src\/tools\//);
  });
});

describe('README: command lines run and print what is quoted', () => {
  let folder = '';
  const ended = new Map<string, Ended>();
  const lines = codeBlocks(readme, 'sh')
    .flatMap(({ text }) => text.replace(/\\\n\s*/g, '').split('\n'))
    .filter((line) => line.startsWith('npx . '));

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'kneepoint-docs-'));
    const example = codeBlocks(section(readme, '## Scenario file'), 'json')[0]?.text ?? '';
    const name = /Saved as `([^`]+)`/.exec(readme)?.[1] ?? '';
    writeFileSync(join(folder, name), example);
    // In their order: some read what others wrote.
    for (const line of lines) ended.set(line, await runIn(folder, words(line.replace(/\s+#.*/, '')).slice(2)));
  }, 480_000);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  test('each ends with 0, or with the code its comment states', () => {
    expect(lines.length).toBeGreaterThan(8);
    for (const [line, { code, err }] of ended) {
      expect(code, `${line}\n${err}`).toBe(Number(/# exit code (\d)/.exec(line)?.[1] ?? 0));
    }
  });

  test('the first result is what `run quarry-link` prints', () => {
    const { out = '' } = ended.get('npx . run quarry-link') ?? {};
    const quote = /<!-- quoted from: npx \. run quarry-link -->([\s\S]*?)<!-- end of quote -->/.exec(readme)?.[1] ?? '';
    const [title, ...paragraphs] = out.split(/\n{2,}|(?<=^Quarry Link at 3\.46.GHz)\n/);
    expect(title).toMatch(/^Quarry Link at 3\.46\sGHz$/);
    expect(differenceOf(quotations(quote)[0] ?? '', paragraphs[0] ?? '')).toBeNull();
    expect(differenceOf(codeBlocks(quote, 'text')[0]?.text ?? '', paragraphs[1] ?? '')).toBeNull();
  });

  test('the JSON holds exactly the report readings that the README names', () => {
    const { out = '{}' } = ended.get('npx . run quarry-link --set predistorter=null --json') ?? {};
    const named = tableRows(readme, '| name | holds |').flatMap(([cell = '']) => inlineCode(cell));
    expect(named.filter((name) => name !== 'traces').sort()).toEqual(Object.keys(JSON.parse(out)).sort());
  });

  test('the picture is the one its command draws', async () => {
    const command = inlineCode(readme).find((code) => code.includes('segmentLength=1024')) ?? '';
    const { code } = await runIn(folder, words(command).slice(2));
    expect(code).toBe(0);
    const drawn = readFileSync(join(folder, 'report', 'spectrum.svg'), 'utf8');
    const picture = join(root, links(readme).find((link) => link.endsWith('.svg')) ?? '');
    // `UPDATE_GOLDEN=1 npx vitest run tests/docs.test.ts` after a change that is meant.
    if (process.env['UPDATE_GOLDEN']) writeFileSync(picture, drawn);
    const kept = readFileSync(picture, 'utf8');
    expect(differenceOf(kept, drawn)).toBeNull();
    expect(kept.length).toBeLessThan(60_000);
  });
});

describe('README: command reference', () => {
  const optionRows = tableRows(readme, '| option | commands | meaning |');

  async function helpOf(args: readonly string[]): Promise<string> {
    const { out } = await runIn(tmpdir(), [...args, '--help']);
    return out.split('\nCautions')[0] ?? '';
  }

  const flagsIn = (help: string): string[] =>
    [...help.matchAll(/^ {2}(?:-\w, )?(--[a-z-]+(?: <[^>]+>)?)/gm)].map((match) => match[1] ?? '');

  test('its commands are the commands of --help, with their arguments', async () => {
    const help = (await helpOf([])).split('\nCommands:\n')[1]?.split('\n\n')[0] ?? '';
    const existing = [...help.matchAll(/^ {2}([a-z]+) (?:\[options\])? *([[<]\w+[\]>])?/gm)]
      .map((match) => [match[1], match[2]].filter(Boolean).join(' '))
      .filter((command) => !command.startsWith('help'));
    const listed = tableRows(readme, '| command | does |').map(([cell = '']) => inlineCode(cell)[0]);
    expect(listed.sort()).toEqual(existing.sort());
  });

  test('its options are the options of each command’s --help', async () => {
    const commands = tableRows(readme, '| command | does |').map(([cell = '']) => /\w+/.exec(cell)?.[0] ?? '');
    for (const command of commands) {
      const listed = optionRows
        .filter(([, who = '']) => who === 'all' || inlineCode(who).includes(command))
        .flatMap(([flags = '']) => inlineCode(flags))
        .filter((flag) => flag !== '--version');
      expect(listed.sort(), command).toEqual(flagsIn(await helpOf([command])).sort());
    }
    expect(flagsIn(await helpOf([]))).toEqual(['--version', '--help']);
  });

  test('its exit codes are those of the program', () => {
    const codes = tableRows(readme, '| exit code | meaning |').map(([code]) => Number(code));
    expect(codes).toEqual(Object.values(EXIT));
  });
});

describe('README: scenario fields', () => {
  test('the table is what `node src/tools/fieldTable.mjs` writes', () => {
    expect(readme).toBe(renewFieldTables(readme, scenarioJsonSchema(scenarioSchema, SCENARIO_FORMAT)));
  });

  test('every field of the schema has a row', () => {
    const table = readme.slice(readme.indexOf(TABLE_START), readme.indexOf(TABLE_END));
    const named = new Set(inlineCode(table).map((code) => code.split('.').at(-1)));
    const missing = keysOf(scenarioSchema).filter((key) => !named.has(key) && !PARTS.includes(key));
    expect(missing).toEqual([]);
    for (const kind of ['ofdm', 'noise', 'channelFilter', 'published', 'aclr', 'evm'])
      expect(table).toContain(`"${kind}"`);
  });

  /** Shown otherwise: forks as headings, complex numbers as such, objects by the fields they hold. */
  const PARTS = ['kind', 'reading', 're', 'im', 'model', 'evm', 'spectrum'];

  function keysOf(schema: unknown): string[] {
    const node = schema as { entries?: object; wrapped?: unknown; item?: unknown; options?: unknown[] };
    const inner = [...Object.values(node.entries ?? {}), node.wrapped, node.item, ...(node.options ?? [])];
    const below = inner.filter((one) => typeof one === 'object' && one !== null).flatMap(keysOf);
    return [...new Set([...Object.keys(node.entries ?? {}), ...below])];
  }
});

describe('what all documents must hold', () => {
  test('every caution stands in the README, word for word', () => {
    const listed = section(readme, '## Cautions').replace(/\s+/g, ' ');
    for (const caution of cautions) expect(listed).toContain(caution);
  });

  test.each(DOCUMENTS)('%s: links lead somewhere', (path) => {
    const text = readDocument(path);
    for (const link of links(text)) {
      const [file = '', anchor] = link.split('#');
      expect(file, `${link}: a document that stands alone links into the repository`).not.toMatch(/^\w+:/);
      const target = file === '' ? path : join(dirname(path), file);
      expect(existsSync(join(root, target)), link).toBe(true);
      if (anchor !== undefined) expect(anchors(readDocument(target)), link).toContain(anchor);
    }
  });

  test.each(DOCUMENTS)('%s: code lines fit a narrow window', (path) => {
    // What the program prints is wrapped at 78.
    const long = codeBlocks(readDocument(path)).flatMap(({ language, text }) =>
      text.split('\n').filter((line) => line.length > (language === 'text' ? 78 : 75)),
    );
    expect(long).toEqual([]);
  });

  test('no text claims that something conforms: limits and readings are examples', () => {
    const claim = /\b(conforms|conformant|compliant|certified|guaranteed)\b/i;
    const files = ['shared', 'src'].flatMap((top) =>
      readdirSync(join(root, top), { recursive: true, encoding: 'utf8' })
        .filter((name) => /\.(ts|mjs|json|css|html|md)$/.test(name))
        .map((name) => `${top}/${name.replaceAll('\\', '/')}`),
    );
    const claiming = [...DOCUMENTS, 'index.html', ...files].filter((path) => claim.test(readDocument(path)));
    expect(claiming).toEqual([]);
  });

  test('changes are newest first, and the newest is this version', () => {
    const versions = [...section(readme, '## Changes').matchAll(/^### (\d+)\.(\d+)\.(\d+)/gm)].map((match) =>
      match.slice(1, 4).map(Number),
    );
    expect(versions[0]?.join('.')).toBe(packageJson.version);
    const rank = ([a = 0, b = 0, c = 0]: readonly number[]) => (a * 1000 + b) * 1000 + c;
    expect(versions.map(rank)).toEqual(versions.map(rank).sort((a, b) => b - a));
  });
});

/** A folder without files is not in the repository. */
function holdsFiles(folder: string): boolean {
  return readdirSync(folder, { recursive: true, withFileTypes: true }).some((entry) => entry.isFile());
}

describe('DEVELOPERS.md', () => {
  test('the tree names every folder of the sources and of the tests', () => {
    const tree = codeBlocks(section(developers, '## The tree'))[0]?.text ?? '';
    const folders = ['shared', 'src', 'src/app', 'src/engine', 'tests'].flatMap((top) =>
      readdirSync(join(root, top), { withFileTypes: true })
        .filter((entry) => entry.isDirectory() && holdsFiles(join(root, top, entry.name)))
        .map((entry) => entry.name),
    );
    const missing = folders.filter((name) => !new RegExp(`^\\s*(?:[\\w/]+/)?${name}/`, 'm').test(tree));
    expect(missing).toEqual([]);
  });

  test('every path it names exists', () => {
    const paths = inlineCode(developers).filter((code) => /^(shared|src|tests)\/[\w./-]+$/.test(code));
    expect(paths.length).toBeGreaterThan(40);
    expect(paths.filter((path) => !existsSync(join(root, path)))).toEqual([]);
  });

  test('its import table has the areas of the one that is enforced', () => {
    const areas = tableRows(developers, '| area | may import | types only |').flatMap(([cell = '']) =>
      inlineCode(cell),
    );
    expect(areas.sort()).toEqual(Object.keys(IMPORT_TABLE).sort());
  });

  test('every npm script it names exists', () => {
    const named = [...developers.matchAll(/npm (?:run )?(start|test|\w+)\b/g)].map((match) => match[1] ?? '');
    const scripts = Object.keys(packageJson.scripts);
    expect(named.filter((name) => !scripts.includes(name) && !['ci', 'pack'].includes(name))).toEqual([]);
  });

  test('a decision says context, decision and consequence', () => {
    const decisions = section(developers, '## Decisions').split(/^### /m).slice(1);
    expect(decisions.length).toBeGreaterThanOrEqual(8);
    for (const decision of decisions) {
      for (const part of ['Context', 'Decision', 'Consequence']) expect(decision).toContain(`**${part}.**`);
    }
  });
});

describe('src/engine/README.md', () => {
  test('every warning the engine can give is explained', () => {
    const files = readdirSync(join(root, 'src/engine'), { recursive: true, encoding: 'utf8' });
    const codes = files
      .filter((name) => name.endsWith('.ts'))
      .flatMap((name) => [...readDocument(`src/engine/${name}`).matchAll(/\bcode: ['`]([a-z-]+)/g)])
      .map((match) => match[1] ?? '');
    expect(codes.length).toBeGreaterThan(15);
    const explained = inlineCode(section(engineReadme, '## Warnings'));
    expect([...new Set(codes)].filter((code) => !explained.some((name) => name.startsWith(code)))).toEqual([]);
  });

  test('each part ends with its sources, marked read or from memory', () => {
    const sources = tableRows(engineReadme, '| what | source | status |');
    expect(sources.length).toBeGreaterThan(15);
    for (const [what, , status] of sources) expect(status, what).toMatch(/^(read|from memory|ours|checked)/);
  });
});
