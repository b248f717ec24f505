// Finds what the scenario schema says of a field, by its dotted path: label, unit, range, help, choices. Controls are
// drawn from this, so that a field is described in one place.
import type { FieldInfo } from '../../../shared/schema/field.ts';
import { scenarioSchema } from '../../../shared/schema/scenario.ts';

/** The parts of a valibot schema that the walk looks at. */
interface SchemaNode {
  readonly type: string;
  readonly entries?: Readonly<Record<string, SchemaNode>>;
  readonly wrapped?: SchemaNode;
  readonly item?: SchemaNode;
  readonly options?: readonly (SchemaNode | string)[];
  readonly literal?: unknown;
  readonly pipe?: readonly {
    readonly kind: string;
    readonly type: string;
    readonly metadata?: { field?: FieldInfo };
  }[];
}

/** A word a field may hold in place of a number ("auto"), and its choices when it is one of a list of words. */
export interface FieldDescription extends FieldInfo {
  readonly word: string | null;
  readonly choices: readonly string[] | null;
}

const cache = new Map<string, FieldDescription>();

/**
 * Describes the field at a path such as `waveform.carriers.0.offsetHz`. Where the schema forks by `kind` or `reading`,
 * the fork that has the rest of the path is taken.
 */
export function describeField(path: string): FieldDescription {
  const known = cache.get(path);
  if (known !== undefined) return known;
  const info = findInfo(scenarioSchema as unknown as SchemaNode, path.split('.'));
  if (info === null) throw new RangeError(`describeField: the scenario schema has no field ${path}`);
  const isNumber = info.minimum !== undefined;
  const description: FieldDescription = {
    ...info,
    word: isNumber ? (info.options?.[0] ?? null) : null,
    choices: isNumber ? null : (info.options ?? null),
  };
  cache.set(path, description);
  return description;
}

function findInfo(node: SchemaNode, path: readonly string[]): FieldInfo | null {
  if (node.wrapped !== undefined) return findInfo(node.wrapped, path);
  const [key, ...rest] = path;
  if (key === undefined) return ownInfo(node);
  if (node.item !== undefined && /^\d+$/.test(key)) return findInfo(node.item, rest);
  const child = node.entries?.[key];
  if (child !== undefined) return findInfo(child, rest);
  for (const option of node.options ?? []) {
    const found = typeof option === 'object' ? findInfo(option, path) : null;
    if (found !== null) return found;
  }
  return null;
}

function ownInfo(node: SchemaNode): FieldInfo | null {
  const action = node.pipe?.find(({ kind, type }) => kind === 'metadata' && type === 'metadata');
  return action?.metadata?.field ?? null;
}
