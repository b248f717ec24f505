// Pitfall P12: the join test is the wrap step against the median step and the spectrum at the join.
import { describe, expect, test } from 'vitest';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { isOnePeriod, joinSigns } from '../../../src/engine/dsp/recordPeriod.ts';
import { measureRecord } from '../../../src/engine/simulation/measureRecord.ts';
import { bench, generate, randomSignal } from '../waveform/build.ts';

const cut = (x: ComplexSignal, from: number, to: number) => ({ re: x.re.slice(from, to), im: x.im.slice(from, to) });

function turned(x: ComplexSignal, by: number): ComplexSignal {
  const turn = (v: Float64Array) => Float64Array.from([...v.subarray(by), ...v.subarray(0, by)]);
  return { re: turn(x.re), im: turn(x.im) };
}

const record = (sampleRateHz: number, edge: 'channelFilter' | 'none' = 'channelFilter') =>
  generate({ ...bench, symbolCount: 8, sampleRateHz, spectralEdge: { kind: edge } }, 11).waveform.signal;

describe('10 MHz carrier at several rates', () => {
  test.each([15.36e6, 30.72e6, 122.88e6])(
    'at %d Hz every cut is called a cut, every turn of the period a period',
    (rate) => {
      const x = record(rate);
      const length = x.re.length;
      const random = createRandom(12, 'cuts');
      for (let i = 0; i < 60; i++) {
        const from = Math.floor(random.uniform() * 0.4 * length);
        const to = from + Math.floor((0.2 + 0.4 * random.uniform()) * length);
        expect(isOnePeriod(cut(x, from, to)), `cut ${from} to ${to}`).toBe(false);
      }
      for (let i = 0; i < 20; i++) {
        const by = Math.floor((i * length) / 20);
        expect(isOnePeriod(turned(x, by)), `turned by ${by}`).toBe(true);
      }
    },
  );

  test.each([15.36e6, 61.44e6, 245.76e6])(
    'at %d Hz a period of unfiltered symbols is one, jumps at symbol ends and all',
    (rate) => {
      const x = record(rate, 'none');
      expect(isOnePeriod(x)).toBe(true);
      expect(isOnePeriod(turned(x, 1000))).toBe(true);
    },
  );

  test('a cut reads no floor of its own at 30.72 Msps', () => {
    const x = record(30.72e6);
    // The channel beside the 9 MHz is narrow enough to lie inside ±15.36 MHz beyond the filter's skirt.
    const channels = { ownBandwidthHz: 9e6, spacingHz: 9e6, neighbourBandwidthHz: 4e6 };
    const worst = (signal: ComplexSignal) => {
      const outcome = measureRecord({ signal, sampleRateHz: 30.72e6, channels });
      if (outcome.kind === 'invalid') throw new Error('must measure');
      return Math.min(...outcome.record.aclr.slice(0, 2).map((one) => one.aclrDb as number));
    };
    const whole = worst(x);
    expect(whole).toBeGreaterThan(80); // filter and window
    for (let i = 0; i < 12; i++) {
      // Segments differ in content by about a decibel; a wrapped join reads 40 dB.
      expect(worst(cut(x, 500 * i, 500 * i + 9001))).toBeGreaterThan(whole - 6);
    }
  });
});

test('white noise fills its rate: its cuts cannot be told and need not be', () => {
  expect(isOnePeriod(randomSignal(5000, createRandom(13, 'white')))).toBe(true);
});

test('a tone over whole cycles is a period, over half a cycle more it is not', () => {
  const tone = (length: number) => {
    const x = zeros(length);
    for (let n = 0; n < length; n++) {
      x.re[n] = Math.cos((2 * Math.PI * n) / 64);
      x.im[n] = Math.sin((2 * Math.PI * n) / 64);
    }
    return x;
  };
  expect(isOnePeriod(tone(1024))).toBe(true);
  expect(isOnePeriod(tone(1024 + 32))).toBe(false);
  expect(joinSigns(tone(1024)).stepRatio).toBeCloseTo(1, 9);
  // Turned by half: the step is 2·cos(π/64) against 2·sin(π/64).
  expect(joinSigns(tone(1024 + 32)).stepRatio).toBeCloseTo(
    (2 * Math.cos(Math.PI / 64)) / (2 * Math.sin(Math.PI / 64)),
    6,
  );
});

test('a burst between silences is a period; cut in the burst it is not', () => {
  const burst = zeros(8192);
  const { re, im } = record(122.88e6);
  for (let n = 0; n < 3000; n++) {
    const ramp = Math.sin((Math.PI * n) / 3000);
    burst.re[2000 + n] = ramp * re[n];
    burst.im[2000 + n] = ramp * im[n];
  }
  expect(isOnePeriod(burst)).toBe(true);
  expect(isOnePeriod(cut(burst, 0, 3400))).toBe(false);
});
