// Finds what the scenario schema says of a field, by its dotted path: label, unit, range, help, choices. Controls are
// drawn from this, so that a field is described in one place.
import type { FieldInfo } from '../../../shared/schema/field.ts';
import { scenarioSchema } from '../../../shared/schema/scenario.ts';
import { valueAt } from './paths.ts';

/** The parts of a valibot schema that the walk looks at. */
interface SchemaNode {
  readonly type: string;
  readonly entries?: Readonly<Record<string, SchemaNode>>;
  readonly wrapped?: SchemaNode;
  readonly item?: SchemaNode;
  readonly options?: readonly (SchemaNode | string)[];
  readonly literal?: unknown;
  /** Of a fork: the field whose value tells its branches apart, `kind` or `reading`. */
  readonly key?: string;
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
 * the branch that `data`, the scenario, holds at that place is taken; without data, the first that has the rest of the
 * path.
 */
export function describeField(path: string, data?: unknown): FieldDescription {
  const forks: string[] = [];
  const info = findInfo(scenarioSchema as unknown as SchemaNode, path.split('.'), data, forks);
  if (info === null) throw new RangeError(`describeField: the scenario schema has no field ${path}`);
  const cacheKey = `${path} ${forks.join(' ')}`;
  const known = cache.get(cacheKey);
  if (known !== undefined) return known;
  const isNumber = info.minimum !== undefined;
  const description: FieldDescription = {
    ...info,
    word: isNumber ? (info.options?.[0] ?? null) : null,
    choices: isNumber ? null : (info.options ?? null),
  };
  cache.set(cacheKey, description);
  return description;
}

/** Notes in `forks` which branches were taken. */
function findInfo(node: SchemaNode, path: readonly string[], data: unknown, forks: string[]): FieldInfo | null {
  if (node.wrapped !== undefined) return findInfo(node.wrapped, path, data, forks);
  const [key, ...rest] = path;
  if (key === undefined) return ownInfo(node);
  const below = valueAt(data, key);
  if (node.item !== undefined && /^\d+$/.test(key)) return findInfo(node.item, rest, below, forks);
  const child = node.entries?.[key];
  if (child !== undefined) return findInfo(child, rest, below, forks);
  for (const option of branchesOf(node, data)) {
    const found = findInfo(option, path, data, forks);
    if (found === null) continue;
    if (node.key !== undefined) forks.push(String(option.entries?.[node.key]?.literal));
    return found;
  }
  return null;
}

/** The branch that the data are of; all of them when there are no data, or data of no branch. */
function branchesOf(node: SchemaNode, data: unknown): readonly SchemaNode[] {
  const branches = (node.options ?? []).filter((option) => typeof option === 'object');
  const { key } = node;
  const chosen = key === undefined ? undefined : valueAt(data, key);
  const own = branches.filter(({ entries }) => key !== undefined && entries?.[key]?.literal === chosen);
  return own.length > 0 ? own : branches;
}

function ownInfo(node: SchemaNode): FieldInfo | null {
  const action = node.pipe?.find(({ kind, type }) => kind === 'metadata' && type === 'metadata');
  return action?.metadata?.field ?? null;
}
