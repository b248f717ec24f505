// The observation receiver's effects against closed forms.
import { describe, expect, test } from 'vitest';
import { CLEAR_OBSERVATION, type ObservationSettings } from '../../../shared/schema/signalPaths.ts';
import { type ComplexSignal, leastSquaresGain, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { createObservation } from '../../../src/engine/linearization/observationPath.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import checks from '../../reference/pathChecks.json' with { type: 'json' };
import { flatNoise } from '../measurement/flatNoise.ts';

/** B of LI-06, LI-07: 0.14651 cycles per sample. One cycle per sample is 1 Hz here, where nothing else is said. */
const RECORD = { length: 32768, bins: 4801 };
const band = flatNoise(1, 3, RECORD);
const observed = (settings: Partial<ObservationSettings>, sampleRateHz: number, x = band) =>
  createObservation({ ...CLEAR_OBSERVATION, ...settings }, sampleRateHz)(x);

function tone(length: number, cycles: number): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = Math.cos((2 * Math.PI * cycles * n) / length);
    x.im[n] = Math.sin((2 * Math.PI * cycles * n) / length);
  }
  return x;
}

/** Power of a record at a whole number of cycles. */
function powerAt(x: ComplexSignal, cycles: number): number {
  const length = x.re.length;
  const { re, im } = leastSquaresGain(tone(length, cycles), x);
  return re * re + im * im;
}

test('nothing set: the output itself', () => {
  expect(observed({}, 1e6)).toBe(band);
});

describe('delay error (reference check LI-07)', () => {
  // Source: LI-07, derived: 20·log10(2π·(B/√12)·τ) within 0.15 dB; the band's own second moment adds 0.1 dB.
  test.each(Object.entries(checks['LI-07'].expected))('%s samples', (samples, { formula_dB }) => {
    const sampleRateHz = 122.88e6;
    const y = observed({ delayErrorS: Number(samples) / sampleRateHz }, sampleRateHz);
    expect(Math.abs(measureNmseDb(band, y) - formula_dB)).toBeLessThan(0.25);
  });

  test('positive comes late: one whole sample', () => {
    const y = observed({ delayErrorS: 1e-6 }, 1e6);
    for (const n of [1, 500, 32767]) expect(y.re[n]).toBeCloseTo(band.re[n - 1], 10);
  });
});

describe('noise (reference check LI-01)', () => {
  // Source: LI-01: over white noise in the whole sample rate the least-squares inverse of a linear amplifier shrinks to
  // w = 1/(1 + 1/SNR).
  test.each([10, 20, 30] as const)('%d dB', (snrDb) => {
    const y = observed({ snrDb }, 1e6);
    expect(Math.abs(measureNmseDb(band, y) + snrDb)).toBeLessThan(0.1);
    const { re } = leastSquaresGain(y, band);
    expect(Math.abs(re - checks['LI-01'].expected[`${snrDb}`].w)).toBeLessThan(3e-3);
  });

  test('another output has other noise, the same one the same', () => {
    const other = flatNoise(1, 4, RECORD);
    const observe = createObservation({ ...CLEAR_OBSERVATION, snrDb: 20 }, 1e6);
    const noiseOf = (x: ComplexSignal) => observe(x).re.map((value, n) => value - x.re[n]);
    const first = noiseOf(band);
    expect(noiseOf(band)).toEqual(first);
    const second = noiseOf(other);
    const dot = first.reduce((sum, value, n) => sum + value * second[n], 0) / first.length;
    expect(Math.abs(dot)).toBeLessThan(0.02 * 0.005);
  });
});

describe('bandwidth', () => {
  test('a brick wall keeps its edge and takes the next bin', () => {
    const settings = { bandwidthHz: 2000 };
    expect(powerAt(observed(settings, 32768, tone(32768, 1000)), 1000)).toBeCloseTo(1, 10);
    expect(powerAt(observed(settings, 32768, tone(32768, -1000)), -1000)).toBeCloseTo(1, 10);
    expect(powerAt(observed(settings, 32768, tone(32768, 1001)), 1001)).toBeLessThan(1e-25);
  });

  // Source: definition of the raised-cosine edge: 1 to (1 − r)·B/2, ½ at B/2, 0 from (1 + r)·B/2 on; ½ + √2/4 at a
  // quarter of the edge.
  test.each([
    [800, 1],
    [900, 0.5 + Math.SQRT2 / 4],
    [1000, 0.5],
    [1200, 0],
  ])('a raised-cosine edge at %d of 2000 with a transition of 0.2: %f', (cycles, gain) => {
    const y = observed({ bandwidthHz: 2000, transitionRatio: 0.2 }, 32768, tone(32768, cycles));
    expect(Math.sqrt(powerAt(y, cycles))).toBeCloseTo(gain, 10);
  });

  // Source: definition, and the sign of the ripple: highest at the centre.
  test.each([
    [0, 0.25],
    [500, -0.25],
    [250, 0],
    [1000, 0.25],
  ])('ripple of 0.5 dB over 1000: at %d %f dB', (cycles, db) => {
    const y = observed({ gainRippleDb: 0.5, ripplePeriodHz: 1000 }, 32768, tone(32768, cycles));
    expect(10 * Math.log10(powerAt(y, cycles))).toBeCloseTo(db, 8);
  });
});

describe('a lower rate', () => {
  // Source: sampling theorem: a tone f beyond half the rate f′ is seen at f − f′.
  test('folds what lies beyond half of it, at full size', () => {
    const y = observed({ sampleRateHz: 8192 }, 32768, tone(32768, 5000));
    expect(powerAt(y, 5000 - 8192)).toBeCloseTo(1, 10);
    expect(powerAt(y, 5000)).toBeLessThan(1e-20);
  });

  test('gives back a band inside it, and its own filter keeps the rest from folding', () => {
    expect(measureNmseDb(band, observed({ sampleRateHz: 8192 }, 32768))).toBeLessThan(-250);
    const y = observed({ sampleRateHz: 8192, bandwidthHz: 8000 }, 32768, tone(32768, 5000));
    expect(meanPower(y)).toBeLessThan(1e-20);
  });
});

describe('converter, image and leak', () => {
  // Source: Bennett 1948, as in the transmitter's tests: 4·10^(h/10)/(12·4^b) for a full scale h dB over a rail's rms.
  test.each([8, 10])('%d bits', (converterBitCount) => {
    const expected = 10 * Math.log10((4 * 10 ** 1.3) / (12 * 4 ** converterBitCount));
    expect(Math.abs(measureNmseDb(band, observed({ converterBitCount }, 1e6)) - expected)).toBeLessThan(0.15);
  });

  // Source: definition: the conjugate of a tone at f is one at −f; the leak is at 0.
  test('each lands where it should', () => {
    const y = observed({ imageDb: -40, carrierLeakDbc: -30 }, 32768, tone(32768, 300));
    expect(10 * Math.log10(powerAt(y, -300))).toBeCloseTo(-40, 8);
    expect(10 * Math.log10(powerAt(y, 0))).toBeCloseTo(-30, 8);
    expect(powerAt(y, 300)).toBeCloseTo(1, 10);
  });
});
