// `--set path=value`: fields of a scenario replaced before it is checked. The path is dotted, list items are numbers;
// the value is JSON, or text when it is not JSON. Missing objects on the way are made.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';

type Json = Record<string, unknown> | unknown[];

/** The scenario with the settings put in, in their order; and the settings that cannot be. The input is not changed. */
export function setFields(scenario: unknown, settings: readonly string[]): { scenario: unknown; issues: Issue[] } {
  const result: unknown = structuredClone(scenario);
  const issues: Issue[] = [];
  if (settings.length > 0 && !isContainer(result)) return { scenario: result, issues };
  for (const setting of settings) {
    const equals = setting.indexOf('=');
    const path = setting.slice(0, equals).trim();
    if (equals < 1 || path === '') {
      issues.push({
        path: '--set',
        rule: 'must be path=value',
        value: printValue(setting),
        remedy: 'write for example --set operatingPoint.outputBackoffDb=8',
      });
      continue;
    }
    const issue = setField(result as Json, path, parseValue(setting.slice(equals + 1)));
    if (issue !== null) issues.push(issue);
  }
  return { scenario: result, issues };
}

/** JSON, or the text itself: `--set waveform.carriers.0.modulation=256QAM` needs no quotation marks. */
function parseValue(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}

function setField(root: Json, path: string, value: unknown): Issue | null {
  const keys = path.split('.');
  const forbidden = keys.find((key) => key === '' || key === '__proto__');
  if (forbidden !== undefined) {
    return {
      path,
      rule: 'is not the path of a field',
      value: printValue(value),
      remedy: 'name fields between the dots',
    };
  }
  let node: Json = root;
  for (let i = 0; i < keys.length - 1; i++) {
    const key = keys[i] as string;
    const fault = indexFault(node, key, keys.slice(0, i + 1).join('.'));
    if (fault !== null) return fault;
    node = childOf(node, key, keys[i + 1] as string);
  }
  const last = keys.at(-1) as string;
  const fault = indexFault(node, last, path);
  if (fault !== null) return fault;
  // The operating point holds exactly one of its four quantities: naming one replaces the other.
  if (keys.length === 2 && keys[0] === 'operatingPoint') put(root, 'operatingPoint', { [last]: value });
  else put(node, last, value);
  return null;
}

function isContainer(value: unknown): value is Json {
  return typeof value === 'object' && value !== null;
}

/** List items can be replaced, or added at the end. */
function indexFault(node: Json, key: string, path: string): Issue | null {
  if (!Array.isArray(node)) return null;
  if (/^\d+$/.test(key) && Number(key) <= node.length) return null;
  return {
    path,
    rule: `must name an item of the list from 0 to ${node.length}`,
    value: printValue(key),
    remedy: `the list has ${node.length} items; item ${node.length} adds one`,
  };
}

function childOf(node: Json, key: string, nextKey: string): Json {
  const child = Object.hasOwn(node, key) ? (node as Record<string, unknown>)[key] : undefined;
  if (isContainer(child)) return child;
  const made: Json = /^\d+$/.test(nextKey) ? [] : {};
  put(node, key, made);
  return made;
}

function put(node: Json, key: string, value: unknown): void {
  (node as Record<string, unknown>)[key] = value;
}
