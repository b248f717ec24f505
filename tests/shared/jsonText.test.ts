// Faulty JSON is told with line and column, whatever the runtime's own message says.
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseJsonText } from '../../shared/schema/jsonText.ts';

test('JSON gives its value, with or without a byte order mark', () => {
  expect(parseJsonText('{ "a": [1, 2.5e-3, true, null] }')).toEqual({
    kind: 'value',
    value: { a: [1, 0.0025, true, null] },
  });
  expect(parseJsonText('\uFEFF[]')).toEqual({ kind: 'value', value: [] });
});

test.each([
  ['', 1, 1, 'the end of the text'],
  ['{ "a": 1,\n  "b": 2,\n}', 3, 1, '"}"'],
  ['{ "a": 1\n  "b": 2 }', 2, 3, '"\\""'],
  ['[1, 2', 1, 6, 'the end of the text'],
  // A faulty number is named by its first character.
  ['{ "a": 01 }', 1, 8, '"0"'],
  ["{ 'a': 1 }", 1, 3, '"\'"'],
  ['{ "a": 1 } // note', 1, 12, '"/"'],
  ['{ "a": NaN }', 1, 8, '"N"'],
])('%j stops being JSON at line %d, column %d', (text, line, column, value) => {
  const outcome = parseJsonText(text);
  if (outcome.kind === 'value') throw new Error('was taken');
  expect(outcome.issue.rule).toBe(`must be JSON, and is not at line ${line}, column ${column}`);
  expect(outcome.issue.value).toBe(value);
});

test('takes exactly what JSON.parse takes', async () => {
  await fc.assert(
    fc.property(fc.json(), fc.nat(), fc.constantFrom(',', '}', '"', '1', ''), (text, at, put) => {
      const place = at % (text.length + 1);
      const changed = text.slice(0, place) + put + text.slice(place + 1);
      const outcome = parseJsonText(changed);
      let isJson = true;
      try {
        JSON.parse(changed);
      } catch {
        isJson = false;
      }
      expect(outcome.kind === 'value').toBe(isJson);
      // The place found is not before the text's faultless start.
      if (outcome.kind === 'invalid') expect(outcome.issue.rule).toMatch(/line \d+, column \d+$/);
    }),
    { numRuns: 500, seed: 2 },
  );
});
