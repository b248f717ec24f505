// Properties of fits, readings and the whole pipeline that hold for any amplifier. One seed, so that a failure repeats.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { applyBasis, memoryPolynomialStructure } from '../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../src/engine/basis/regressors.ts';
import { type ComplexSignal, fromPairs, leastSquaresGain, rotate, scale } from '../../src/engine/dsp/complex.ts';
import { fitPostInverse } from '../../src/engine/linearization/postInverse.ts';
import { measureAclr } from '../../src/engine/measurement/aclr.ts';
import { runScenario } from '../../src/engine/simulation/runScenario.ts';
import { multicarrierRecord } from '../engine/linearization/multicarrierRecord.ts';
import { wholeRecord } from '../engine/measurement/flatNoise.ts';

const record = multicarrierRecord(4096, 601, 667, 8, 1);
const x = scale(record.signal, 0.3);

/** Readings end here: what is smaller is within 1e-6 dB of rounding in the transform or the fit. */
const ROUNDING_DB = 150;

const part = fc.double({ min: -1, max: 1, noNaN: true });
const complex = fc.record({ re: part, im: part });

/** A memory polynomial that is linear in the main: orders 1, 3, 5 and two taps. */
const amplifier = fc.array(complex, { minLength: 6, maxLength: 6 }).map((c) => {
  const sizes = [0.2, 0.3, 0.1, 0.1, 0.05, 0.02];
  const coefficients = c.map(({ re, im }, i) => ({ re: sizes[i] * re + (i === 0 ? 1 : 0), im: sizes[i] * im }));
  return (drive: ComplexSignal) => applyBasis(memoryPolynomialStructure([1, 3, 5], 2), fromPairs(coefficients), drive);
});

function aclrDb(y: ComplexSignal): number[] {
  const { sampleRateHz, carriers, channels } = record;
  const { readings } = measureAclr(wholeRecord(y), sampleRateHz, carriers, channels);
  return readings.map((reading) => Math.min(reading.aclrDb, ROUNDING_DB));
}

function observed(y: ComplexSignal): ComplexSignal {
  const g = leastSquaresGain(x, y);
  const power = g.re ** 2 + g.im ** 2;
  return rotate(y, { re: g.re / power, im: -g.im / power });
}

function postInverse(orders: readonly number[], memoryDepth: number, observation: ComplexSignal) {
  const structure = memoryPolynomialStructure(orders, memoryDepth);
  return fitPostInverse({
    structure: polynomialRegressors(structure),
    observation,
    target: x,
    window: 'whole',
    ridge: 0,
    solver: 'cholesky',
  });
}

// Source: ratios of powers.
test('ACLR does not change with gain and phase of the output', () => {
  fc.assert(
    fc.property(amplifier, complex, (amplify, g) => {
      fc.pre(Math.hypot(g.re, g.im) > 1e-3);
      const y = amplify(x);
      const plain = aclrDb(y);
      aclrDb(rotate(y, g)).forEach((db, i) => {
        expect(db).toBeCloseTo(plain[i], 6);
      });
    }),
    { numRuns: 20, seed: 1 },
  );
});

// Source: the spectrum of a conjugate is mirrored: lower and upper side change places.
test('a mirrored spectrum swaps the sides', () => {
  fc.assert(
    fc.property(amplifier, (amplify) => {
      const y = amplify(x);
      const [lower, upper, farLower, farUpper] = aclrDb(y);
      const mirrored = aclrDb({ re: y.re, im: y.im.map((value) => -value) });
      [upper, lower, farUpper, farLower].forEach((db, i) => {
        expect(mirrored[i]).toBeCloseTo(db, 6);
      });
    }),
    { numRuns: 20, seed: 1 },
  );
});

// Source: least squares over nested sets of functions. 1e-6 dB: rounding of the fit.
test('another order or tap never raises the residual on the training record', () => {
  fc.assert(
    fc.property(amplifier, (amplify) => {
      const observation = observed(amplify(x));
      const sizes: [number[], number][] = [
        [[1], 1],
        [[1, 3], 1],
        [[1, 3, 5], 1],
        [[1, 3, 5], 2],
        [[1, 3, 5, 7], 2],
        [[1, 3, 5, 7, 9], 2],
        [[1, 3, 5, 7, 9], 3],
      ];
      let before = Infinity;
      for (const [orders, memoryDepth] of sizes) {
        const residual = Math.max(
          postInverse(orders, memoryDepth, observation)?.residualDb ?? Number.NaN,
          -ROUNDING_DB,
        );
        expect(residual).toBeLessThanOrEqual(before + 1e-6);
        before = residual;
      }
    }),
    { numRuns: 20, seed: 1 },
  );
});

// Source: an amplifier that only scales and turns needs no correction: coefficients 1, 0, 0 … Tolerance: condition
// squared times 1e-16 for the structures here.
test('the predistorter of a linear amplifier is the identity', () => {
  fc.assert(
    fc.property(complex, fc.integer({ min: 1, max: 3 }), fc.integer({ min: 1, max: 4 }), (g, memoryDepth, count) => {
      fc.pre(Math.hypot(g.re, g.im) > 1e-2);
      const orders = [1, 3, 5, 7].slice(0, count);
      const found = postInverse(orders, memoryDepth, observed(rotate(x, g)));
      const c = found?.coefficients as ComplexSignal;
      const predistorted = applyBasis(memoryPolynomialStructure(orders, memoryDepth), c, x);
      expect(found?.residualDb).toBeLessThan(-180);
      for (let n = 0; n < x.re.length; n += 37) {
        expect(predistorted.re[n]).toBeCloseTo(x.re[n], 9);
        expect(predistorted.im[n]).toBeCloseTo(x.im[n], 9);
      }
    }),
    { numRuns: 30, seed: 1 },
  );
});

// Source: an amplifier of one linear coefficient changes no ratio: its ACLR is the waveform's own, EVM is none but the
// shaping's, and the predistorter learned for it leaves both alone.
test('an identity amplifier shows the waveform’s own figures, corrected or not', () => {
  const scenario = fc.record({
    modulation: fc.constantFrom('QPSK', '64QAM', '1024QAM'),
    channelBandwidthHz: fc.constantFrom(3e6, 5e6),
    seed: fc.integer({ min: 1, max: 1000 }),
    outputBackoffDb: fc.double({ min: 12, max: 20, noNaN: true }),
    phase: fc.double({ min: 0, max: 6.28, noNaN: true }),
  });
  fc.assert(
    fc.property(scenario, ({ modulation, channelBandwidthHz, seed, outputBackoffDb, phase }) => {
      const carrier = { kind: 'ofdm', standard: 'lte', subcarrierSpacingHz: 15e3, channelBandwidthHz, modulation };
      const outcome = runScenario({
        ...quarryLink,
        waveform: { carriers: [carrier], symbolCount: 12 },
        amplifier: {
          model: {
            kind: 'memoryPolynomial',
            modelRateHz: 'any',
            nonlinearOrders: [1],
            memoryDepth: 1,
            coefficients: [{ re: Math.cos(phase), im: Math.sin(phase) }],
            driveRange: 4,
            saturatedAmplitude: 1,
          },
          saturatedPowerDbm: 40,
          gainDb: 30,
        },
        operatingPoint: { outputBackoffDb },
        predistorter: { nonlinearOrders: [1, 3, 5], memoryDepth: 2, learning: { passCount: 1 } },
        seeds: { judging: seed, training: seed + 1, selection: seed + 2 },
      });
      if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
      const { waveform, uncorrected, corrected } = outcome.report;
      for (const output of [uncorrected, corrected]) {
        waveform.aclr.forEach(({ aclrDb: own }, i) => {
          expect(output?.aclr[i].aclrDb).toBeCloseTo(own, 4);
        });
        expect(output?.evm?.rmsPercent).toBeLessThan(0.5);
        expect(output?.peakToAverageDb).toBeCloseTo(waveform.peakToAverageDb, 6);
      }
      expect(uncorrected.nmseDb).toBeLessThan(-200);
    }),
    { numRuns: 6, seed: 1 },
  );
});
