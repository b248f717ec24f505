import { describe, expect, test } from 'vitest';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { addScaled, type ComplexSignal, fromPairs, rotate, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { measureAmAmAmPm } from '../../../src/engine/measurement/amAmAmPm.ts';
import { randomSignal } from '../waveform/build.ts';

const ONE = { re: 1, im: 0 };
const COUNT = 1 << 17;

/** Amplitudes evenly spread in dB over [minimumDb, maximumDb], phases at random. */
function sweep(minimumDb: number, maximumDb: number): ComplexSignal {
  const random = createRandom(1, 'sweep');
  const x = zeros(COUNT);
  for (let n = 0; n < COUNT; n++) {
    const amplitude = 10 ** ((minimumDb + ((maximumDb - minimumDb) * (n + 0.5)) / COUNT) / 20);
    const phase = 2 * Math.PI * random.uniform();
    x.re[n] = amplitude * Math.cos(phase);
    x.im[n] = amplitude * Math.sin(phase);
  }
  return x;
}

/** Gain of x·(1 + a·r² + b·r⁴): 3.3 dB of compression and 15° of phase at r = 1. */
const CURVE = [
  { re: 1, im: 0 },
  { re: -0.45, im: 0.3 },
  { re: 0.15, im: -0.13 },
];

function curveAt(driveDb: number) {
  const u = 10 ** (driveDb / 10);
  const re = CURVE[0].re + CURVE[1].re * u + CURVE[2].re * u * u;
  const im = CURVE[0].im + CURVE[1].im * u + CURVE[2].im * u * u;
  return { gainDb: 20 * Math.log10(Math.hypot(re, im)), phaseDeg: (180 / Math.PI) * Math.atan2(im, re) };
}

const range = { driveMinimumDb: -30, driveMaximumDb: 0 };
const x = sweep(-30, 0);
const y = applyBasis(memoryPolynomialStructure([1, 3, 5], 1), fromPairs(CURVE), x);

describe('a static curve', () => {
  const trace = measureAmAmAmPm(x, y, { referenceGain: ONE, ...range });

  // Source: the polynomial itself, at each bin's centre. 0.01 dB and 0.1° as asked: a bin is 0.2 dB wide.
  test('comes back', () => {
    expect(trace.driveDb.length).toBe(144);
    trace.driveDb.forEach((driveDb, i) => {
      const expected = curveAt(driveDb);
      expect(Math.abs(trace.gainDb[i] - expected.gainDb)).toBeLessThan(0.01);
      expect(Math.abs(trace.phaseDeg[i] - expected.phaseDeg)).toBeLessThan(0.1);
    });
  });

  // Source: without memory and noise the gain varies within a bin by its own slope only: 0.25 dB/dB over 0.2 dB.
  test('has next to no spread', () => {
    expect(Math.max(...trace.gainSpreadDb)).toBeLessThan(0.03);
  });

  test('puts every sample into both densities, where the curve lies', () => {
    const { counts, columnCount, rowCount, xMinimum, xMaximum, yMinimum, yMaximum } = trace.gain;
    expect([columnCount * rowCount, xMinimum, xMaximum]).toEqual([counts.length, -30, 0]);
    expect(counts.reduce((sum, count) => sum + count, 0)).toBe(COUNT);
    expect(trace.phase.counts.reduce((sum, count) => sum + count, 0)).toBe(COUNT);
    const rowOf = (gainDb: number) => Math.floor(((gainDb - yMinimum) / (yMaximum - yMinimum)) * rowCount);
    for (let column = 0; column < columnCount; column++) {
      const row = rowOf(curveAt(trace.driveDb[column]).gainDb);
      const near = [row - 1, row, row + 1].reduce((sum, r) => sum + counts[r * columnCount + column], 0);
      expect(near).toBe(counts.reduce((sum, count, i) => sum + (i % columnCount === column ? count : 0), 0));
    }
  });
});

describe('the reference gain', () => {
  // Source: gain and phase are shown relative to it.
  test('is taken out of curve and densities', () => {
    const g = { re: -3, im: 4 };
    const plain = measureAmAmAmPm(x, y, { referenceGain: ONE, ...range });
    const turned = measureAmAmAmPm(x, rotate(y, g), { referenceGain: g, ...range });
    plain.gainDb.forEach((gainDb, i) => {
      expect(turned.gainDb[i]).toBeCloseTo(gainDb, 10);
      expect(turned.phaseDeg[i]).toBeCloseTo(plain.phaseDeg[i], 9);
      expect(turned.gainSpreadDb[i]).toBeCloseTo(plain.gainSpreadDb[i], 6);
    });
  });

  test('left out of the settings shows as gain and phase', () => {
    const turned = measureAmAmAmPm(x, rotate(x, { re: 0, im: 2 }), { referenceGain: ONE, ...range });
    expect(turned.gainDb[70]).toBeCloseTo(6.0206, 4);
    expect(turned.phaseDeg[70]).toBeCloseTo(90, 9);
  });
});

describe('the spread', () => {
  // Source: y = x·(1 + ε), ε complex Gaussian of variance s²: one standard deviation of the gain's radial part is s/√2.
  // Tolerance 12 %: 900 samples a bin, four standard deviations of 1/√(2·900).
  test('is one standard deviation of a known disturbance', () => {
    const s = 0.05;
    const noise = randomSignal(COUNT, createRandom(2, 'gain'));
    const disturbed = zeros(COUNT);
    for (let n = 0; n < COUNT; n++) {
      const re = 1 + s * Math.SQRT1_2 * noise.re[n];
      const im = s * Math.SQRT1_2 * noise.im[n];
      disturbed.re[n] = x.re[n] * re - x.im[n] * im;
      disturbed.im[n] = x.re[n] * im + x.im[n] * re;
    }
    const expected = 20 * Math.log10(1 + s / Math.SQRT2);
    for (const spread of measureAmAmAmPm(x, disturbed, { referenceGain: ONE, ...range }).gainSpreadDb) {
      expect(Math.abs(spread / expected - 1)).toBeLessThan(0.12);
    }
  });

  // Source: a second tap makes the gain depend on the past: y[n] = x[n] + a·x[n−1] with independent samples of unit
  // power has the spread |a|²/|x[n]|² about the gain 1.
  test('grows with memory, most at low drive', () => {
    const noise = scale(randomSignal(COUNT, createRandom(3, 'memory')), Math.SQRT1_2);
    const delayed = zeros(COUNT);
    for (let n = 1; n < COUNT; n++) {
      delayed.re[n] = noise.re[n - 1];
      delayed.im[n] = noise.im[n - 1];
    }
    const trace = measureAmAmAmPm(noise, addScaled(noise, { re: 0.05, im: 0 }, delayed), {
      referenceGain: ONE,
      driveMinimumDb: -20,
      driveMaximumDb: 10,
    });
    const at = (driveDb: number) => trace.driveDb.findIndex((value) => value > driveDb);
    const expected = (i: number) => 20 * Math.log10(1 + 0.05 / Math.SQRT2 / 10 ** (trace.driveDb[i] / 20));
    for (const driveDb of [-6, 0, 4]) {
      expect(trace.gainSpreadDb[at(driveDb)] / expected(at(driveDb))).toBeGreaterThan(0.85);
      expect(trace.gainSpreadDb[at(driveDb)] / expected(at(driveDb))).toBeLessThan(1.15);
    }
  });
});

describe('edges', () => {
  test('samples outside the range and zeros are left out', () => {
    const few = fromPairs([{ re: 0 }, { re: 1e-4 }, { re: 2 }, { re: 0.5 }]);
    const trace = measureAmAmAmPm(few, few, { referenceGain: ONE, ...range });
    expect(trace.gain.counts.reduce((sum, count) => sum + count, 0)).toBe(1);
    expect(trace.driveDb.length).toBe(0);
  });

  test('signals of unequal length are refused', () => {
    expect(() => measureAmAmAmPm(zeros(3), zeros(4), { referenceGain: ONE, ...range })).toThrow(
      /measureAmAmAmPm: signals of 3 and 4 samples/,
    );
  });
});
