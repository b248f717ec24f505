import { describe, expect, test } from 'vitest';
import type { OfdmCarrierSettings } from '../../../shared/schema/scenario.ts';
import { meanPower, peakPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { constellation, ringRatiosOf } from '../../../src/engine/waveform/constellation.ts';
import checks from '../../reference/waveformChecks.json' with { type: 'json' };
import { settings } from './build.ts';

type Modulation = OfdmCarrierSettings['modulation'];
const modulations: Modulation[] = ['QPSK', '16QAM', '64QAM', '256QAM', '1024QAM'];

/** Bits b0 … of a word, b0 its most significant bit, as signs s = 1 − 2b. */
function signs(word: number, bits: number): number[] {
  return Array.from({ length: bits }, (_, i) => 1 - 2 * ((word >> (bits - 1 - i)) & 1));
}

// Source: TS 38.211 v18.7.0 clauses 5.1.3 to 5.1.7, written out per modulation.
const written: Record<Modulation, (s: number[]) => [number, number]> = {
  QPSK: (s) => [s[0] / Math.sqrt(2), s[1] / Math.sqrt(2)],
  '16QAM': (s) => [(s[0] * (2 - s[2])) / Math.sqrt(10), (s[1] * (2 - s[3])) / Math.sqrt(10)],
  '64QAM': (s) => [(s[0] * (4 - s[2] * (2 - s[4]))) / Math.sqrt(42), (s[1] * (4 - s[3] * (2 - s[5]))) / Math.sqrt(42)],
  '256QAM': (s) => [
    (s[0] * (8 - s[2] * (4 - s[4] * (2 - s[6])))) / Math.sqrt(170),
    (s[1] * (8 - s[3] * (4 - s[5] * (2 - s[7])))) / Math.sqrt(170),
  ],
  '1024QAM': (s) => [
    (s[0] * (16 - s[2] * (8 - s[4] * (4 - s[6] * (2 - s[8]))))) / Math.sqrt(682),
    (s[1] * (16 - s[3] * (8 - s[5] * (4 - s[7] * (2 - s[9]))))) / Math.sqrt(682),
  ],
};

// Source: the same clauses.
const bitsOf: Record<Modulation, number> = { QPSK: 2, '16QAM': 4, '64QAM': 6, '256QAM': 8, '1024QAM': 10 };

describe.each(modulations)('%s', (modulation) => {
  const points = constellation(modulation);
  const bits = bitsOf[modulation];

  test('is the standard’s mapping, bit by bit', () => {
    expect(points.re.length).toBe(2 ** bits);
    for (let word = 0; word < points.re.length; word++) {
      const [re, im] = written[modulation](signs(word, bits));
      expect(points.re[word]).toBeCloseTo(re, 14);
      expect(points.im[word]).toBeCloseTo(im, 14);
    }
  });

  test('has mean power 1', () => expect(meanPower(points)).toBeCloseTo(1, 12));

  // Source: the purpose of the mapping (Gray): neighbours at the least distance differ in exactly one bit.
  test('is Gray coded', () => {
    const least = 2 / Math.sqrt((2 * (points.re.length - 1)) / 3);
    let pairs = 0;
    for (let a = 0; a < points.re.length; a++) {
      for (let b = a + 1; b < points.re.length; b++) {
        const distance = Math.hypot(points.re[a] - points.re[b], points.im[a] - points.im[b]);
        if (distance > 1.001 * least) continue;
        expect(distance).toBeCloseTo(least, 12);
        pairs++;
        const word = a ^ b;
        expect(word & (word - 1)).toBe(0);
      }
    }
    const side = Math.sqrt(points.re.length);
    expect(pairs).toBe(2 * side * (side - 1));
  });
});

// Source: reference check PR-02: 3(√M − 1)/(√M + 1), tolerance 1e-9 dB.
const { expected: crests } = checks['PR-02'];
test.each([
  ['QPSK', crests['4']],
  ['16QAM', crests['16']],
  ['64QAM', crests['64']],
  ['256QAM', crests['256']],
  ['1024QAM', crests['1024']],
] as const)('peak over mean of %s is %f dB (PR-02)', (modulation, expectedDb) => {
  const points = constellation(modulation);
  expect(Math.abs(powerRatioToDb(peakPower(points) / meanPower(points)) - expectedDb)).toBeLessThan(1e-9);
});

// Source: TS 36.211 Tables 7.1.3-1 and 7.1.4-1 (rows from memory): words 0000 … 0011 and 000000, 000111.
test('agrees with printed table rows', () => {
  const qam16 = constellation('16QAM');
  const rows16: [number, number][] = [
    [1, 1],
    [1, 3],
    [3, 1],
    [3, 3],
  ];
  rows16.forEach(([re, im], word) => {
    expect(qam16.re[word] * Math.sqrt(10)).toBeCloseTo(re, 12);
    expect(qam16.im[word] * Math.sqrt(10)).toBeCloseTo(im, 12);
  });
  const qam64 = constellation('64QAM');
  expect([qam64.re[0], qam64.im[0]].map((v) => Math.round(v * Math.sqrt(42)))).toEqual([3, 3]);
  expect([qam64.re[7], qam64.im[7]].map((v) => Math.round(v * Math.sqrt(42)))).toEqual([1, 7]);
});

describe('binary and phase-shift keying', () => {
  // Source: TS 38.211 clause 5.1.2: (1 − 2b)(1 + j)/√2.
  test.each(['BPSK', 'pi/2-BPSK'] as const)('%s is the diagonal pair', (modulation) => {
    const { re, im } = constellation(modulation);
    expect(Array.from(re).map((v) => v * Math.SQRT2)).toEqual([expect.closeTo(1, 12), expect.closeTo(-1, 12)]);
    expect(im).toEqual(re);
  });

  test('8PSK has eight equal steps on the unit circle, one bit between neighbours', () => {
    const steps = pointsByAngle(constellation('8PSK'));
    expect(steps).toHaveLength(8);
    steps.forEach(({ word, angle, radius }, i) => {
      expect(radius).toBeCloseTo(1, 12);
      const next = steps[(i + 1) % 8];
      expect((next.angle - angle + 2 * Math.PI) % (2 * Math.PI)).toBeCloseTo(Math.PI / 4, 12);
      expect(isOneBit(word ^ next.word)).toBe(true);
    });
  });
});

/** Points by rising angle. */
function pointsByAngle({ re, im }: { re: Float64Array; im: Float64Array }) {
  return Array.from(re, (x, word) => ({
    word,
    radius: Math.hypot(x, im[word]),
    angle: (Math.atan2(im[word], x) + 2 * Math.PI) % (2 * Math.PI),
  })).sort((a, b) => a.angle - b.angle);
}

const isOneBit = (word: number) => word !== 0 && (word & (word - 1)) === 0;

describe('amplitude-phase keying', () => {
  // Source: EN 302 307-1 clause 5.4 (from memory): rings of 4 and 12 points, and of 16 outside them.
  test.each([
    ['16APSK', [1, 2.7], [4, 12]],
    ['32APSK', [1, 2.64, 4.64], [4, 12, 16]],
  ] as const)('%s has evenly filled rings at the ratios given, mean power 1', (modulation, ratios, counts) => {
    const points = constellation(modulation, ratios);
    expect(meanPower(points)).toBeCloseTo(1, 12);
    const byAngle = pointsByAngle(points);
    const inner = Math.min(...byAngle.map(({ radius }) => radius));
    ratios.forEach((ratio, ring) => {
      const onRing = byAngle.filter(({ radius }) => Math.abs(radius / inner - ratio) < 1e-9);
      expect(onRing).toHaveLength(counts[ring]);
      const step = (2 * Math.PI) / counts[ring];
      onRing.forEach(({ angle }, i) => {
        expect((onRing[(i + 1) % onRing.length].angle - angle + 2 * Math.PI) % (2 * Math.PI)).toBeCloseTo(step, 9);
      });
    });
  });

  test('neighbours on the rings of 16APSK differ in one bit, and so do the rings', () => {
    const byAngle = pointsByAngle(constellation('16APSK', [1, 2.7]));
    const inner = byAngle.filter(({ radius }) => radius < 0.7);
    const outer = byAngle.filter(({ radius }) => radius > 0.7);
    for (const ring of [inner, outer]) {
      const steps = ring.map(({ word }, i) => word ^ ring[(i + 1) % ring.length].word);
      expect(steps.every(isOneBit)).toBe(true);
    }
    // The inner ring holds the words 11xx.
    expect(inner.map(({ word }) => word >> 2)).toEqual([3, 3, 3, 3]);
  });

  // Source: EN 302 307-1 (from memory): peak over mean of rings 1 : γ with 4 and 12 points, 16γ²/(4 + 12γ²).
  test('peak over mean of 16APSK at γ = 2.7 is 1.099 dB', () => {
    const points = constellation('16APSK', [1, 2.7]);
    expect(powerRatioToDb(peakPower(points))).toBeCloseTo(10 * Math.log10((16 * 2.7 ** 2) / (4 + 12 * 2.7 ** 2)), 9);
  });

  test('the ratios of the settings: "auto" is code rate 5/6, and a hand-set one counts', () => {
    const ratios = (carrier: object) => {
      const [first] = settings({
        carriers: [{ kind: 'singleCarrier', symbolRateHz: 1e6, ...carrier }],
      } as Parameters<typeof settings>[0]).carriers;
      if (first.kind !== 'singleCarrier') throw new Error(first.kind);
      return ringRatiosOf(first);
    };
    expect(ratios({ modulation: '16APSK' })).toEqual([1, 2.7]);
    expect(ratios({ modulation: '32APSK' })).toEqual([1, 2.64, 4.64]);
    expect(ratios({ modulation: '32APSK', ringRatio: 2.84, outerRingRatio: 5.27 })).toEqual([1, 2.84, 5.27]);
    expect(ratios({ modulation: '64QAM' })).toEqual([1]);
    expect(() => constellation('16APSK', [1])).toThrow(RangeError);
  });
});
