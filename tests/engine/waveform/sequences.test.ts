// Bit sequences against recurrences, periods and vectors of the standards.
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { goldSequence, type PseudoNoise, pseudoNoiseBits, wordSource } from '../../../src/engine/waveform/sequences.ts';
import { generate } from './build.ts';

// Source: ITU-T O.150 (from memory): x⁹ + x⁵ + 1, x¹⁵ + x¹⁴ + 1, x²³ + x¹⁸ + 1, all of the greatest length.
const sequences: [PseudoNoise, number, number][] = [
  ['PN9', 9, 5],
  ['PN15', 15, 14],
  ['PN23', 23, 18],
];

describe.each(sequences)('%s', (kind, order, tap) => {
  const period = 2 ** order - 1;

  test('obeys its recurrence b(n) = b(n − order) + b(n − tap)', () => {
    const next = pseudoNoiseBits(kind, 1);
    // The state before the first bit: a one, preceded by zeros.
    const bits = [...Array.from({ length: order - 1 }, () => 0), 1];
    for (let n = 0; n < 2000; n++) {
      const at = bits.length;
      bits.push(next());
      expect(bits[at]).toBe((bits[at - order] + bits[at - tap]) % 2);
    }
  });

  test(`has the period ${2 ** order - 1}, with one more one than zeros`, () => {
    const next = pseudoNoiseBits(kind, 1);
    const again = pseudoNoiseBits(kind, 1);
    let ones = 0;
    for (let n = 0; n < period; n++) ones += next();
    expect(ones).toBe(2 ** (order - 1));
    // After one period the same bits come again; order bits in a row are the whole state.
    for (let n = 0; n < 2 * order; n++) expect(next()).toBe(again());
    // No shorter period: every divisor of the length is ruled out.
    for (const divisor of divisorsOf(period)) {
      const shifted = pseudoNoiseBits(kind, 1);
      for (let n = 0; n < divisor; n++) shifted();
      const reference = pseudoNoiseBits(kind, 1);
      const differs = Array.from({ length: 2 * order }, () => shifted() !== reference()).some((other) => other);
      expect(differs, `period ${divisor}`).toBe(true);
    }
  });

  test('refuses the state of zeros, from which no one comes', () => {
    expect(() => pseudoNoiseBits(kind, 0)).toThrow(RangeError);
    expect(() => pseudoNoiseBits(kind, period + 1)).toThrow(RangeError);
  });
});

/** Divisors of the length below itself. */
function divisorsOf(length: number): number[] {
  const divisors: number[] = [];
  for (let d = 1; d * d <= length; d++) if (length % d === 0) divisors.push(d, length / d);
  return divisors.filter((divisor) => divisor < length);
}

describe('Gold sequence', () => {
  // Source: TS 38.211 clause 5.2.1; vectors computed independently with numpy.
  test.each([
    [1, '0000001010000011000000110111010000101011100110101111110111100010'],
    [12345, '0110011001100011111101001101000000011000110100000000101101011000'],
  ])('begun with %d', (start, expected) => {
    expect(Array.from(goldSequence(start, 64)).join('')).toBe(expected);
  });

  test('a longer one begins like a shorter one, and starts are checked', () => {
    expect(goldSequence(77, 1000).subarray(0, 64)).toEqual(goldSequence(77, 64));
    expect(() => goldSequence(2 ** 31, 8)).toThrow(RangeError);
    expect(() => goldSequence(-1, 8)).toThrow(RangeError);
  });
});

describe('payload PN23', () => {
  test('cuts the sequence into words, first bit highest, from the state the seed gives', () => {
    const next = wordSource('pn23', 6, createRandom(9, 'carrier 0'));
    const bits = pseudoNoiseBits('PN23', 1 + createRandom(9, 'carrier 0').integer(2 ** 23 - 1));
    for (let i = 0; i < 100; i++) {
      let word = 0;
      for (let k = 0; k < 6; k++) word += bits() * 2 ** (5 - k);
      expect(next()).toBe(word);
    }
  });

  // Source: TS 38.211 clause 5.1.3: QPSK ((1 − 2b0) + j(1 − 2b1))/√2.
  test.each([
    { kind: 'ofdm', standard: 'nr', channelBandwidthHz: 10e6, modulation: 'QPSK', payload: 'pn23' },
    { kind: 'singleCarrier', symbolRateHz: 15.36e6, modulation: 'QPSK', payload: 'pn23' },
  ] as const)('is what a $kind carrier sends, symbol by symbol', (carrier) => {
    const made = (seed: number) =>
      generate({ carriers: [carrier], symbolCount: 2, sampleCount: 8192 }, seed).waveform.data[0];
    const data = made(4);
    if (!data) throw new Error('no data');
    const sent: number[] = [];
    for (let i = 0; i < data.re.length; i++) sent.push(data.re[i] < 0 ? 1 : 0, data.im[i] < 0 ? 1 : 0);
    expect(sent.length).toBeGreaterThan(1000);
    for (let n = 23; n < sent.length; n++) expect(sent[n]).toBe(sent[n - 23] ^ sent[n - 18]);
    // Another seed begins elsewhere; the same seed at the same place.
    expect(made(4)).toEqual(data);
    expect(made(5)).not.toEqual(data);
  });
});
