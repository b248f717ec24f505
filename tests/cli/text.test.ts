import { describe, expect, test } from 'vitest';
import { toCsv } from '../../shared/reports/csv.ts';
import { toJson } from '../../shared/reports/json.ts';
import { parseCount, parseFrequency, parseLevel } from '../../src/cli/input/quantities.ts';
import { formatLines, formatTable, wrap } from '../../src/cli/output/table.ts';

describe('tables and prose', () => {
  test('numbers stand under each other on the decimal point, headings on the right', () => {
    const table = formatTable(
      ['before', 'after'],
      [
        { label: 'power, dBm', cells: ['36.50', '–'] },
        { label: 'EVM, %', cells: ['−5.3', '12.5'] },
      ],
    );
    expect(table.split('\n')).toEqual([
      '             before   after',
      'power, dBm    36.50     –',
      'EVM, %        −5.3     12.5',
      '',
    ]);
  });

  test('lines without headings are padded to the longest', () => {
    expect(
      formatLines(
        [
          ['a', 'one'],
          ['long', 'two'],
        ],
        '  ',
      ),
    ).toBe('  a     one\n  long  two\n');
  });

  test('prose is at most 78 characters wide and loses nothing', () => {
    const text = 'word '.repeat(60).trim();
    const lines = wrap(text, '  ').split('\n');
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(78);
    expect(lines.map((line) => line.trim()).join(' ')).toBe(text);
  });
});

describe('JSON and CSV', () => {
  test('arrays are plain lists, and what JSON cannot say is null', () => {
    const value = { a: Float64Array.of(1, 2), b: Number.NaN, c: Uint32Array.of(3), d: [Number.POSITIVE_INFINITY] };
    expect(JSON.parse(toJson(value))).toEqual({ a: [1, 2], b: null, c: [3], d: [null] });
  });

  test('CSV has CRLF line ends, headings in quotation marks and full precision', () => {
    const text = toCsv([
      { heading: 'offset (Hz)', values: [0.1, 1 / 3] },
      { heading: 'a "b"', values: Float64Array.of(-1, 2) },
    ]);
    expect(text).toBe('"offset (Hz)","a ""b"""\r\n0.1,-1\r\n0.3333333333333333,2\r\n');
  });
});

describe('quantities as typed', () => {
  test.each([
    ['9e6', 9e6],
    ['9MHz', 9e6],
    ['-4.5 MHz', -4.5e6],
    ['15 kHz', 15e3],
    ['.5GHz', 5e8],
  ])('%s', (text, hz) => {
    expect(parseFrequency(text)).toBe(hz);
  });

  test.each(['', 'nine', '9 mHz', '9e', '9 MHz wide'])('%j is no frequency', (text) => {
    expect(() => parseFrequency(text)).toThrow('write for example 9e6');
  });

  test('a level may be negative and carry its unit', () => {
    expect([parseLevel('-12'), parseLevel('-12.5 dBfs'), parseLevel('3dB')]).toEqual([-12, -12.5, 3]);
    for (const text of ['loud', '-12 dBm', '500']) expect(() => parseLevel(text)).toThrow('write for example -12');
  });

  test('a count has no sign and no fraction', () => {
    expect(parseCount('8192')).toBe(8192);
    expect(() => parseCount('-1')).toThrow('write a whole number');
  });
});
