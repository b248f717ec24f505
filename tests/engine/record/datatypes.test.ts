// Records as numpy writes them (tests/reference/datatypes.py), whole and in pieces.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { openCsv, readCsv } from '../../../src/engine/record/csv.ts';
import type { FileReader } from '../../../src/engine/record/fileRecord.ts';
import { openSigmf, readSigmf } from '../../../src/engine/record/sigmf.ts';

interface Written {
  readonly name: string;
  readonly base64: string;
  readonly re: number[];
  readonly im: number[];
}

const file = join(import.meta.dirname, '..', '..', 'reference', 'datatypes.json');
const written: { records: Written[]; text: { text: string; rateHz: number; re: number[]; im: number[] } } = JSON.parse(
  readFileSync(file, 'utf8'),
);

const metaOf = (datatype: string) =>
  JSON.stringify({
    global: { 'core:datatype': datatype, 'core:version': '1.2.5', 'core:sample_rate': 1e6 },
    captures: [],
    annotations: [],
  });

function inPieces(reader: FileReader, bytes: Uint8Array, size: number) {
  const [re, im]: number[][] = [[], []];
  const take = (part: { re: Float64Array; im: Float64Array }) => {
    re?.push(...part.re);
    im?.push(...part.im);
  };
  for (let at = 0; at < bytes.byteLength; at += size) take(reader.push(bytes.slice(at, at + size)));
  take(reader.last());
  return { re, im, end: reader.finish() };
}

describe.each(written.records)('$name as numpy writes it', ({ name, base64, re, im }) => {
  const bytes = Uint8Array.from(Buffer.from(base64, 'base64'));

  test('is read exactly, from any place in memory', () => {
    // An odd start keeps numbers from being read in place.
    for (const start of [0, 1]) {
      const memory = new Uint8Array(bytes.byteLength + start);
      memory.set(bytes, start);
      const outcome = readSigmf(metaOf(name), memory.subarray(start));
      if (outcome.kind === 'invalid') throw new Error('must be readable');
      expect([...outcome.record.signal.re]).toEqual(re);
      expect([...outcome.record.signal.im]).toEqual(im);
    }
  });

  test('is read exactly in pieces that cut samples', () => {
    for (const size of [1, 3, 7, 16, 64, 1000]) {
      const opened = openSigmf(metaOf(name), bytes.byteLength);
      if (opened.kind === 'invalid') throw new Error('must open');
      const read = inPieces(opened.reader, bytes, size);
      expect(read.re).toEqual(re);
      expect(read.im).toEqual(im);
      expect(read.end).toMatchObject({ kind: 'facts', facts: { sampleCount: re.length, datatype: name } });
    }
  });
});

test('text as numpy.savetxt writes it, whole and in pieces', () => {
  const { text, rateHz, re, im } = written.text;
  const bytes = new TextEncoder().encode(text);
  const outcome = readCsv(bytes);
  if (outcome.kind === 'invalid') throw new Error('must be readable');
  // savetxt writes 19 digits: exact to the last bit.
  expect([...outcome.record.signal.re]).toEqual(re);
  expect([...outcome.record.signal.im]).toEqual(im);
  expect(outcome.record.sampleRateHz).toBe(rateHz);
  const read = inPieces(openCsv(), bytes, 50);
  expect(read.re).toEqual(re);
  expect(read.end).toMatchObject({ kind: 'facts', facts: { sampleRateHz: rateHz, sampleCount: 12 } });
});
