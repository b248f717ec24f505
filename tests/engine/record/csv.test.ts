import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import { openCsv, readCsv } from '../../../src/engine/record/csv.ts';

const bytesOf = (text: string) => new TextEncoder().encode(text);
const sha512 = (bytes: Uint8Array): string => createHash('sha512').update(bytes).digest('hex');

function mustRead(text: string, sampleRateHz: number | null = null) {
  const outcome = readCsv(bytesOf(text), { sampleRateHz, sha512 });
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  const { signal, ...facts } = outcome.record;
  return { re: [...signal.re], im: [...signal.im], ...facts };
}

function faultsOf(text: string, sampleRateHz: number | null = 1e6): string[] {
  const outcome = readCsv(bytesOf(text), { sampleRateHz });
  return outcome.kind === 'invalid' ? outcome.issues.map(formatIssue) : [];
}

describe('text records', () => {
  test.each([
    ['commas', '0.5,-0.25\n-1,2e-3\n'],
    ['semicolons', '0.5; -0.25\n-1; 2e-3\n'],
    ['blanks', ' 0.5 -0.25\n -1    2e-3\n'],
    ['tabs', '0.5\t-0.25\n-1\t2e-3\n'],
    ['no line end at the end', '0.5,-0.25\n-1,2e-3'],
    ['line ends of two characters', '0.5,-0.25\r\n-1,2e-3\r\n'],
    ['a header', 'I,Q\n0.5,-0.25\n-1,2e-3\n'],
    ['a quoted header', '"I";"Q"\n0.5;-0.25\n-1;2e-3\n'],
    ['comments and empty lines', '# of the bench\n\n0.5,-0.25 # first\n\n-1,2e-3\n# end\n'],
    ['a byte order mark', '\uFEFF0.5,-0.25\n-1,2e-3\n'],
    ['other spellings of numbers', '+.5,-25e-2\n-1.,+0.002\n'],
  ])('%s', (_name, text) => {
    expect(mustRead(text, 1e6)).toMatchObject({
      re: [0.5, -1],
      im: [-0.25, 2e-3],
      sampleRateHz: 1e6,
      sampleCount: 2,
      centreFrequencyHz: null,
      datatype: 'csv',
      fullScale: null,
      sha512: sha512(bytesOf(text)),
    });
  });

  test('the rate stands in a comment, and so may the centre frequency', () => {
    const record = mustRead('# sample_rate: 30.72e6 Hz\n# centre_frequency = 3.5e9\n1,0\n0,1\n');
    expect(record).toMatchObject({ sampleRateHz: 30.72e6, centreFrequencyHz: 3.5e9 });
    expect(record.notes).toEqual(['sample rate 30720000 Hz from line 1']);
  });

  test('the rate follows from rounded times: (N − 1) over their span', () => {
    // 30.72 Msps: the step is 32.552083 ns; ten digits after the point leave 1e-10 s/(99 steps) = 3e-5 of it.
    const lines = Array.from({ length: 100 }, (_, n) => `${(n / 30.72e6).toFixed(10)},${n},0`);
    const record = mustRead(`time,I,Q\n${lines.join('\n')}\n`);
    expect(Math.abs(record.sampleRateHz / 30.72e6 - 1)).toBeLessThan(4e-5);
    expect(record.re[99]).toBe(99);
    expect(record.notes[0]).toContain('from the time column');
  });

  test('a rate that is given stands, and agrees with the time column', () => {
    expect(mustRead('0,1,0\n1.0002e-6,0,1\n', 1e6).sampleRateHz).toBe(1e6);
  });

  test('pieces of any size give the record of the whole', () => {
    const text = `# sample_rate 1e6\n${Array.from({ length: 50 }, (_, n) => `${n}.25,${-n}`).join('\n')}`;
    const whole = mustRead(text);
    for (const size of [1, 3, 17, 1000]) {
      const reader = openCsv();
      const seen: number[] = [];
      for (let at = 0; at < text.length; at += size)
        seen.push(...reader.push(bytesOf(text).subarray(at, at + size)).re);
      seen.push(...reader.last().re);
      expect(seen).toEqual(whole.re);
      const end = reader.finish();
      expect(end).toMatchObject({ kind: 'facts', facts: { sampleRateHz: 1e6, sampleCount: 50 } });
    }
  });
});

describe('faults say what and where', () => {
  test.each<[string, string, number | null, string]>([
    ['nothing', '', 1e6, 'data must hold samples, got an empty file; write one sample a line: I,Q'],
    ['a heading', 'i,q\n', 1e6, 'data must hold samples, got 1 line without numbers; write one sample a line: I,Q'],
    ['comments only', '# sample_rate 1e6\n', null, 'data must hold samples'],
    ['no rate', '1,2\n', null, 'sample rate is required to place frequencies, got nothing; give the sample rate'],
    ['a rate of zero', '1,2\n', 0, 'sample rate of the rate given must be a number from 1000 to 1e12 Hz, got 0'],
    [
      'a negative rate',
      '# sample_rate -1e6\n1,2\n',
      null,
      'sample rate of line 1 must be a number from 1000 to 1e12 Hz',
    ],
    [
      'a rate in MHz',
      '# sample_rate 122.88\n1,2\n',
      null,
      'got 122.88; give the sample rate in Hz, such as 122.88e6; neither in MHz',
    ],
    [
      'a rate beyond all',
      '# sample_rate 1e13\n1,2\n',
      null,
      'must be a number from 1000 to 1e12 Hz, got 10000000000000',
    ],
    [
      'a rate that is no number',
      '# sample_rate fast\n1,2\n',
      1e6,
      'line 1 must state a number in Hz, got "sample_rate fast"',
    ],
    [
      'two rates',
      '# sample_rate 1e6\n1,2\n',
      2e6,
      'sample rate of line 1 must agree with that of the rate given, 2000000 Hz, got 1000000 Hz',
    ],
    ['an odd line', '1,2\n3\n', 1e6, 'line 2 must hold 2 numbers, as the lines above it, got "3"'],
    ['one column', '1\n2\n', 1e6, 'line 1 must hold two numbers, I and Q, or three, time, I and Q, got "1"'],
    ['four columns', '1,2,3,4\n', 1e6, 'line 1 must hold two numbers'],
    ['a decimal comma', '0.5;1\n1,5;2\n', 1e6, 'line 2 must hold numbers with a decimal point, got "1,5"'],
    ['not a number', '1,2\nnan,0\n', 1e6, 'line 2 must hold numbers with a decimal point, got "nan"'],
    ['infinity', '1,2\n0,-inf\n', 1e6, 'line 2 must hold numbers with a decimal point, got "-inf"'],
    ['too large', '1,2\n0,1e400\n', 1e6, 'line 2 must hold finite numbers below 1000000000000000, got "0,1e400"'],
    [
      'another header',
      'left,right\n1,2\n',
      1e6,
      'line 1 must name the columns I and Q, or time, I and Q, got "left,right"',
    ],
    ['a second header', 'I,Q\nI,Q\n1,2\n', 1e6, 'line 2 must hold numbers with a decimal point, got "I"'],
    ['times that stand', '0,1,2\n0,1,2\n', null, 'line 2 must lie after the time above it, 0 s, got "0"'],
    [
      'a sample missing',
      '0,1,0\n1e-6,1,0\n2e-6,1,0\n4e-6,1,0\n5e-6,1,0\n',
      null,
      'line 4 must lie one step of about 0.000001250 s after the line above it, got 0.000002000 s',
    ],
    ['bytes', `\0\0\0\x3f${'\0'.repeat(8000)}`, 1e6, 'must be shorter than 4096 characters'],
  ])('%s', (_name, text, rate, wanted) => {
    const faults = faultsOf(text, rate);
    expect(faults.join('\n')).toContain(wanted);
    expect(faults.length).toBeLessThanOrEqual(2);
  });

  test('ten faulty lines are told, further ones counted', () => {
    const faults = faultsOf(`1,2\n${'x,1\n'.repeat(25)}`);
    expect(faults).toHaveLength(11);
    expect(faults[10]).toBe('data must hold samples in every line, got 15 more faulty lines; is this a record?');
  });
});
