import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import { fromPairs, meanPower, peakPower } from '../../../src/engine/dsp/complex.ts';
import { parseDatatype } from '../../../src/engine/record/datatype.ts';
import type { FileRecord } from '../../../src/engine/record/fileRecord.ts';
import { readSigmf, writeSigmf } from '../../../src/engine/record/sigmf.ts';

const sha512 = (bytes: Uint8Array): string => createHash('sha512').update(bytes).digest('hex');
const captures = join(import.meta.dirname, '..', '..', 'captures');

interface Meta {
  global: Record<string, unknown>;
  captures: unknown[];
  annotations: unknown[];
  [extra: string]: unknown;
}

function metaOf(datatype: string): Meta {
  return {
    global: { 'core:datatype': datatype, 'core:version': '1.2.5', 'core:sample_rate': 1e6 },
    captures: [{ 'core:sample_start': 0, 'core:frequency': 2.4e9 }],
    annotations: [],
  };
}

function mustRead(meta: unknown, data: Uint8Array): FileRecord {
  const outcome = readSigmf(JSON.stringify(meta), data, { sha512 });
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

function faultsOf(meta: unknown, data: Uint8Array): string[] {
  const outcome = readSigmf(typeof meta === 'string' ? meta : JSON.stringify(meta), data, { sha512 });
  return outcome.kind === 'invalid' ? outcome.issues.map(formatIssue) : [];
}

describe('datatypes', () => {
  // Two samples, written byte by byte from the definition of each number format: 0.5 − 0.25j and −1 + 0j of full scale.
  test.each([
    ['cf32_le', '0000003f000080be000080bf00000000'],
    ['cf32_be', '3f000000be800000bf80000000000000'],
    ['cf64_le', '000000000000e03f000000000000d0bf000000000000f0bf0000000000000000'],
    ['cf64_be', '3fe0000000000000bfd0000000000000bff00000000000000000000000000000'],
    ['ci32_le', '00000040000000e00000008000000000'],
    ['ci32_be', '40000000e00000008000000000000000'],
    ['ci16_le', '004000e000800000'],
    ['ci16_be', '4000e00080000000'],
    ['cu32_le', '000000c0000000600000000000000080'],
    ['cu32_be', 'c0000000600000000000000080000000'],
    ['cu16_le', '00c0006000000080'],
    ['cu16_be', 'c000600000008000'],
    ['ci8', '40e08000'],
    ['cu8', 'c0600080'],
  ])('%s is decoded exactly', (datatype, hex) => {
    const { signal } = mustRead(metaOf(datatype), Uint8Array.from(Buffer.from(hex, 'hex')));
    expect([...signal.re]).toEqual([0.5, -1]);
    expect([...signal.im]).toEqual([-0.25, 0]);
  });

  test('the scaling of fixed-point samples is said, and floating point has none', () => {
    const record = mustRead(metaOf('ci16_le'), new Uint8Array(8));
    expect(record.fullScale).toBe(32768);
    expect(record.notes).toEqual(['ci16_le samples were divided by 32768: full scale is 1.0']);
    expect(mustRead(metaOf('cu8'), new Uint8Array(8)).notes[0]).toContain('after 128 was taken off');
    expect(mustRead(metaOf('cf32_le'), new Uint8Array(8)).notes).toEqual([]);
  });

  test.each(['cf32', 'ci16', 'ci8_le', 'cf16_le', 'ci64_le', 'cf32_me', ' cf32_le', 'cf32_le\n', 'xf32_le', 'CF32_LE'])(
    '%j is not in the grammar',
    (name) => {
      expect(parseDatatype(name)).toBeNull();
    },
  );
});

describe('the records that come with the project', () => {
  // Mean and peak of the samples as numpy reads them: np.fromfile(…, '<i2')/32768.
  test.each([
    ['harbour-link-10mhz.drive', 52608, 3.5e9, -13.979668338471233, -4.48677886612375],
    ['harbour-link-10mhz.observed', 52608, 3.5e9, -12.511565502108471, -4.870992719929128],
    ['ridge-relay-20mhz.drive', 35072, 2.4e9, -12.236664247412971, -4.1557646179005445],
    ['ridge-relay-20mhz.observed', 35072, 2.4e9, -12.240924713749003, -3.809876734297905],
  ])('%s is read as numpy reads it', (name, sampleCount, centreHz, meanDb, peakDb) => {
    const metadata = readFileSync(join(captures, `${name}.sigmf-meta`), 'utf8');
    const outcome = readSigmf(metadata, readFileSync(join(captures, `${name}.sigmf-data`)), { sha512 });
    if (outcome.kind !== 'record') throw new Error('must be readable');
    expect(outcome.record.signal.re.length).toBe(sampleCount);
    expect(outcome.record.sampleRateHz).toBe(122.88e6);
    expect(outcome.record.centreFrequencyHz).toBe(centreHz);
    expect(10 * Math.log10(meanPower(outcome.record.signal))).toBeCloseTo(meanDb, 9); // order of summation
    expect(10 * Math.log10(peakPower(outcome.record.signal))).toBeCloseTo(peakDb, 9);
  });
});

describe('faults say what and where', () => {
  const sixteen = new Uint8Array(16);
  const withGlobal = (extra: Record<string, unknown>): Meta => {
    const meta = metaOf('ci16_le');
    Object.assign(meta.global, extra);
    return meta;
  };
  const without = (key: string): Meta => {
    const meta = metaOf('ci16_le');
    delete meta.global[key];
    return meta;
  };

  test.each<[string, unknown, Uint8Array, string]>([
    [
      'truncated inside a sample',
      metaOf('ci16_le'),
      new Uint8Array(15),
      'data must be a whole number of 4-byte ci16_le samples, got 15 bytes, 3 too many after sample 2; the file is truncated or core:datatype is wrong',
    ],
    ['empty', metaOf('ci16_le'), new Uint8Array(0), 'data must hold samples, got 0 bytes'],
    [
      'truncated between samples',
      withGlobal({ 'core:sha512': sha512(new Uint8Array(20)) }),
      sixteen,
      'data must have the digest that global.core:sha512 states',
    ],
    [
      'digest malformed',
      withGlobal({ 'core:sha512': 'abc' }),
      sixteen,
      'global.core:sha512 must be 128 hexadecimal digits, got "abc"',
    ],
    [
      'datatype without byte order',
      withGlobal({ 'core:datatype': 'ci16' }),
      sixteen,
      'global.core:datatype must be "c" or "r", then f32',
    ],
    [
      'real samples',
      withGlobal({ 'core:datatype': 'rf32_le' }),
      sixteen,
      'global.core:datatype must be complex: the record is read as complex baseband, got "rf32_le"; give a cf32_le record',
    ],
    [
      'datatype of the wrong type',
      withGlobal({ 'core:datatype': 16 }),
      sixteen,
      'global.core:datatype must be text, got 16',
    ],
    ['datatype missing', without('core:datatype'), sixteen, 'global.core:datatype is required, got nothing'],
    [
      'version missing',
      without('core:version'),
      sixteen,
      'global.core:version is required, got nothing; write for example "1.2.5"',
    ],
    [
      'version malformed',
      withGlobal({ 'core:version': '1.2' }),
      sixteen,
      'global.core:version must be a version X.Y.Z, got "1.2"',
    ],
    [
      'version of the future',
      withGlobal({ 'core:version': '2.0.0' }),
      sixteen,
      'global.core:version must be a version 1.Y.Z',
    ],
    [
      'sample rate missing',
      without('core:sample_rate'),
      sixteen,
      'global.core:sample_rate is required to place frequencies',
    ],
    [
      'sample rate out of range',
      withGlobal({ 'core:sample_rate': 0 }),
      sixteen,
      'global.core:sample_rate must be a number from 1000 to 1e12 Hz, got 0',
    ],
    ['two channels', withGlobal({ 'core:num_channels': 2 }), sixteen, 'global.core:num_channels must be 1'],
    ['metadata only', withGlobal({ 'core:metadata_only': true }), sixteen, 'global.core:metadata_only must be false'],
    [
      'another data file',
      withGlobal({ 'core:dataset': 'x.wav' }),
      sixteen,
      'global.core:dataset names a data file of another format',
    ],
    [
      'bytes after the samples',
      withGlobal({ 'core:trailing_bytes': 4 }),
      sixteen,
      'global.core:trailing_bytes must be 0',
    ],
    ['a key without a namespace', withGlobal({ sample_rate: 1 }), sixteen, 'global.sample_rate has no namespace'],
    [
      'a mandatory extension',
      withGlobal({ 'core:extensions': [{ name: 'spatial', version: '1.0.0', optional: false }] }),
      sixteen,
      'global.core:extensions.0 asks for the extension "spatial"',
    ],
    [
      'a malformed extension',
      withGlobal({ 'core:extensions': [{ name: 'spatial' }] }),
      sixteen,
      'global.core:extensions.0 must hold name, version and optional',
    ],
    [
      'an unknown top-level key',
      { ...metaOf('ci16_le'), note: 1 },
      sixteen,
      'note is not one of global, captures, annotations, got 1',
    ],
    [
      'no captures',
      { global: metaOf('ci16_le').global, annotations: [] },
      sixteen,
      'captures is required, got nothing',
    ],
    [
      'captures of the wrong type',
      { ...metaOf('ci16_le'), captures: {} },
      sixteen,
      'captures must be a list [ … ], got {}',
    ],
    ['global missing', { captures: [], annotations: [] }, sixteen, 'global is required'],
    ['a start missing', { ...metaOf('ci16_le'), captures: [{}] }, sixteen, 'captures.0.core:sample_start is required'],
    [
      'a start out of order',
      { ...metaOf('ci16_le'), annotations: [{ 'core:sample_start': 3 }, { 'core:sample_start': 1 }] },
      sixteen,
      'annotations.1.core:sample_start must not lie before the entry above it (3), got 1; sort the list',
    ],
    [
      'a start beyond the file',
      { ...metaOf('ci16_le'), captures: [{ 'core:sample_start': 4 }] },
      sixteen,
      'captures.0.core:sample_start must lie within the file, which holds 4 samples, got 4; is the file truncated?',
    ],
    [
      'an annotation beyond the file',
      { ...metaOf('ci16_le'), annotations: [{ 'core:sample_start': 1, 'core:sample_count': 4 }] },
      sixteen,
      'annotations.0.core:sample_count must end within the file, which holds 4 samples, got 4',
    ],
    [
      'one edge of two',
      { ...metaOf('ci16_le'), annotations: [{ 'core:sample_start': 1, 'core:freq_lower_edge': 1 }] },
      sixteen,
      'annotations.0.core:freq_upper_edge is required beside the other edge',
    ],
    [
      'a local time',
      { ...metaOf('ci16_le'), captures: [{ 'core:sample_start': 0, 'core:datetime': '2024-05-01T12:00:00+02:00' }] },
      sixteen,
      'captures.0.core:datetime must be an ISO-8601 time that ends in Z',
    ],
    [
      'a file header',
      { ...metaOf('ci16_le'), captures: [{ 'core:sample_start': 0, 'core:header_bytes': 4 }] },
      sixteen,
      'captures.0.core:header_bytes must be 0',
    ],
    [
      'two frequencies',
      {
        ...metaOf('ci16_le'),
        captures: [
          { 'core:sample_start': 0, 'core:frequency': 1e9 },
          { 'core:sample_start': 2, 'core:frequency': 2e9 },
        ],
      },
      sixteen,
      'captures must share one core:frequency',
    ],
    ['not an object', [1], sixteen, 'the input must be an object { … }, got [1]'],
    [
      'not JSON',
      '{\n  "global": {},\n  "captures": [,]\n}',
      sixteen,
      'the input must be JSON, and is not at line 3, column 16, got ","',
    ],
    [
      'not finished JSON',
      '{"global": {',
      sixteen,
      'the input must be JSON, and is not at line 1, column 13, got the end of the text',
    ],
  ])('%s', (_name, meta, data, wanted) => {
    const faults = faultsOf(meta, data);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toContain(wanted);
  });

  test('bytes of ci16 labelled cf32 are refused at the first impossible sample', () => {
    const bytes = Uint8Array.from(Buffer.from('0000003f000080be' + '0000c07f00000000', 'hex')); // 0.5 − 0.25j, then NaN
    expect(faultsOf(metaOf('cf32_le'), bytes)).toEqual([
      'data, sample 1 must be a finite number below 1000000000000000, got NaN + j·0; are these bytes really cf32_le? check core:datatype',
    ]);
    const huge = Uint8Array.from(Buffer.from('ffff7f7f00000000', 'hex'));
    expect(faultsOf(metaOf('cf32_le'), huge)[0]).toContain('data, sample 0 must be a finite number');
  });

  test('all faults are listed at once', () => {
    const meta = { global: { 'core:datatype': 'ci16', 'core:num_channels': 2 }, captures: [{}], extra: 1 };
    const faults = faultsOf(meta, sixteen);
    expect(faults.map((fault) => fault.split(' ')[0]).sort()).toEqual([
      'annotations',
      'captures.0.core:sample_start',
      'extra',
      'global.core:datatype',
      'global.core:num_channels',
      'global.core:sample_rate',
      'global.core:version',
    ]);
  });

  test('what is unknown or unchecked is noted, not refused', () => {
    const meta = withGlobal({ 'core:sampel_rate': 1, 'antenna:gain': 3, 'core:sha512': sha512(sixteen) });
    const outcome = readSigmf(JSON.stringify(meta), sixteen);
    if (outcome.kind !== 'record') throw new Error('must be readable');
    expect(outcome.record.notes[0]).toContain(
      'global.core:sampel_rate is not a key of SigMF 1.2 and was ignored; did you mean core:sample_rate?',
    );
    expect(outcome.record.notes).toContain('core:sha512 was not checked');
  });
});

describe('writing', () => {
  const signal = fromPairs([{ re: 0.5, im: -0.25 }, { re: -1.5 }, { re: 1 / 3, im: 2e-20 }]);
  const source = {
    signal,
    sampleRateHz: 30.72e6,
    centreFrequencyHz: 3.46e9,
    description: 'three samples',
    recorder: 'kneepoint 0.1.0',
  };

  test('a written record is read back to single precision, with its facts', () => {
    const { metadata, data } = writeSigmf(source, { sha512 });
    const record = mustRead(JSON.parse(metadata), data);
    expect(record).toMatchObject({
      sampleRateHz: 30.72e6,
      centreFrequencyHz: 3.46e9,
      description: 'three samples',
      notes: [],
    });
    expect([...record.signal.re]).toEqual([...signal.re].map(Math.fround));
    expect([...record.signal.im]).toEqual([...signal.im].map(Math.fround));
  });

  test('the bytes are little-endian I then Q, and their digest is stated', () => {
    const { metadata, data } = writeSigmf({ ...source, centreFrequencyHz: null }, { sha512 });
    expect(Buffer.from(data.subarray(0, 8)).toString('hex')).toBe('0000003f000080be');
    const meta = JSON.parse(metadata) as Meta;
    expect(meta.global).toMatchObject({
      'core:datatype': 'cf32_le',
      'core:version': '1.2.5',
      'core:sha512': sha512(data),
    });
    expect(meta.captures).toEqual([{ 'core:sample_start': 0 }]);
  });

  test('samples that are not finite are the caller’s mistake', () => {
    const broken = { ...source, signal: fromPairs([{ re: 1 }, { re: Number.NaN }]) };
    expect(() => writeSigmf(broken, { sha512 })).toThrow('writeSigmf: sample 1 is NaN');
  });
});
