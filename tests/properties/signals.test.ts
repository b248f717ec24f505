// Properties of transforms, spectra and basis functions that hold for any record. One seed, so that a failure repeats.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { accumulateNormalEquations } from '../../src/engine/basis/gram.ts';
import { applyBasis, type BasisStructure } from '../../src/engine/basis/memoryPolynomial.ts';
import { addScaled, type ComplexSignal, meanPower, rotate, zeros } from '../../src/engine/dsp/complex.ts';
import { fft, inverseFft } from '../../src/engine/dsp/fft.ts';
import { estimateSpectrum, type SpectrumOptions } from '../../src/engine/dsp/spectrum.ts';
import { holdAmplitude } from '../../src/engine/linearization/idealLimiter.ts';
import { measureNmseDb } from '../../src/engine/measurement/nmse.ts';
import { largestDifference } from '../engine/waveform/build.ts';
import { lcgSignal } from '../reference/lcg.ts';

const RUNS = { numRuns: 60, seed: 1 };

/** A record of any length; its samples follow from one number. */
const record = (least = 1, most = 400) =>
  fc
    .record({ length: fc.integer({ min: least, max: most }), seed: fc.integer({ min: 1, max: 2 ** 31 }) })
    .map(({ length, seed }) => lcgSignal(length, seed));

const gain = fc
  .record({ db: fc.double({ min: -60, max: 60, noNaN: true }), angle: fc.double({ min: 0, max: 6.28, noNaN: true }) })
  .map(({ db, angle }) => ({ re: 10 ** (db / 20) * Math.cos(angle), im: 10 ** (db / 20) * Math.sin(angle) }));

const structure: fc.Arbitrary<BasisStructure> = fc
  .uniqueArray(
    fc.record({
      delaySamples: fc.integer({ min: -3, max: 5 }),
      envelopeDelaySamples: fc.integer({ min: -3, max: 3 }),
      nonlinearOrder: fc.integer({ min: 1, max: 7 }),
    }),
    {
      minLength: 1,
      maxLength: 8,
      selector: (t) => `${t.delaySamples}/${t.envelopeDelaySamples}/${t.nonlinearOrder}`,
    },
  )
  .map((terms) => ({ terms }));

function turned(x: ComplexSignal, by: number): ComplexSignal {
  const length = x.re.length;
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    out.re[n] = x.re[(n + by) % length];
    out.im[n] = x.im[(n + by) % length];
  }
  return out;
}

// Source: linearity, Parseval and inversion of the discrete Fourier transform.
test('transforms are linear, keep the energy and invert', () => {
  fc.assert(
    fc.property(record(), fc.integer({ min: 1, max: 999 }), gain, (x, seed, g) => {
      const y = lcgSignal(x.re.length, seed);
      const together = fft(addScaled(x, g, y));
      expect(largestDifference(together, addScaled(fft(x), g, fft(y)))).toBeLessThan(1e-12);
      expect(meanPower(fft(x)) / (x.re.length * meanPower(x))).toBeCloseTo(1, 12);
      expect(largestDifference(inverseFft(fft(x)), x)).toBeLessThan(1e-13);
    }),
    RUNS,
  );
});

// Source: a power spectrum scales with |g|², whatever the phase.
test('a spectrum scales with the power of a gain', () => {
  fc.assert(
    fc.property(record(300, 600), gain, fc.constantFrom('hann', 'blackmanHarris', 'flatTop'), (x, g, window) => {
      const options: SpectrumOptions = {
        sampleRateHz: 1,
        method: 'segments',
        window,
        segmentLength: 128,
        overlapRatio: 0.5,
      };
      const plain = estimateSpectrum(x, options).power;
      const scaled = estimateSpectrum(rotate(x, g), options).power;
      plain.forEach((power, b) => {
        expect(scaled[b] / (power * (g.re ** 2 + g.im ** 2))).toBeCloseTo(1, 10);
      });
    }),
    RUNS,
  );
});

// Source: φ_i is homogeneous of order k in amplitude, and a constant phase passes through.
test('basis functions pass phase on and know when the record starts nowhere', () => {
  fc.assert(
    fc.property(record(20), structure, fc.double({ min: 0, max: 6.28, noNaN: true }), (x, s, angle) => {
      const c = lcgSignal(s.terms.length, 3);
      const y = applyBasis(s, c, x);
      const phase = { re: Math.cos(angle), im: Math.sin(angle) };
      expect(largestDifference(applyBasis(s, c, rotate(x, phase)), rotate(y, phase))).toBeLessThan(1e-12);
      const by = Math.floor(x.re.length / 3);
      expect(largestDifference(applyBasis(s, c, turned(x, by)), turned(y, by))).toBe(0);
    }),
    RUNS,
  );
});

test('basis functions of one order are homogeneous', () => {
  fc.assert(
    fc.property(record(10), fc.integer({ min: 1, max: 9 }), fc.double({ min: 0.1, max: 3, noNaN: true }), (x, k, r) => {
      const s = { terms: [{ delaySamples: 1, envelopeDelaySamples: -1, nonlinearOrder: k }] };
      const c = lcgSignal(1, 5);
      const scaled = applyBasis(s, c, rotate(x, { re: r, im: 0 }));
      expect(largestDifference(scaled, rotate(applyBasis(s, c, x), { re: r ** k, im: 0 }))).toBeLessThan(1e-12);
    }),
    RUNS,
  );
});

// Source: sums over two windows that make up the period add up to the sum over the period.
test('normal equations of two windows add up to the whole', () => {
  fc.assert(
    fc.property(record(40, 300), structure, fc.double({ min: 0.1, max: 0.9, noNaN: true }), (x, s, share) => {
      const length = x.re.length;
      const u = lcgSignal(length, 17);
      const count = Math.round(share * length);
      const start = Math.floor(length / 5);
      const whole = accumulateNormalEquations(s, x, u, 'whole');
      const one = accumulateNormalEquations(s, x, u, { startSample: start, sampleCount: count });
      const rest = { startSample: (start + count) % length, sampleCount: length - count };
      const other = accumulateNormalEquations(s, x, u, rest);
      const plus = { re: 1, im: 0 };
      expect(largestDifference(addScaled(one.gram, plus, other.gram), whole.gram)).toBeLessThan(1e-12);
      expect(largestDifference(addScaled(one.rightSide, plus, other.rightSide), whole.rightSide)).toBeLessThan(1e-11);
    }),
    RUNS,
  );
});

// Source: one complex gain is taken out: the error does not depend on the gain of the output, nor on where a record starts.
test('NMSE does not change with gain, phase and start', () => {
  fc.assert(
    fc.property(record(30), gain, (x, g) => {
      const y = addScaled(x, { re: 0.1, im: 0 }, lcgSignal(x.re.length, 9));
      const plain = measureNmseDb(x, y);
      expect(measureNmseDb(x, rotate(y, g))).toBeCloseTo(plain, 8);
      expect(measureNmseDb(turned(x, 7), turned(y, 7))).toBeCloseTo(plain, 8);
    }),
    RUNS,
  );
});

// Source: clipping is the nearest point under a peak limit: no other output within the limit is closer (F15's bound).
test('no output within the ceiling is closer than the held one', () => {
  fc.assert(
    fc.property(record(5), fc.double({ min: 0.05, max: 0.7, noNaN: true }), gain, (x, ceiling, g) => {
      const held = holdAmplitude(x, ceiling);
      const other = holdAmplitude(addScaled(held, g, lcgSignal(x.re.length, 31)), ceiling);
      const error = (y: ComplexSignal) => meanPower(addScaled(x, { re: -1, im: 0 }, y));
      expect(error(held)).toBeLessThanOrEqual(error(other) + 1e-15);
    }),
    RUNS,
  );
});
