import { describe, expect, test } from 'vitest';
import type { OfdmCarrierSettings } from '../../../shared/schema/scenario.ts';
import { meanPower, peakPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { constellation } from '../../../src/engine/waveform/constellation.ts';

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
test.each([
  ['QPSK', 0],
  ['16QAM', 2.552725051],
  ['64QAM', 3.679767853],
  ['256QAM', 4.227635924],
  ['1024QAM', 4.499690087],
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
