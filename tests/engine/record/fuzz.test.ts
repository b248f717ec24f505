// Readers fed with damaged metadata, bytes and text: whatever comes, they answer with a record or with issues.
import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { openCsv, readCsv } from '../../../src/engine/record/csv.ts';
import type { FileOutcome } from '../../../src/engine/record/fileRecord.ts';
import { openSigmf, readSigmf } from '../../../src/engine/record/sigmf.ts';

const sha512 = (bytes: Uint8Array): string => createHash('sha512').update(bytes).digest('hex');
const CASES = 2000;
const PLAUSIBLE = 1e15;

const pick = <Item>(random: Random, items: readonly Item[]): Item =>
  items[Math.floor(random.uniform() * items.length)] as Item;
const whole = (random: Random, below: number): number => Math.floor(random.uniform() * below);

/** Either all issues are complete sentences, or all samples are numbers a record can hold. */
function expectSound(outcome: FileOutcome): void {
  if (outcome.kind === 'invalid') {
    expect(outcome.issues.length).toBeGreaterThan(0);
    for (const { path, rule, value, remedy } of outcome.issues) {
      for (const part of [path, rule, value, remedy]) expect(typeof part).toBe('string');
      expect(rule).not.toBe('');
      expect(remedy).not.toBe('');
    }
    return;
  }
  const { signal, sampleRateHz, sampleCount } = outcome.record;
  expect(signal.re.length).toBe(sampleCount);
  expect(sampleCount).toBeGreaterThan(0);
  expect(sampleRateHz >= 1e3 && sampleRateHz <= 1e12).toBe(true);
  expect(signal.re.every((value) => Math.abs(value) <= PLAUSIBLE)).toBe(true);
  expect(signal.im.every((value) => Math.abs(value) <= PLAUSIBLE)).toBe(true);
}

const STRANGE: readonly unknown[] = [
  null, true, false, 0, -0, -1, 1.5, 1e308, -1e308, 1e13, 2 ** 53, '', 'c', 'ci16_le', 'cf64_be', '\u0000', [], {}, [[]], [null], { a: 1 },
  '__proto__', 'constructor', 'x'.repeat(500), { 'core:sample_start': -1 }, [{ 'core:sample_start': 1e9 }],
]; // biome-ignore format: a list

function mutateText(text: string, random: Random, alphabet: string): string {
  let out = text;
  for (let i = 0; i <= whole(random, 4); i++) {
    const at = whole(random, out.length + 1);
    const length = whole(random, 6);
    const insert = Array.from({ length: whole(random, 4) }, () => alphabet[whole(random, alphabet.length)]).join('');
    out = out.slice(0, at) + insert + out.slice(at + length);
  }
  return out;
}

const firstOf = (list: unknown): unknown => (Array.isArray(list) ? list[0] : null);

function metadataOf(random: Random): string {
  const datatype = pick(random, ['cf32_le', 'cf32_be', 'cf64_le', 'ci16_le', 'ci8', 'cu8', 'cu16_be', 'ci32_le']);
  const meta: Record<string, unknown> = {
    global: {
      'core:datatype': datatype,
      'core:version': '1.2.5',
      'core:sample_rate': 1e6,
      'core:sha512': '0'.repeat(128),
    },
    captures: [{ 'core:sample_start': 0, 'core:frequency': 2.4e9, 'core:datetime': '2024-05-01T12:00:00Z' }],
    annotations: [
      { 'core:sample_start': 0, 'core:sample_count': 2, 'core:freq_lower_edge': 1, 'core:freq_upper_edge': 2 },
    ],
  };
  const global = meta['global'] as Record<string, unknown>;
  if (random.uniform() < 0.85) delete global['core:sha512'];
  for (let i = 0; i < whole(random, 3); i++) {
    const target = pick(random, [meta, global, firstOf(meta['captures']), firstOf(meta['annotations'])]);
    if (typeof target !== 'object' || target === null) continue;
    const keys = [...Object.keys(target), 'core:extensions', 'core:num_channels', 'core:header_bytes', 'note', 'x:y'];
    (target as Record<string, unknown>)[pick(random, keys)] = pick(random, STRANGE);
  }
  const text = JSON.stringify(meta);
  return random.uniform() < 0.5 ? text : mutateText(text, random, '{}[]":,0eE-+.\\u\n\uFEFFxyz');
}

function bytesOf(random: Random): Uint8Array {
  const bytes = new Uint8Array(whole(random, 100));
  const isWild = random.uniform() < 0.5;
  for (let i = 0; i < bytes.length; i++) bytes[i] = isWild ? whole(random, 256) : pick(random, [0, 0x3f, 0x80]);
  return bytes;
}

describe('damaged records', () => {
  test('SigMF: a record or issues, in pieces as in whole', () => {
    const random = createRandom(1, 'fuzz sigmf');
    let readable = 0;
    for (let i = 0; i < CASES; i++) {
      const [metadata, data] = [metadataOf(random), bytesOf(random)];
      const outcome = readSigmf(metadata, data, { sha512 });
      expectSound(outcome);
      if (outcome.kind === 'record') readable++;
      const opened = openSigmf(metadata, data.byteLength, { digest: { update: () => {}, hex: () => sha512(data) } });
      if (opened.kind === 'invalid') {
        expect(outcome.kind).toBe('invalid');
        continue;
      }
      const size = 1 + whole(random, 40);
      for (let at = 0; at < data.byteLength; at += size) opened.reader.push(data.subarray(at, at + size));
      const end = opened.reader.finish();
      expect(end.kind === 'facts').toBe(outcome.kind === 'record');
      if (end.kind === 'invalid') expectSound(end);
    }
    // The damage is not so heavy that nothing gets through, nor so light that all does.
    expect(readable).toBeGreaterThan(CASES / 50);
    expect(readable).toBeLessThan(CASES / 2);
  });

  test('CSV: a record or issues, in pieces as in whole', () => {
    const random = createRandom(2, 'fuzz csv');
    const seeds = [
      '# sample_rate 1e6\nI,Q\n0.5,-0.25\n1,2\n3,4\n',
      'time;I;Q\n0;1;2\n1e-6;3;4\n2e-6;5;6\n',
      '0.5\t1\n2\t3',
      '# sample_rate: 30.72e6 Hz\r\n1 2\r\n3 4\r\n',
    ];
    let readable = 0;
    for (let i = 0; i < CASES; i++) {
      const text = mutateText(pick(random, seeds), random, '0123456789eE+-.,; \t\r\n#"naifITQ\u0000é');
      const data = random.uniform() < 0.1 ? bytesOf(random) : new TextEncoder().encode(text);
      const sampleRateHz = pick(random, [null, 1e6, 30.72e6, 0, -1, Number.NaN, Infinity]);
      const outcome = readCsv(data, { sampleRateHz, sha512 });
      expectSound(outcome);
      if (outcome.kind === 'record') readable++;
      const reader = openCsv({ sampleRateHz });
      const size = 1 + whole(random, 20);
      for (let at = 0; at < data.byteLength; at += size) reader.push(data.subarray(at, at + size));
      reader.last();
      expect(reader.finish().kind === 'facts').toBe(outcome.kind === 'record');
    }
    expect(readable).toBeGreaterThan(CASES / 50);
    expect(readable).toBeLessThan(CASES / 2);
  });
});
