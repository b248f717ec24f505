// Reads imports as plain text: the compiler in use offers no interface to its syntax tree.
import { dirname, join, normalize } from 'node:path/posix';
import { EMPTY_NAMES, IMPORT_TABLE, LINE_LIMIT, ONE_FILE_PACKAGES } from './importTable.ts';

/** Text of every file by its path from the top of the repository, with forward slashes. */
export type SourceTree = ReadonlyMap<string, string>;

interface Import {
  readonly specifier: string;
  readonly typeOnly: boolean;
}

const SOURCE = /\.(ts|mjs)$/;
const FROM_CLAUSE = /^[ \t]*(?:import|export)\b(?<clause>[^;'"`]*?)\bfrom\s*(['"])(?<specifier>[^'"]+)\2/gm;
const OTHER_IMPORTS = [
  /^[ \t]*import\s*(['"])(?<specifier>[^'"]+)\1/gm,
  /\bimport\(\s*(['"])(?<specifier>[^'"]+)\1\s*[,)]/g,
  /\bnew URL\(\s*(['"])(?<specifier>\.[^'"]+)\1\s*,\s*import\.meta\.url/g,
];

export function importsOf(text: string): Import[] {
  const found: Import[] = [];
  for (const { groups } of text.matchAll(FROM_CLAUSE)) {
    // `import { type A } from` keeps its import at run time, so only a leading `type` counts.
    const typeOnly = /^\s+type\b(?!\s*(?:,|from\b))/.test(`${groups!.clause} `);
    found.push({ specifier: groups!.specifier!, typeOnly });
  }
  for (const pattern of OTHER_IMPORTS) {
    for (const { groups } of text.matchAll(pattern)) found.push({ specifier: groups!.specifier!, typeOnly: false });
  }
  return found;
}

/** The row of the import table that a file belongs to. */
export function areaOf(path: string): string {
  const [top = '', layer = '', folder = ''] = path.split('/');
  const isInFolder = path.split('/').length > 3;
  if (top === 'shared') return 'shared';
  if (layer === 'engine' && isInFolder) return `engine/${folder}`;
  if (layer === 'engine') return folder === 'index.ts' ? 'engine/index' : 'engine/root';
  if (layer === 'app' && folder === 'charts') return 'app/charts';
  if (layer === 'worker' && /^(client|studyClient|identifyClient)\./.test(folder)) return 'worker/client';
  return layer;
}

function packageOf(specifier: string): string {
  if (specifier.startsWith('node:')) return 'npm:node:';
  const parts = specifier.split('/');
  return `npm:${parts.slice(0, specifier.startsWith('@') ? 2 : 1).join('/')}`;
}

function checkImport(path: string, { specifier, typeOnly }: Import, tree: SourceTree): string | null {
  const area = areaOf(path);
  // The tools run before and around everything else; no row limits what they use.
  if (area === 'tools') return null;
  const rule = IMPORT_TABLE[area];
  if (rule === undefined) return `${path}: ${area} has no row in the import table`;
  let target: string;
  if (specifier.startsWith('.')) {
    const file = normalize(join(dirname(path), specifier.replace(/\?.*$/, '')));
    // Built files and package.json lie outside the two trees.
    if (!/^(shared|src)\//.test(file))
      return area === 'cli' ? null : `${path}: ${specifier} leads out of shared/ and src/`;
    if (!tree.has(file)) return `${path}: ${specifier} names no file; imports end in .ts`;
    target = areaOf(file);
  } else {
    target = packageOf(specifier);
  }
  const allowed = target === area || rule.values.includes(target) || (typeOnly && rule.types.includes(target));
  if (allowed) return null;
  return `${path}: ${area} must not import ${typeOnly ? 'types' : 'values'} of ${target.replace('npm:', '')} (${specifier})`;
}

export function checkImports(tree: SourceTree): string[] {
  const faults: string[] = [];
  const users = new Map<string, Set<string>>(ONE_FILE_PACKAGES.map((name) => [`npm:${name}`, new Set()]));
  for (const [path, text] of tree) {
    if (!SOURCE.test(path)) continue;
    for (const found of importsOf(text)) {
      const fault = checkImport(path, found, tree);
      if (fault !== null) faults.push(fault);
      users.get(packageOf(found.specifier))?.add(path);
    }
  }
  for (const [name, paths] of users) {
    if (paths.size > 1)
      faults.push(`${name.replace('npm:', '')} must stay behind one file, got ${[...paths].join(', ')}`);
  }
  return faults;
}

const IMPURE = [/\bMath\s*\.\s*random\b/, /\bDate\s*\.\s*now\b/, /\bnew\s+Date\b/, /\bperformance\s*\./];

/** The engine has no clock and no chance of its own. Comments may speak of them. */
export function checkPurity(tree: SourceTree): string[] {
  const faults: string[] = [];
  for (const [path, text] of tree) {
    if (!path.startsWith('src/engine/') || !SOURCE.test(path)) continue;
    const code = text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|[^:])\/\/.*$/gm, '$1');
    for (const pattern of IMPURE) {
      const match = pattern.exec(code);
      if (match) faults.push(`${path}: the engine must not use ${match[0]}`);
    }
  }
  return faults;
}

export function checkLength(tree: SourceTree): string[] {
  const faults: string[] = [];
  for (const [path, text] of tree) {
    if (!path.startsWith('src/') || !SOURCE.test(path)) continue;
    const lineCount = text.split('\n').length - 1;
    if (lineCount > LINE_LIMIT)
      faults.push(`${path}: must have at most ${LINE_LIMIT} lines, got ${lineCount}; split it`);
  }
  return faults;
}

export function checkFolderNames(tree: SourceTree): string[] {
  const faults = new Set<string>();
  for (const path of tree.keys()) {
    const folders = path.split('/').slice(0, -1);
    const empty = folders.find((name) => EMPTY_NAMES.includes(name));
    if (empty !== undefined) faults.add(`${folders.join('/')}: ${empty} does not say what is inside`);
  }
  return [...faults];
}
