import { describe, expect, test } from 'vitest';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import type { ComplexSignal } from '../../../src/engine/dsp/complex.ts';
import { fitPostInverse } from '../../../src/engine/linearization/postInverse.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import {
  type DingReading,
  dingAmplifier,
  dingCoefficients,
  dingDrive,
  dingStructure,
  learnDing,
  readDing,
} from './dingBench.ts';

describe('DI-01: the amplifier itself is identified', () => {
  // Source: identity: noiseless data of a model inside the structure return its coefficients (Ding et al. 2004, the nine
  // published ones). 1e-8 absolute, as the check asks, by QR and by column-scaled Cholesky.
  test.each(['qr', 'cholesky'] as const)('by %s', (solver) => {
    const x = dingDrive(0.5);
    const fit = fitPostInverse({
      structure: polynomialRegressors(dingStructure),
      observation: x,
      target: dingAmplifier(x),
      window: 'whole',
      ridge: 0,
      solver,
    });
    const c = fit?.coefficients as ComplexSignal;
    dingStructure.terms.forEach(({ delaySamples, nonlinearOrder }, i) => {
      const printed = checks['DI-01'].expected[`${nonlinearOrder},${delaySamples}` as '1,0'];
      expect([dingCoefficients.re[i], dingCoefficients.im[i]]).toEqual([printed.re, printed.im]);
      expect(Math.hypot(c.re[i] - printed.re, c.im[i] - printed.im)).toBeLessThan(1e-8);
    });
    expect(fit?.residualDb).toBeLessThan(-200);
  });
});

/** "K=7,Q=2" or "all orders 1..5,Q=2"; Q is the memory depth less one. */
function structureOf(name: string) {
  const highest = Number(name.match(/K=(\d+)/)?.[1] ?? name.match(/\.\.(\d+)/)?.[1]);
  const orders = Array.from({ length: highest }, (_, i) => i + 1);
  const memoryDepth = Number(name.match(/Q=(\d+)/)?.[1]) + 1;
  return memoryPolynomialStructure(name.startsWith('K') ? orders.filter((k) => k & 1) : orders, memoryDepth);
}

const learned = new Map<string, DingReading>();

/** The reading after four passes, learned once. */
function afterFourPasses(level: string, name: string): DingReading {
  const key = `${level} ${name}`;
  const reading = learned.get(key) ?? learnDing(structureOf(name), driveOf(level), 4)[3];
  learned.set(key, reading);
  return reading;
}

function driveOf(level: string): ComplexSignal {
  return dingDrive(Number(level.slice('peak|x|='.length)));
}

// Source: DI-02, simulated with numpy on a record of its own seed (Ding's amplifier, order K, memory Q). Before
// correction ±0.8 dB, as stated there. After it the check allows 3 dB; 1.5 dB is what another seed takes.
describe.each(Object.entries(checks['DI-02'].expected))('DI-02: %s', (level, { before, after }) => {
  test('before', () => {
    const x = driveOf(level);
    const reading = readDing(x, dingAmplifier(x));
    expect(Math.abs(reading.lowerDb - before.ACLR1_L)).toBeLessThan(0.8);
    expect(Math.abs(reading.upperDb - before.ACLR1_U)).toBeLessThan(0.8);
    expect(Math.abs(reading.nmseDb - before.NMSE_dB)).toBeLessThan(0.8);
  });

  test.each(Object.entries(after))('after four passes: %s', (name, expected) => {
    const reading = afterFourPasses(level, name);
    expect(reading.lowerDb).toBeGreaterThan(expected.ACLR1_L - 1.5);
    expect(reading.upperDb).toBeGreaterThan(expected.ACLR1_U - 1.5);
    expect(reading.nmseDb).toBeLessThan(expected.NMSE_dB + 1.5);
  });

  // "Ordering in K and Q must hold": every structure inside another one has the larger error, wherever the check's own
  // two differ by more than the 1 dB that seeds take.
  test('a larger structure leaves a smaller error', () => {
    const names = Object.keys(after).filter((name) => name.startsWith('K')) as (keyof typeof after)[];
    const size = (name: string) => [...name.matchAll(/\d+/g)].map(Number);
    let compared = 0;
    for (const small of names) {
      for (const large of names) {
        const [k, q] = size(small);
        const [otherK, otherQ] = size(large);
        if (small === large || k > otherK || q > otherQ) continue;
        if (after[large].NMSE_dB > after[small].NMSE_dB - 1) continue;
        expect(afterFourPasses(level, large).nmseDb).toBeLessThan(afterFourPasses(level, small).nmseDb);
        compared++;
      }
    }
    expect(compared).toBeGreaterThan(50);
  });
});

// Source: DI-03, K = 7, Q = 2 at peak 0.5: error and ACLR pass by pass; "monotone to within 1 dB; first iteration already
// ≥ 15 dB better than none".
describe('DI-03: convergence', () => {
  const x = dingDrive(0.5);
  const readings = learnDing(memoryPolynomialStructure([1, 3, 5, 7], 3), x, 8);

  test.each(Object.entries(checks['DI-03'].expected))('pass %s', (pass, expected) => {
    const reading = readings[Number(pass) - 1];
    expect(Math.abs(reading.nmseDb - expected.NMSE_dB)).toBeLessThan(1.5);
    expect(Math.abs(reading.lowerDb - expected.ACLR1_L)).toBeLessThan(1.5);
    expect(Math.abs(reading.upperDb - expected.ACLR1_U)).toBeLessThan(1.5);
  });

  test('is monotone within 1 dB, and the first pass gains 15 dB or more', () => {
    for (let pass = 1; pass < readings.length; pass++) {
      expect(readings[pass].nmseDb).toBeLessThan(readings[pass - 1].nmseDb + 1);
    }
    const none = readDing(x, dingAmplifier(x));
    expect(readings[0].nmseDb).toBeLessThan(none.nmseDb - 15);
    expect(Math.min(readings[0].lowerDb, readings[0].upperDb)).toBeGreaterThan(
      Math.min(none.lowerDb, none.upperDb) + 15,
    );
  });

  test('has settled after four passes', () => {
    expect(Math.abs(readings[7].nmseDb - readings[3].nmseDb)).toBeLessThan(0.01);
  });
});
