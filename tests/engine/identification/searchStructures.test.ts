import { describe, expect, test } from 'vitest';
import { applyBasis, type BasisTerm } from '../../../src/engine/basis/memoryPolynomial.ts';
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { addScaled, type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { candidateStructures } from '../../../src/engine/identification/candidateStructures.ts';
import { measureLoopWidth } from '../../../src/engine/identification/loopWidth.ts';
import { readNoiseFloor } from '../../../src/engine/identification/noiseFloor.ts';
import { gather, partRoundPeak, splitSamples } from '../../../src/engine/identification/samplePart.ts';
import { bestOf, searchStructures } from '../../../src/engine/identification/searchStructures.ts';
import { flatBand, staticCurve } from './syntheticPair.ts';

const LENGTH = 16384;
const LIMITS = { highestOrder: 7, memoryDepth: 4, crossReachSamples: 1, coefficientCount: 200 };

function noise(length: number, power: number, random: Random): ComplexSignal {
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    out.re[n] = Math.sqrt(power / 2) * random.normal();
    out.im[n] = Math.sqrt(power / 2) * random.normal();
  }
  return out;
}

const ONE = { re: 1, im: 0 };

interface KnownTerm extends BasisTerm {
  readonly re: number;
  readonly im: number;
}

function searched(terms: readonly KnownTerm[], snrDb: number) {
  const random = createRandom(1, 'search');
  const x = flatBand(LENGTH, 1800, 0.08, random);
  const c = { re: Float64Array.from(terms.map(({ re }) => re)), im: Float64Array.from(terms.map(({ im }) => im)) };
  const f = applyBasis({ terms }, c, x);
  const y = addScaled(f, ONE, noise(LENGTH, meanPower(f) * 10 ** (-snrDb / 10), random));
  return searchStructures(candidateStructures(LIMITS), x, y, splitSamples(0, LENGTH, 10))!;
}

const term = (delaySamples: number, envelopeDelaySamples: number, nonlinearOrder: number, re: number, im: number) => ({
  delaySamples,
  envelopeDelaySamples,
  nonlinearOrder,
  re,
  im,
});

const DIAGONAL = [
  term(0, 0, 1, 1, 0),
  term(0, 0, 3, -0.5, 0.2),
  term(0, 0, 5, 0.1, -0.05),
  term(1, 0, 1, -0.2, 0.05),
  term(1, 0, 3, 0.15, 0.1),
  term(1, 0, 5, -0.1, 0.06),
];

describe('the structure search', () => {
  test('finds a memory polynomial of order 5 and depth 2 under noise, and nothing more', () => {
    const { chosen } = searched(DIAGONAL, 50);
    expect(chosen.structure.nonlinearOrders).toEqual([1, 3, 5]);
    expect(chosen.structure).toMatchObject({ memoryDepth: 2, leadSamples: 0, cross: null });
    // The residual is the noise: −50 dB; 16384 samples tell it within 0.1 dB, six coefficients take 0.003 dB of it.
    expect(Math.abs(chosen.heldOutNmseDb + 50)).toBeLessThan(0.15);
    // Standard errors: noise of −50 dB over 8192 samples moves a coefficient by about 1e-3 of it and the basis' condition.
    chosen.structure.terms.forEach((found, i) => {
      const wanted = DIAGONAL.find(
        (one) => one.delaySamples === found.delaySamples && one.nonlinearOrder === found.nonlinearOrder,
      )!;
      expect(Math.abs(chosen.coefficients.re[i] - wanted.re)).toBeLessThan(0.02);
      expect(Math.abs(chosen.coefficients.im[i] - wanted.im)).toBeLessThan(0.02);
    });
  });

  test('takes cross terms where the amplifier has them', () => {
    const { chosen, tried } = searched([...DIAGONAL, term(0, 1, 3, 0.2, -0.1), term(1, -1, 3, -0.1, 0.1)], 50);
    expect(chosen.structure.cross).toMatchObject({ reachSamples: 1 });
    expect(Math.abs(chosen.heldOutNmseDb + 50)).toBeLessThan(0.15);
    expect(bestOf(tried, ({ cross }) => cross === null)!.heldOutNmseDb).toBeGreaterThan(-45);
  });

  test('takes even orders where the amplifier has them', () => {
    const { chosen } = searched([...DIAGONAL, term(0, 0, 2, 0.2, -0.2)], 55);
    expect(chosen.structure.nonlinearOrders).toContain(2);
    expect(Math.abs(chosen.heldOutNmseDb + 55)).toBeLessThan(0.15);
  });

  test('errors by normal equations are those of the samples', () => {
    const random = createRandom(2, 'direct');
    const x = flatBand(LENGTH, 1800, 0.08, random);
    const f = staticCurve(delayPeriodic(x, 0.4));
    const y = addScaled(f, ONE, noise(LENGTH, 1e-6, random));
    const split = splitSamples(0, LENGTH, 10);
    const { chosen } = searchStructures(candidateStructures(LIMITS), x, y, split)!;
    const model = applyBasis(chosen.structure, chosen.coefficients, x);
    const error = addScaled(y, { re: -1, im: 0 }, model);
    for (const part of ['training', 'heldOut'] as const) {
      const direct = meanPower(gather(error, split[part])) / meanPower(gather(y, split[part]));
      const stated = part === 'training' ? chosen.trainingNmseDb : chosen.heldOutNmseDb;
      expect(stated).toBeCloseTo(10 * Math.log10(direct), 6);
    }
  });
});

test('fitted and held-out samples keep their distance, and cover the record', () => {
  const { training, heldOut } = splitSamples(100, 1700, 7);
  const taken = new Set(
    training.flatMap(({ startSample, sampleCount }) => Array.from({ length: sampleCount }, (_, i) => startSample + i)),
  );
  for (const { startSample, sampleCount } of heldOut) {
    for (let n = startSample - 7; n < startSample + sampleCount + 7; n++) expect(taken.has(n)).toBe(false);
  }
  expect(taken.size).toBe(800);
  expect(() => splitSamples(0, 160, 5)).toThrow(RangeError);
});

test('a part of a long record holds its largest drive', () => {
  const x = flatBand(4096, 300, 1, createRandom(11, 'part'));
  const powers = Array.from(x.re, (re, n) => re * re + x.im[n] * x.im[n]);
  const top = powers.indexOf(Math.max(...powers));
  const [from, to] = partRoundPeak(x, 0, 4096, 512);
  expect(to - from).toBe(512);
  expect(from).toBeLessThanOrEqual(top);
  expect(to).toBeGreaterThan(top);
  expect(partRoundPeak(x, 100, 400, 512)).toEqual([100, 400]);
});

test('white noise is told from a model error in band, within 0.3 dB', () => {
  const random = createRandom(5, 'floor');
  const x = flatBand(LENGTH, 600, 1, random);
  const error = flatBand(LENGTH, 1800, 10 ** -4.2, random); // products of order 3, louder than the noise
  const residual = addScaled(error, ONE, noise(LENGTH, 10 ** -4.8, random));
  const reading = readNoiseFloor(residual, x, 122.88e6)!;
  // The median of 3277 bins is known to 1/√3277/ln 2 = 2.5 %, 0.11 dB.
  expect(Math.abs(10 * Math.log10(reading.noiseRatio) + 48)).toBeLessThan(0.3);
  expect(readNoiseFloor(residual, flatBand(LENGTH, 3000, 1, random), 122.88e6)).toBeNull();
});

describe('loop width (P36)', () => {
  const x = flatBand(LENGTH, 1800, 0.08, createRandom(6, 'loop'));

  test('a static amplifier has no width once aligned, one sample of delay gives it a wide one', () => {
    const y = staticCurve(x);
    const aligned = measureLoopWidth(x, y);
    const late = measureLoopWidth(x, delayPeriodic(y, 1));
    // What the curve's slope inside a bin of 1/64 leaves.
    expect(aligned.gainDb).toBeLessThan(0.02);
    expect(aligned.phaseDeg).toBeLessThan(0.1);
    // A delay of one sample turns by 2π·f a sample: over a flat band of ±0.11 cycles the rms is 2π·0.11/√3 = 0.40 rad.
    expect(late.phaseDeg).toBeGreaterThan(8);
    expect(late.gainDb).toBeGreaterThan(1);
  });

  test('is the noise of the gain: −30 dB of error is 1.28° and 0.19 dB where all samples have one amplitude', () => {
    const random = createRandom(8, 'circle');
    const circle = zeros(LENGTH);
    for (let n = 0; n < LENGTH; n++) {
      const angle = 2 * Math.PI * random.uniform();
      circle.re[n] = Math.cos(angle);
      circle.im[n] = Math.sin(angle);
    }
    const { gainDb, phaseDeg } = measureLoopWidth(circle, addScaled(circle, ONE, noise(LENGTH, 1e-3, random)));
    expect(phaseDeg).toBeCloseTo((180 / Math.PI) * Math.sqrt(5e-4), 1);
    expect(gainDb).toBeCloseTo(20 * Math.log10(1 + Math.sqrt(5e-4)), 2);
  });
});
