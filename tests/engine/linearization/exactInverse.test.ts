// An amplifier made as the exact inverse of a known post-distorter P: P(y) = x holds sample by sample. Indirect learning
// must return P's coefficients and leave rounding only, an improvement no hardware shows (pitfall P25).

import { describe, expect, test } from 'vitest';
import { USUAL_LEARNING } from '../../../shared/schema/predistorter.ts';
import type { LearningSettings } from '../../../shared/schema/scenario.ts';
import { levelDrive } from '../../../src/engine/amplifier/levelDrive.ts';
import {
  applyBasis,
  type BasisStructure,
  memoryPolynomialStructure,
} from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, fromPairs, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { dbToPowerRatio, powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import type { Device } from '../../../src/engine/dsp/waveformTypes.ts';
import { type LearningBench, learnIndirectly } from '../../../src/engine/linearization/indirectLearning.ts';
import { measureAclr, worstAclrDb } from '../../../src/engine/measurement/aclr.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { wholeRecord } from '../measurement/flatNoise.ts';
import { largestDifference } from '../waveform/build.ts';
import { multicarrierRecord } from './multicarrierRecord.ts';

interface PostDistorter {
  readonly structure: BasisStructure;
  readonly coefficients: ComplexSignal;
  readonly memoryDepth: number;
}

/** Expands amplitude and turns phase: its inverse compresses about 2 dB at |x| = 1. Rows of orders 1, 3, 5. */
const TAPS = [
  [
    { re: 1, im: 0 },
    { re: 0.25, im: 0.1 },
    { re: 0.2, im: -0.08 },
  ],
  [
    { re: 0.06, im: -0.04 },
    { re: -0.02, im: 0.015 },
    { re: 0.01, im: 0.01 },
  ],
  [
    { re: -0.025, im: 0.02 },
    { re: 0.008, im: 0 },
    { re: 0, im: -0.005 },
  ],
];

function postDistorter(memoryDepth: number): PostDistorter {
  const structure = memoryPolynomialStructure([1, 3, 5], memoryDepth);
  return { structure, coefficients: fromPairs(TAPS.slice(0, memoryDepth).flat()), memoryDepth };
}

/** Gain of one tap at |y|² = u. */
function tapGain(c: ComplexSignal, tap: number, u: number) {
  const at = 3 * tap;
  return {
    re: c.re[at] + u * (c.re[at + 1] + u * c.re[at + 2]),
    im: c.im[at] + u * (c.im[at + 1] + u * c.im[at + 2]),
  };
}

/** |y|² for which |y|²·|G(|y|²)|² = power, by Newton's rule; the left side rises. */
function solveEnvelope(c: ComplexSignal, power: number, start: number): number {
  let u = start;
  for (let step = 0; step < 60; step++) {
    const g = tapGain(c, 0, u);
    const slopeRe = c.re[1] + 2 * u * c.re[2];
    const slopeIm = c.im[1] + 2 * u * c.im[2];
    const g2 = g.re * g.re + g.im * g.im;
    const slope = g2 + 2 * u * (g.re * slopeRe + g.im * slopeIm);
    const next = Math.max(0, u - (u * g2 - power) / slope);
    if (Math.abs(next - u) <= 1e-16 * next) return next;
    u = next;
  }
  return u;
}

/** y with P(y) = x: y[n]·G0(|y[n]|²) = x[n] − Σ past taps; three periods, by which the start is forgotten. */
function inverseOf({ coefficients: c, memoryDepth }: PostDistorter): Device {
  return (x) => {
    const length = x.re.length;
    const y = zeros(length);
    for (let n = 0; n < 3 * length; n++) {
      const now = n % length;
      let re = x.re[now];
      let im = x.im[now];
      for (let tap = 1; tap < memoryDepth; tap++) {
        const past = (now - tap + length) % length;
        const g = tapGain(c, tap, y.re[past] ** 2 + y.im[past] ** 2);
        re -= g.re * y.re[past] - g.im * y.im[past];
        im -= g.re * y.im[past] + g.im * y.re[past];
      }
      const power = re * re + im * im;
      const g = tapGain(c, 0, solveEnvelope(c, power, 0.7 * power));
      const g2 = g.re * g.re + g.im * g.im;
      y.re[now] = (re * g.re + im * g.im) / g2;
      y.im[now] = (im * g.re - re * g.im) / g2;
    }
    return y;
  };
}

const record = (seed: number) => multicarrierRecord(8192, 1201, 1335, 8, seed);
const training = record(1);
/** Peaks at |x| = 1. */
const DRIVE = 10 ** (-8 / 20);

function benchOf(amplify: Device, wantedMeanPower: number): LearningBench {
  return {
    amplify,
    level: (device, input, startScale) => {
      const levelled = levelDrive({
        device,
        waveform: input,
        wantedMeanPower,
        maximumScale: 10,
        startScale,
        // The inverse is exact at one level only: the level must be as exact as the answer.
        toleranceDb: 1e-11,
      });
      if (levelled.kind !== 'levelled') return null;
      return {
        scale: levelled.driveScale,
        output: levelled.output,
        outputBackoffDb: -powerRatioToDb(levelled.meanPower),
      };
    },
    judge: (output) => {
      const { sampleRateHz, carriers, channels } = training;
      const { readings } = measureAclr(wholeRecord(output), sampleRateHz, carriers, channels);
      return { worstAclrDb: worstAclrDb(readings), evmPercent: null };
    },
    measureNmseDb,
  };
}

function learn(post: PostDistorter, solver: LearningSettings['solver'], passCount: number, fixedGain: boolean) {
  const amplify = inverseOf(post);
  const x = scale(training.signal, DRIVE);
  const wantedMeanPower = meanPower(amplify(x));
  const result = learnIndirectly({
    structure: polynomialRegressors(post.structure),
    settings: { ...USUAL_LEARNING, passCount, solver, driveCeilingRatio: 100 },
    training: x,
    selection: scale(record(2).signal, DRIVE),
    bench: benchOf(amplify, wantedMeanPower),
    faults: { ignoreCeiling: true, ...(fixedGain ? { fixedObservationGain: 1 } : {}) },
  });
  return { ...result, wantedMeanPower, x };
}

describe.each([
  ['memoryless', 1],
  ['recursive, with memory', 3],
] as const)('%s', (_, memoryDepth) => {
  const post = postDistorter(memoryDepth);

  // Source: definition of the device: P(y) = x.
  test('the amplifier is the inverse, and compresses', () => {
    const x = scale(training.signal, DRIVE);
    const y = inverseOf(post)(x);
    expect(largestDifference(applyBasis(post.structure, post.coefficients, y), x)).toBeLessThan(1e-14);
    expect(powerRatioToDb(meanPower(y) / meanPower(x))).toBeLessThan(-0.3);
    expect(measureNmseDb(x, y)).toBeGreaterThan(-40);
  });

  // Source: least squares on exact data inside the structure. One pass suffices when nothing is levelled. 1e-9: QR loses
  // the condition number times 1e-16, Cholesky its square.
  test.each(['qr', 'cholesky'] as const)('%s returns the coefficients, NMSE below −120 dB', (solver) => {
    const { coefficients, passes } = learn(post, solver, 1, true);
    const c = coefficients[0];
    c.re.forEach((re, i) => {
      expect(Math.hypot(re - post.coefficients.re[i], c.im[i] - post.coefficients.im[i])).toBeLessThan(1e-9);
    });
    expect(passes[0].nmseDb).toBeLessThan(-120);
    expect(passes[0].selectionNmseDb).toBeLessThan(-120);
  });

  // Source: with one least-squares gain g and levelled output P(g·v) inverts as well: coefficients c·g·|g|^(k−1), and the
  // level settles where |g|²·mean|x|² is the wanted power.
  test('with gain and level found in the loop it returns them for the scaled observation', () => {
    const { coefficients, passes, chosenPass, wantedMeanPower, x } = learn(post, 'cholesky', 6, false);
    const last = coefficients[5];
    const first = post.coefficients;
    const norm = first.re[0] ** 2 + first.im[0] ** 2;
    const g = {
      re: (last.re[0] * first.re[0] + last.im[0] * first.im[0]) / norm,
      im: (last.im[0] * first.re[0] - last.re[0] * first.im[0]) / norm,
    };
    const g2 = g.re ** 2 + g.im ** 2;
    post.structure.terms.forEach(({ nonlinearOrder }, i) => {
      const power = g2 ** ((nonlinearOrder - 1) / 2);
      expect(last.re[i]).toBeCloseTo(power * (g.re * first.re[i] - g.im * first.im[i]), 8);
      expect(last.im[i]).toBeCloseTo(power * (g.re * first.im[i] + g.im * first.re[i]), 8);
    });
    expect(powerRatioToDb((g2 * meanPower(x)) / wantedMeanPower)).toBeCloseTo(0, 8);
    expect(passes[5].nmseDb).toBeLessThan(-120);
    expect(passes[5].selectionNmseDb).toBeLessThan(-120);
    expect(chosenPass).not.toBeNull();
  });

  // Source: pitfall P25: an improvement of more than 45 dB is implausible on hardware; this is what it looks like.
  test('improves implausibly', () => {
    const { baseline, passes, chosenPass } = learn(post, 'cholesky', 2, true);
    const reached = passes[chosenPass ?? 0].worstAclrDb ?? 0;
    expect(baseline.worstAclrDb).toBeLessThan(60);
    expect(reached - (baseline.worstAclrDb ?? 0)).toBeGreaterThan(45);
    expect(dbToPowerRatio(-reached)).toBeLessThan(1e-12);
  });
});
