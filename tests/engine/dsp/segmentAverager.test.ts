import { describe, expect, test } from 'vitest';
import type { ComplexSignal } from '../../../src/engine/dsp/complex.ts';
import { createSegmentAverager } from '../../../src/engine/dsp/segmentAverager.ts';
import { estimateSpectrum, type SpectrumOptions } from '../../../src/engine/dsp/spectrum.ts';
import { lcgSignal } from '../../reference/lcg.ts';

const options: SpectrumOptions = {
  sampleRateHz: 1e6,
  method: 'segments',
  window: 'blackmanHarris',
  segmentLength: 256,
  overlapRatio: 0.5,
  periodic: false,
};

function pushAll(x: ComplexSignal, chunk: number, more: Partial<SpectrumOptions> = {}) {
  const averager = createSegmentAverager(x.re.length, { ...options, ...more });
  // One buffer for all chunks: what was pushed may be overwritten.
  const buffer = { re: new Float64Array(chunk), im: new Float64Array(chunk) };
  for (let from = 0; from < x.re.length; from += chunk) {
    const count = Math.min(chunk, x.re.length - from);
    buffer.re.set(x.re.subarray(from, from + count));
    buffer.im.set(x.im.subarray(from, from + count));
    averager.push({ re: buffer.re.subarray(0, count), im: buffer.im.subarray(0, count) });
    buffer.re.fill(Number.NaN);
    buffer.im.fill(Number.NaN);
  }
  return averager.finish();
}

describe('segments of a record in pieces', () => {
  const x = lcgSignal(10_007);

  // The same sums in the same order: not one bit differs from the spectrum of the whole record, which is held against
  // scipy's Welch estimate in spectrum.test.ts.
  test.each([1, 7, 255, 256, 257, 4096, 20_000])('chunks of %i samples give the spectrum of the whole', (chunk) => {
    expect(pushAll(x, chunk)).toEqual(estimateSpectrum(x, options));
  });

  test.each<Partial<SpectrumOptions>>([
    { overlapRatio: 0 },
    { overlapRatio: 0.75 },
    { averageCount: 5 },
    { window: 'rectangular', segmentLength: 1024 },
  ])('%o', (more) => {
    expect(pushAll(x, 300, more)).toEqual(estimateSpectrum(x, { ...options, ...more }));
  });

  test('a record of one segment, and one that is too short or ends early', () => {
    const one = lcgSignal(256);
    expect(pushAll(one, 100)).toEqual(estimateSpectrum(one, options));
    expect(() => createSegmentAverager(255, options)).toThrow(RangeError);
    const averager = createSegmentAverager(10_000, options);
    averager.push(one);
    expect(() => averager.finish()).toThrow('1 of 77 segments came');
  });
});
