// A small JSON Schema validator for the words our schema uses; another opinion than the parser's on the same data.
import type { JsonSchema } from '../../src/tools/schema.mjs';

/** Words that bind nothing. */
const ANNOTATIONS = ['$schema', '$id', 'title', 'description', 'default', 'x-unit'];

/** Paths at which a value breaks the schema. Throws RangeError for a word it does not know. */
export function schemaFaults(schema: JsonSchema, value: unknown, path = ''): string[] {
  const faults: string[] = [];
  const must = (holds: boolean, what: string) => {
    if (!holds) faults.push(`${path}: ${what}`);
  };
  const passes = (one: JsonSchema) => schemaFaults(one, value, path).length === 0;
  for (const [word, rule] of Object.entries(schema) as [keyof JsonSchema & string, never][]) {
    if (ANNOTATIONS.includes(word)) continue;
    switch (word) {
      case 'type':
        must(isOfType(value, rule), `is no ${rule}`);
        break;
      case 'const':
        must(value === rule, `is not ${rule}`);
        break;
      case 'enum':
        must((rule as unknown[]).includes(value), `is none of ${rule}`);
        break;
      case 'anyOf':
        must((rule as JsonSchema[]).some(passes), 'fits none');
        break;
      case 'oneOf':
        must((rule as JsonSchema[]).filter(passes).length === 1, 'fits not exactly one');
        break;
      case 'minimum':
        must(typeof value !== 'number' || value >= rule, `is below ${rule}`);
        break;
      case 'maximum':
        must(typeof value !== 'number' || value <= rule, `is above ${rule}`);
        break;
      case 'multipleOf':
        must(typeof value !== 'number' || Number.isInteger(value / rule), `is no multiple of ${rule}`);
        break;
      case 'minLength':
        must(typeof value !== 'string' || value.length >= rule, 'is too short');
        break;
      case 'maxLength':
        must(typeof value !== 'string' || value.length <= rule, 'is too long');
        break;
      case 'minItems':
        must(!Array.isArray(value) || value.length >= rule, 'has too few items');
        break;
      case 'maxItems':
        must(!Array.isArray(value) || value.length <= rule, 'has too many items');
        break;
      case 'items':
        if (Array.isArray(value)) faults.push(...value.flatMap((item, i) => schemaFaults(rule, item, `${path}.${i}`)));
        break;
      case 'properties':
        faults.push(...propertyFaults(rule, value, path));
        break;
      case 'required':
        for (const name of rule as string[]) must(!isObject(value) || name in value, `lacks ${name}`);
        break;
      case 'additionalProperties':
        for (const name of isObject(value) ? Object.keys(value) : []) {
          must(rule || name in (schema.properties ?? {}), `has an unknown ${name}`);
        }
        break;
      case 'minProperties':
        must(!isObject(value) || Object.keys(value).length >= rule, 'has too few fields');
        break;
      case 'maxProperties':
        must(!isObject(value) || Object.keys(value).length <= rule, 'has too many fields');
        break;
      default:
        throw new RangeError(`schemaFaults: ${path} uses "${word}", which this check does not know`);
    }
  }
  return faults;
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isOfType(value: unknown, type: string): boolean {
  if (type === 'null') return value === null;
  if (type === 'array') return Array.isArray(value);
  if (type === 'object') return isObject(value);
  return typeof value === type;
}

function propertyFaults(properties: Record<string, JsonSchema>, value: unknown, path: string): string[] {
  if (!isObject(value)) return [];
  return Object.entries(properties).flatMap(([name, property]) =>
    name in value ? schemaFaults(property, value[name], `${path}.${name}`) : [],
  );
}
