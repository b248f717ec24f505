// The README's table of all scenario fields, from the published JSON Schema: `node src/tools/fieldTable.mjs` renews it.
// A test compares the README with what this writes.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { repositoryRoot } from './freshness.mjs';
import { loadScenarioJsonSchema } from './schema.mjs';

/** @typedef {import('./schema.mjs').JsonSchema} JsonSchema */
/** @typedef {{ path: string, label: string, unit: string, range: string, fallback: string, help: string }} Row */
/** @typedef {{ path: string, kind: string, note: string, rows: Row[] }} Section */

export const TABLE_START = '<!-- scenario fields, written by src/tools/fieldTable.mjs -->';
export const TABLE_END = '<!-- end of scenario fields -->';

/** The one place where a part of the schema stands a second time: a row in place of all its tables. */
const REPEATED = {
  path: 'amplifier.overBand.points.N.model',
  row: {
    label: 'Model at the point',
    unit: '',
    range: 'as `amplifier.model`, or `null`',
    fallback: '`null`',
    help: '`null` takes `amplifier.model`, moved to the point’s gain and saturated power.',
  },
};

/** A field that forks by one of these is shown once for each of its values. @param {JsonSchema} schema */
function forkOf({ properties = {} }) {
  for (const name of ['kind', 'reading']) {
    const value = properties[name]?.const;
    if (value !== undefined) return { name, value: String(value) };
  }
  return null;
}

/** Takes "or null" off. @param {JsonSchema} schema @returns {{ schema: JsonSchema, isNullable: boolean }} */
function withoutNull(schema) {
  const options = schema.anyOf ?? [];
  const rest = options.filter(({ type }) => type !== 'null');
  if (rest.length === options.length || rest.length !== 1) return { schema, isNullable: false };
  const { anyOf: _anyOf, ...own } = schema;
  return { schema: { ...rest[0], ...own }, isNullable: true };
}

/** A word or a list: the list, such as measured channels. @param {JsonSchema} schema */
function listOf(schema) {
  return schema.type === 'array' ? schema : (schema.anyOf ?? []).find(({ type }) => type === 'array');
}

/** True when each item has fields of its own; a complex number does not count. @param {JsonSchema} items */
function hasFields({ oneOf, properties }) {
  return oneOf !== undefined || (properties !== undefined && properties['re'] === undefined);
}

/** What the section of an object says before its fields. @param {JsonSchema} property @param {boolean} isNullable */
function noteOf(property, isNullable) {
  const notes = property.description === undefined ? [] : [property.description];
  if (isNullable) notes.push(`May be \`null\` as a whole${property.default === null ? ', which is the default' : ''}.`);
  const fork = /** @type {{ kind?: string } | null | undefined} */ (property.default)?.kind;
  if (fork !== undefined) notes.push(`The default is kind \`"${fork}"\`.`);
  return notes.join(' ');
}

/**
 * All sections in the order of the file, an object before what it holds.
 * @param {JsonSchema} schema @param {string} path @param {string} [note] @returns {Section[]}
 */
function sectionsOf(schema, path, note = '') {
  if (schema.oneOf !== undefined) return schema.oneOf.flatMap((one) => sectionsOf(one, path, note));
  const fork = forkOf(schema);
  /** @type {Section[]} */
  const inner = [];
  /** @type {Row[]} */
  const rows = [];
  for (const [name, property] of Object.entries(schema.properties ?? {})) {
    if (name === fork?.name) continue;
    const at = path === '' ? name : `${path}.${name}`;
    const { schema: field, isNullable } = withoutNull(property);
    const list = listOf(field);
    if (list?.items !== undefined && hasFields(list.items)) inner.push(...sectionsOf(list.items, `${at}.N`));
    if (at === REPEATED.path) {
      rows.push({ path: at, ...REPEATED.row });
    } else if (field.properties !== undefined || field.oneOf !== undefined) {
      inner.push(...sectionsOf(field, at, noteOf(property, isNullable)));
    } else {
      rows.push(
        rowOf(at, { ...field, default: property.default }, isNullable, schema.required?.includes(name) ?? false),
      );
    }
  }
  const kind = fork === null ? '' : `${fork.name} \`"${fork.value}"\``;
  return rows.length === 0 && fork === null ? inner : [{ path, kind, note, rows }, ...inner];
}

/** @param {string} path @param {JsonSchema} field @param {boolean} isNullable @param {boolean} isRequired @returns {Row} */
function rowOf(path, field, isNullable, isRequired) {
  const label = field.title;
  if (label === undefined) throw new Error(`fieldTable: ${path} has no label`);
  return {
    path,
    label,
    unit: field['x-unit'] ?? '',
    range: isNullable ? `${rangeOf(field)}, or \`null\`` : rangeOf(field),
    fallback: isRequired ? 'required' : field.default === undefined ? '' : `\`${valueText(field.default)}\``,
    help: field.description ?? '',
  };
}

/** @param {JsonSchema} field @returns {string} */
function rangeOf(field) {
  if (field.const !== undefined) return `\`${valueText(field.const)}\``;
  if (field.enum !== undefined) return field.enum.map((word) => `\`${valueText(word)}\``).join(', ');
  const words = (field.anyOf ?? []).filter((option) => option.const !== undefined).map(rangeOf);
  const list = listOf(field);
  if (list !== undefined) return [...words, listText(list.items ?? {})].join(', or ');
  if (field.minimum === undefined) return 'text';
  const range = `${numberText(field.minimum)} to ${numberText(/** @type {number} */ (field.maximum))}`;
  return [field.multipleOf === 1 ? `whole, ${range}` : range, ...words].join(', or ');
}

/** @param {JsonSchema} items */
function listText(items) {
  if (hasFields(items)) return 'list of objects, see below';
  return items.properties === undefined ? `list, each ${rangeOf(items)}` : 'list of `{ "re": …, "im": … }`';
}

/** @param {unknown} value */
function valueText(value) {
  return typeof value === 'number' ? numberText(value) : JSON.stringify(value);
}

/** As a person would type it: 122.88e6, 0.002, 1e-4, 16777216. @param {number} value */
function numberText(value) {
  const size = Math.abs(value);
  if (size === 0 || (size >= 1e-3 && size < 1e4)) return String(value);
  if (size < 1e-3) return value.toExponential();
  const exponent = 3 * Math.floor(Math.log10(size) / 3 + 1e-9);
  const short = `${Number((value / 10 ** exponent).toPrecision(12))}e${exponent}`;
  return short.length < String(value).length ? short : String(value);
}

/** @param {string} text */
const cell = (text) => text.replaceAll('|', '\\|');

/** @param {JsonSchema} schema @returns {string} the sections as Markdown, without the markers */
export function fieldTables(schema) {
  const sections = sectionsOf(schema, '').map(({ path, kind, note, rows }) => {
    const place = path === '' ? 'Top level' : `\`${path}\``;
    const heading = `#### ${[place, kind].filter((part) => part !== '').join(', ')}`;
    const table = [
      '| field | label | unit | range | default | meaning |',
      '|---|---|---|---|---|---|',
      ...rows.map(({ path: at, label, unit, range, fallback, help }) => {
        const cells = [`\`${at}\``, label, unit, range, fallback, help].map(cell);
        return `| ${cells.join(' | ')} |`;
      }),
    ];
    const parts = [heading, note, rows.length === 0 ? 'No further fields.' : table.join('\n')];
    return parts.filter((part) => part !== '').join('\n\n');
  });
  return sections.join('\n\n');
}

/** A text with its table renewed. @param {string} text @param {JsonSchema} schema */
export function renewFieldTables(text, schema) {
  const start = text.indexOf(TABLE_START);
  const end = text.indexOf(TABLE_END);
  if (start < 0 || end < start) throw new Error(`fieldTable: the README must hold ${TABLE_START} and ${TABLE_END}`);
  return `${text.slice(0, start)}${TABLE_START}\n\n${fieldTables(schema)}\n\n${text.slice(end)}`;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const file = join(repositoryRoot, 'README.md');
  writeFileSync(file, renewFieldTables(readFileSync(file, 'utf8'), await loadScenarioJsonSchema()));
}
