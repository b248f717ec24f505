// How a fault is printed: path, rule, value, remedy.
import { expect, test } from 'vitest';
import { formatIssue, printValue } from '../../shared/schema/issue.ts';

test('one line says where, what must be, what was given and what to do', () => {
  const issue = {
    path: 'amplifier.gainDb',
    rule: 'must be a number',
    value: '"36"',
    remedy: 'drop the quotation marks',
  };
  expect(formatIssue(issue)).toBe('amplifier.gainDb must be a number, got "36"; drop the quotation marks');
  expect(formatIssue({ ...issue, path: '' })).toMatch(/^the input must be/);
});

test.each<[unknown, string]>([
  [undefined, 'nothing'],
  [null, 'null'],
  [Number.NaN, 'NaN'],
  [Number.NEGATIVE_INFINITY, '-Infinity'],
  ['text', '"text"'],
  [{ a: [1, 2] }, '{"a":[1,2]}'],
])('%j is printed as %s', (value, text) => {
  expect(printValue(value)).toBe(text);
});

test('a long value is cut at 80 characters', () => {
  const text = printValue('x'.repeat(500));
  expect(text).toHaveLength(80);
  expect(text.endsWith('…')).toBe(true);
  // 78 and two quotation marks still fit.
  expect(printValue('x'.repeat(78))).toHaveLength(80);
  expect(printValue('x'.repeat(78)).endsWith('"')).toBe(true);
});
