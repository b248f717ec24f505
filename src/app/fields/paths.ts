// Reading and changing plain data by dotted path, without changing the original.

function childOf(data: unknown, key: string): unknown {
  return typeof data === 'object' && data !== null ? (data as Record<string, unknown>)[key] : undefined;
}

/** The value at a path, or undefined. */
export function valueAt(data: unknown, path: string): unknown {
  if (path === '') return data;
  return path.split('.').reduce(childOf, data);
}

/** A copy of the data with another value at the path; an undefined value removes the key. */
export function withValueAt<T>(data: T, path: string, value: unknown): T {
  return changed(data, path === '' ? [] : path.split('.'), value) as T;
}

function changed(data: unknown, keys: readonly string[], value: unknown): unknown {
  const [key, ...rest] = keys;
  if (key === undefined) return value;
  const next = changed(childOf(data, key), rest, value);
  if (Array.isArray(data)) return data.map((item, i) => (i === Number(key) ? next : item));
  const copy: Record<string, unknown> = { ...(data as Record<string, unknown> | null) };
  if (next === undefined) delete copy[key];
  else copy[key] = next;
  return copy;
}
