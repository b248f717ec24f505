import { describe, expect, test } from 'vitest';
import type { ComplexSignal } from '../../../src/engine/dsp/complex.ts';
import { createPowerCells, createPowerRanks } from '../../../src/engine/dsp/powerRanks.ts';
import { lcgSignal } from '../../reference/lcg.ts';

function ranksOf(x: ComplexSignal, ranks: readonly number[], piece = 1000): number[] {
  const pieces: ComplexSignal[] = [];
  for (let at = 0; at < x.re.length; at += piece) {
    pieces.push({ re: x.re.slice(at, at + piece), im: x.im.slice(at, at + piece) });
  }
  const cells = createPowerCells();
  for (const one of pieces) cells.push(one);
  const finder = createPowerRanks(cells.counts, ranks);
  for (const one of pieces) finder.push(one);
  return finder.finish();
}

describe('ranks of envelope powers read twice', () => {
  const x = lcgSignal(30_011);
  const sorted = Array.from(x.re, (re, n) => re * re + x.im[n]! ** 2).sort((a, b) => b - a);

  test('are those of the sorted powers, to 2^−33 of themselves', () => {
    const ranks = [1, 2, 31, 301, 3002, 15_000, 30_011];
    const found = ranksOf(x, ranks);
    for (const [i, rank] of ranks.entries()) {
      expect(Math.abs(found[i]! / sorted[rank - 1]! - 1)).toBeLessThan(2 ** -33);
    }
  });

  test('of powers that are all alike, tiny, huge or zero', () => {
    const flat = (amplitude: number) => ({
      re: new Float64Array(500).fill(amplitude),
      im: new Float64Array(500),
    });
    for (const amplitude of [1, 3e-15, 2e15]) {
      for (const power of ranksOf(flat(amplitude), [1, 250, 500])) {
        expect(Math.abs(power / amplitude ** 2 - 1)).toBeLessThan(2 ** -32);
      }
    }
    expect(ranksOf(flat(0), [1, 500])).toEqual([0, 0]);
  });

  test('outside the record are the caller’s mistake', () => {
    expect(() => ranksOf(x, [30_012])).toThrow(RangeError);
    expect(() => ranksOf(x, [0])).toThrow(RangeError);
  });
});
