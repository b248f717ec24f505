// The builders of scenario fields: what they take, and what they say of what they do not take.
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { choice, complexNumber, count, quantity, quantityOr, text } from '../../shared/schema/field.ts';
import { toIssue } from '../../shared/schema/parse.ts';

const lossDb = quantity({ label: 'Output loss', unit: 'dB', minimum: 0, maximum: 30, help: 'After the amplifier.' });
const depth = count({ label: 'Memory depth', minimum: 1, maximum: 64, help: 'Delays.' });
const rateHz = quantityOr('auto', { label: 'Sample rate', unit: 'Hz', minimum: 1e4, maximum: 2e10, help: 'Rate.' });
const window = choice(['hann', 'flatTop'], { label: 'Window', help: 'Of the segments.' });
const title = text({ label: 'Title', help: 'Name.' });

function issueOf(schema: v.GenericSchema, value: unknown) {
  const result = v.safeParse(schema, value);
  if (result.success) throw new Error(`${JSON.stringify(value)} was taken`);
  expect(result.issues).toHaveLength(1);
  return toIssue(result.issues[0]);
}

test('both ends of a range belong to it', () => {
  for (const value of [0, 30, 12.5]) expect(v.is(lossDb, value)).toBe(true);
  for (const value of [1, 64]) expect(v.is(depth, value)).toBe(true);
});

describe('rule, value and remedy', () => {
  test.each<[string, v.GenericSchema, unknown, string, string, string]>([
    ['above', lossDb, 31, 'must be a number from 0 to 30 dB', '31', 'set output loss within that range'],
    ['text', lossDb, '3', 'must be a number from 0 to 30 dB', '"3"', 'set output loss within that range'],
    [
      'not finite',
      lossDb,
      Infinity,
      'must be a number from 0 to 30 dB',
      'Infinity',
      'set output loss within that range',
    ],
    ['not whole', depth, 1.5, 'must be a whole number from 1 to 64', '1.5', 'set memory depth within that range'],
    [
      'another word',
      rateHz,
      'fast',
      'must be a number from 10000 to 20000000000 Hz, or "auto"',
      '"fast"',
      'give such a number or write "auto"',
    ],
    [
      'out of range where a word may stand',
      rateHz,
      1,
      'must be a number from 10000 to 20000000000 Hz, or "auto"',
      '1',
      'give such a number or write "auto"',
    ],
    ['no option', window, 'kaiser', 'must be one of "hann", "flatTop"', '"kaiser"', 'pick one of them'],
    ['no text', title, 7, 'must be text', '7', 'put it in quotation marks'],
  ])('%s', (_title, schema, value, rule, shown, remedy) => {
    expect(issueOf(schema, value)).toEqual({ path: '', rule, value: shown, remedy });
  });
});

test('a word or a number in range: the word is kept as it is', () => {
  expect(v.parse(rateHz, 'auto')).toBe('auto');
  expect(v.parse(rateHz, 61.44e6)).toBe(61.44e6);
});

test('a complex number may leave out its imaginary part, and names the part that is wrong', () => {
  expect(v.parse(complexNumber, { re: 2 })).toEqual({ re: 2, im: 0 });
  expect(issueOf(complexNumber, { re: 1, im: 'j' })).toMatchObject({ path: 'im', remedy: 'give the imaginary part' });
});

test('a title has an end', () => {
  expect(v.is(title, 'x'.repeat(4000))).toBe(true);
  expect(issueOf(title, 'x'.repeat(4001)).rule).toBe('must be at most 4000 characters');
});
