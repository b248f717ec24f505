// JSON text to a value, or to the place where it stops being JSON: the runtime's own message names a place only sometimes.
import type { Issue } from './issue.ts';

export type JsonOutcome =
  | { readonly kind: 'value'; readonly value: unknown }
  | { readonly kind: 'invalid'; readonly issue: Issue };

/** Reads JSON text (a leading byte order mark is skipped). The issue names line and column, both from 1. */
export function parseJsonText(text: string): JsonOutcome {
  const body = text.startsWith('\uFEFF') ? text.slice(1) : text;
  try {
    return { kind: 'value', value: JSON.parse(body) };
  } catch {
    return { kind: 'invalid', issue: faultAt(body, findFault(body)) };
  }
}

function faultAt(text: string, position: number): Issue {
  const before = text.slice(0, position);
  const line = before.split('\n').length;
  const column = position - before.lastIndexOf('\n');
  const character = text[position];
  return {
    path: '',
    rule: `must be JSON, and is not at line ${line}, column ${column}`,
    value: character === undefined ? 'the end of the text' : JSON.stringify(character),
    remedy: 'check for a missing or superfluous comma, quotation mark or bracket; JSON has no comments',
  };
}

const SPACE = /[ \t\r\n]*/y;
// Inside a string: everything from the blank upwards but quotation mark and backslash.
const STRING = /"(?:[ !#-[\]-\uFFFF]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"/y;
const SCALAR = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.])|true\b|false\b|null\b/y;

/** Where a text stops being JSON. */
function findFault(text: string): number {
  let at = 0;
  const eat = (pattern: RegExp): boolean => {
    pattern.lastIndex = at;
    const match = pattern.exec(text);
    if (match === null) return false;
    at += match[0].length;
    return true;
  };
  const eatMark = (mark: string): boolean => {
    eat(SPACE);
    if (text[at] !== mark) return false;
    at += 1;
    eat(SPACE);
    return true;
  };
  const list = (close: string, item: () => boolean): boolean => {
    if (eatMark(close)) return true;
    do if (!item()) return false;
    while (eatMark(','));
    return eatMark(close);
  };
  const value = (): boolean => {
    if (eatMark('{')) return list('}', () => eat(STRING) && eatMark(':') && value());
    if (eatMark('[')) return list(']', value);
    return eat(STRING) || eat(SCALAR);
  };
  eat(SPACE);
  if (value()) eat(SPACE);
  return at;
}
