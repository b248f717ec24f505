// Fields that an object of the schema does not have: all of them, with the name that may have been meant there.
import * as v from 'valibot';
import { nearest } from './editDistance.ts';
import { type Issue, printValue } from './issue.ts';

/** The parts of a schema that are walked along a path. */
interface SchemaNode {
  readonly type?: string;
  /** Fields of an object. */
  readonly entries?: Readonly<Record<string, v.GenericSchema>>;
  /** Inside of an optional or nullable schema. */
  readonly wrapped?: SchemaNode;
  /** Schema of a list's items. */
  readonly item?: SchemaNode;
  /** Alternatives of a variant or a union. */
  readonly options?: readonly unknown[];
  /** Field that tells the alternatives of a variant apart. */
  readonly key?: string;
}

/** An object of the schema, and the variant it was chosen from. */
interface ChosenObject {
  readonly node: SchemaNode;
  readonly variant: SchemaNode | null;
}

/**
 * Every unknown field of the object in which the validator found one. `whole` names the object at the root, as
 * "a scenario". The validator itself stops at the first.
 */
export function unknownFields(schema: unknown, issue: v.BaseIssue<unknown>, whole: string): Issue[] {
  const items = issue.path ?? [];
  const keys = items.slice(0, -1).map((item) => String(item.key));
  let chosen = choose(schema as SchemaNode, items[0]?.input);
  for (const [i, key] of keys.entries()) {
    const inner = chosen.node.entries?.[key] ?? chosen.node.item ?? {};
    chosen = choose(inner as SchemaNode, items[i + 1]?.input);
  }
  const given = (items.at(-1)?.input ?? {}) as Readonly<Record<string, unknown>>;
  const known = Object.keys(chosen.node.entries ?? {});
  const rule = `is not a field of ${nameOf(keys, chosen, given, whole)}`;
  return Object.keys(given)
    .filter((key) => !known.includes(key))
    .map((key) => {
      const near = nearest(key, known);
      const remedy = near === null ? `remove it${elsewhere(key, chosen)}` : `remove it; did you mean ${near}?`;
      return { path: [...keys, key].join('.'), rule, value: printValue(given[key]), remedy };
    });
}

/** The object of the schema that a value is: inside of wrappers, and of a variant the option its kind asks for. */
function choose(schema: SchemaNode, value: unknown): ChosenObject {
  let node = schema;
  let variant: SchemaNode | null = null;
  while (node.entries === undefined && node.item === undefined) {
    if (node.wrapped !== undefined) {
      node = node.wrapped;
      continue;
    }
    const options = (node.options ?? []) as readonly SchemaNode[];
    if (node.type === 'variant') variant = node;
    const next = options.find((option) => fits(option, node.key, value));
    if (next === undefined) break;
    node = next;
  }
  return { node, variant };
}

function fits(option: SchemaNode, key: string | undefined, value: unknown): boolean {
  if (key === undefined) return option.entries !== undefined || option.item !== undefined;
  const kind = option.entries?.[key];
  return kind !== undefined && v.is(kind, (value as Record<string, unknown> | undefined)?.[key]);
}

function nameOf(keys: readonly string[], { variant }: ChosenObject, given: object, whole: string): string {
  // "carriers.0", not "0".
  const last = keys.slice(/^\d+$/.test(keys.at(-1) ?? '') ? -2 : -1).join('.');
  const place = keys.length === 0 ? whole : last;
  const key = variant?.key;
  const kind = key === undefined ? undefined : (given as Record<string, unknown>)[key];
  return kind === undefined ? place : `${place} of ${key} ${printValue(kind)}`;
}

/** The kinds that have the field. */
function elsewhere(key: string, { variant }: ChosenObject): string {
  if (!variant?.key) return '';
  const kinds = ((variant.options ?? []) as readonly SchemaNode[])
    .filter((option) => option.entries !== undefined && key in option.entries)
    .map((option) => literalOf(option.entries?.[variant.key as string]));
  return kinds.length === 0 ? '' : `; only ${variant.key} ${kinds.join(' and ')} has it`;
}

function literalOf(schema: unknown): string {
  const node = schema as SchemaNode & { readonly literal?: unknown };
  return node.wrapped === undefined ? printValue(node.literal) : literalOf(node.wrapped);
}
