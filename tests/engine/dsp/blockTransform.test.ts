import { expect, test } from 'vitest';
import { blockTransform } from '../../../src/engine/dsp/blockTransform.ts';
import { zeros } from '../../../src/engine/dsp/complex.ts';
import { exceededPower } from '../../../src/engine/dsp/exceedance.ts';
import { shiftByCycles } from '../../../src/engine/dsp/frequencyShift.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { largestDifference, randomSignal } from '../waveform/build.ts';

test('blockTransform equals its definition, wrapped blocks and negative bins included', () => {
  const x = randomSignal(90, createRandom(3));
  const bins = Int32Array.of(-8, -3, 0, 1, 7);
  const layout = { blockLength: 16, start: -5, spacing: 40, blockCount: 3, bins, phaseOrigin: 6 };
  const expected = zeros(15);
  for (let s = 0; s < 3; s++) {
    for (let i = 0; i < bins.length; i++) {
      for (let n = 0; n < 16; n++) {
        const at = (-5 + s * 40 + n + 90) % 90;
        const angle = (-2 * Math.PI * bins[i] * (n - 6)) / 16;
        const [c, d] = [Math.cos(angle) / 4, Math.sin(angle) / 4];
        expected.re[s * 5 + i] += x.re[at] * c - x.im[at] * d;
        expected.im[s * 5 + i] += x.re[at] * d + x.im[at] * c;
      }
    }
  }
  expect(largestDifference(blockTransform(x, layout), expected)).toBeLessThan(1e-13);
});

test('blockTransform refuses a length that is no power of two and a bin outside it', () => {
  const layout = { start: 0, spacing: 20, blockCount: 1, bins: Int32Array.of(8), phaseOrigin: 0 };
  expect(() => blockTransform(zeros(40), { ...layout, blockLength: 20 })).toThrow(/20/);
  expect(() => blockTransform(zeros(40), { ...layout, blockLength: 16 })).toThrow(/bin 8/);
});

test('shiftByCycles multiplies by whole turns and comes back', () => {
  const x = randomSignal(101, createRandom(4));
  const up = shiftByCycles(x, 13);
  const angle = (2 * Math.PI * 13 * 7) / 101;
  expect(up.re[7]).toBeCloseTo(x.re[7] * Math.cos(angle) - x.im[7] * Math.sin(angle), 12);
  expect(largestDifference(shiftByCycles(up, -13), x)).toBeLessThan(1e-14);
  expect(() => shiftByCycles(x, 0.5)).toThrow(/0\.5/);
});

test('exceededPower is the sorted sample of that rank, and null when too few lie beyond', () => {
  const x = randomSignal(5000, createRandom(8));
  const sorted = Array.from(x.re, (re, n) => re * re + x.im[n] * x.im[n]).sort((a, b) => b - a);
  for (const beyond of [10, 37, 2500, 4999]) {
    expect(exceededPower(x, (beyond + 0.5) / 5000)).toBe(sorted[beyond]);
  }
  expect(exceededPower(x, 9.9 / 5000)).toBeNull();
  expect(() => exceededPower(x, 0)).toThrow(/0/);
});
