// Measured points: interpolation against scipy (tests/reference/envelopePoints.py), the law that nothing overshoots
// (Fritsch and Carlson 1980), and what lies beyond both ends.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { AmplifierSettings, EnvelopePoint } from '../../../shared/schema/scenario.ts';
import { curveThrough, pointsScaleWarning } from '../../../src/engine/amplifier/envelopePoints.ts';
import { scale } from '../../../src/engine/dsp/complex.ts';
import reference from '../../reference/envelopePoints.json' with { type: 'json' };
import { amplifierOf, largestAmplitude, noise, quarryLinkAmplifier } from './settings.ts';

const DEG = 180 / Math.PI;
const dB = (ratio: number) => 20 * Math.log10(ratio);
const amplitudeOf = (dbm: number) => 10 ** (dbm / 20);
const record = { sampleRateHz: 1e8, sampleCount: 64 };

function modelOf(points: EnvelopePoint[]) {
  const model = amplifierOf({ kind: 'envelopePoints', points }, record);
  const at = (inputDbm: number) => {
    const { re, im } = model.staticOutput(amplitudeOf(inputDbm) / model.ownUnits.drive);
    return { outputDbm: dB(model.ownUnits.output * Math.hypot(re, im)), phaseDeg: DEG * Math.atan2(im, re) };
  };
  return { model, at };
}

describe('21 points', () => {
  const { model, at } = modelOf(reference.points);

  // F6 asks for 0.1 dB; a curve through the points has rounding only.
  test('the gain is that of every point', () => {
    expect(reference.points).toHaveLength(21);
    for (const point of reference.points) {
      expect(Math.abs(at(point.inputDbm).outputDbm - point.outputDbm)).toBeLessThan(1e-9);
      expect(Math.abs(at(point.inputDbm).phaseDeg - point.phaseDeg)).toBeLessThan(1e-9);
    }
  });
  test('in between it is scipy’s monotone cubic', () => {
    const curve = curveThrough(reference.points);
    for (const point of reference.at) {
      const r = amplitudeOf(point.inputDbm);
      expect(Math.abs(curve.amplitude(r) / point.amplitude - 1)).toBeLessThan(1e-12);
      expect(Math.abs(DEG * curve.phaseRad(r) - point.phaseDeg)).toBeLessThan(1e-11);
    }
  });
  // The formula that the points were read off, tests/reference/envelopePoints.py, at half-way powers.
  test('in between it is the amplifier the points came from, within 0.05 dB', () => {
    for (let dbm = -19.25; dbm < 10; dbm += 1.5) {
      const r = 10 ** ((dbm - 5) / 20);
      const gainDb = 30 + dB((1 + 0.08 * Math.exp(-(((r - 0.4) / 0.2) ** 2))) / (1 + r ** 4) ** 0.25);
      expect(Math.abs(at(dbm).outputDbm - dbm - gainDb)).toBeLessThan(0.05);
    }
  });
  test('below the first point gain and phase stay, and the gain has no kink there', () => {
    const [first] = reference.points;
    for (const dbm of [-120, -60, -30, -20]) {
      expect(at(dbm).outputDbm - dbm).toBeCloseTo(first.outputDbm - first.inputDbm, 9);
      expect(at(dbm).phaseDeg).toBeCloseTo(first.phaseDeg, 9);
    }
    const curve = curveThrough(reference.points);
    const r = amplitudeOf(first.inputDbm);
    const slope = (a: number, b: number) => (curve.amplitude(b) - curve.amplitude(a)) / (b - a);
    expect(slope(r, r * (1 + 1e-7)) / slope(r * (1 - 1e-7), r)).toBeCloseTo(1, 5);
  });
  test('beyond the last the drive is held, and the samples held are counted', () => {
    const last = reference.points.at(-1)!;
    expect(at(last.inputDbm + 20).outputDbm).toBeCloseTo(last.outputDbm, 9);
    expect(model.driveRange! * model.ownUnits.drive).toBeCloseTo(amplitudeOf(last.inputDbm), 9);
    const flat = { re: Float64Array.from({ length: 64 }, (_, n) => (n < 16 ? 1.01 : 0.99) * model.driveRange!) };
    expect(model.heldSampleRatio({ ...flat, im: new Float64Array(64) })).toBe(0.25);
  });
  test('saturated power is the largest output, and the small-signal gain is one', () => {
    const largest = Math.max(...reference.points.map((point) => point.outputDbm));
    expect(dB(model.ownUnits.output)).toBeCloseTo(largest, 9);
    expect(Math.hypot(model.smallSignalGain.re, model.smallSignalGain.im)).toBeCloseTo(1, 12);
  });
});

/** Any measurement, wild ones too: steps of 0.05 … 6 dB at the input, any output, any phase. */
const anyPoints = fc
  .array(
    fc.record({
      step: fc.double({ min: 0.05, max: 6, noNaN: true }),
      outputDbm: fc.double({ min: -10, max: 50, noNaN: true }),
      phaseDeg: fc.double({ min: -180, max: 180, noNaN: true }),
    }),
    { minLength: 3, maxLength: 30 },
  )
  .map((steps) => {
    let inputDbm = -30;
    return steps.map(({ step, outputDbm, phaseDeg }) => {
      inputDbm += step;
      return { inputDbm, outputDbm, phaseDeg };
    });
  });

/** How far a value lies outside what two others span. */
function beyond(value: number, ends: number[]): number {
  return Math.max(Math.min(...ends) - value, value - Math.max(...ends));
}

test('between two points, output and phase never leave what these two span, whatever the points', () => {
  fc.assert(
    fc.property(anyPoints, (points) => {
      const curve = curveThrough(points);
      let worst = 0;
      for (let i = 1; i < points.length; i++) {
        const [a, b] = [amplitudeOf(points[i - 1].inputDbm), amplitudeOf(points[i].inputDbm)];
        const ends = [curve.amplitude(a), curve.amplitude(b)];
        const phases = [curve.phaseRad(a), curve.phaseRad(b)];
        const rounding = 1e-12 * Math.max(...ends);
        for (let k = 1; k < 20; k++) {
          const r = a + ((b - a) * k) / 20;
          worst = Math.max(
            worst,
            beyond(curve.amplitude(r), ends) / rounding,
            beyond(curve.phaseRad(r), phases) / 1e-12,
          );
        }
        // The short way round.
        expect(Math.abs(phases[1] - phases[0])).toBeLessThanOrEqual(Math.PI + 1e-9);
      }
      expect(worst).toBeLessThanOrEqual(1);
    }),
    { seed: 5, numRuns: 300 },
  );
});

test('rising points give a rising curve', () => {
  const rising = anyPoints.map((points) => {
    let outputDbm = 0;
    return points.map((point) => {
      outputDbm += 0.01 + (point.outputDbm + 10) / 20;
      return { ...point, outputDbm };
    });
  });
  fc.assert(
    fc.property(rising, (points) => {
      const curve = curveThrough(points);
      const end = amplitudeOf(points.at(-1)!.inputDbm);
      let before = 0;
      let falls = 0;
      for (let k = 1; k <= 400; k++) {
        const y = curve.amplitude((end * k) / 400);
        if (!(y >= before - 1e-12 * y)) falls++;
        before = y;
      }
      expect(falls).toBe(0);
    }),
    { seed: 6, numRuns: 200 },
  );
});

test('|y| never exceeds the bound, for any points and any drive (pitfall P5)', () => {
  fc.assert(
    fc.property(anyPoints, fc.double({ min: -40, max: 60, noNaN: true }), fc.nat(1e6), (points, driveDb, seed) => {
      const { model } = modelOf(points);
      const y = model.amplify(scale(noise(64, 1, seed), 10 ** (driveDb / 20)));
      expect(largestAmplitude(y)).toBeLessThanOrEqual(model.outputBound!);
    }),
    { seed: 7, numRuns: 200 },
  );
});

test('a power scale that is not that of the points is told', () => {
  const points = reference.points;
  const largest = Math.max(...points.map((point) => point.outputDbm));
  const gainDb = points[0].outputDbm - points[0].inputDbm;
  const amplifier: AmplifierSettings = {
    ...quarryLinkAmplifier(),
    model: { kind: 'envelopePoints', points },
    saturatedPowerDbm: largest + 0.05,
    gainDb,
  };
  expect(pointsScaleWarning(amplifier)).toBeNull();
  expect(pointsScaleWarning({ ...amplifier, saturatedPowerDbm: null })).toBeNull();
  expect(pointsScaleWarning({ ...amplifier, gainDb: gainDb - 1 })?.code).toBe('points-scale-differs');
  const { message } = pointsScaleWarning({ ...amplifier, saturatedPowerDbm: 45.5 })!;
  expect(message).toContain(`${largest.toFixed(2)} dBm`);
  expect(message).toContain('45.50 dBm');
});
