import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cwCharacteristics } from '../../../src/engine/amplifier/cwCharacteristics.ts';
import { type ComplexSignal, fromPairs, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import checks from '../../reference/amplifierChecks.json' with { type: 'json' };
import golden from '../../reference/referenceAmplifier.json' with { type: 'json' };
import {
  amplifierOf,
  issuesOf,
  largestAmplitude,
  largestDifference,
  noise,
  plainKnee,
  quarryLinkAmplifier,
} from './settings.ts';

describe('against an independent numpy transcription of the formula', () => {
  test('the golden file holds the preset’s amplifier', () => {
    const { model } = quarryLinkAmplifier();
    const { rateHz, ...settings } = golden.cases[0].settings;
    expect(model).toEqual({ kind: 'filterNonlinearityFilter', modelRateHz: rateHz, ...settings });
  });

  test.each(golden.cases.map((entry) => [entry.name, entry] as const))('%s', (_, { settings, drive, output }) => {
    const { rateHz, ...rest } = settings;
    expect(drive).toHaveLength(80);
    const model = amplifierOf(
      { kind: 'filterNonlinearityFilter', modelRateHz: 'any', ...rest },
      { sampleRateHz: rateHz, sampleCount: drive.length },
    );
    // Rounding of some twenty operations on values up to 5.
    expect(largestDifference(model.amplify(fromPairs(drive)), fromPairs(output))).toBeLessThan(1e-13);
  });
});

describe('the Rapp model', () => {
  /** r·(1 + r^2p)^(−1/2p), as Rapp 1991 writes it. */
  const rapp = (r: number, p: number) => r * (1 + r ** (2 * p)) ** (-1 / (2 * p));

  test.each([0.2, 0.5, 1, 1.1, 2, 3, 7.9, 8.1, 50])('with one tap and no AM/PM, knee %d', (p) => {
    const x = zeros(600);
    for (let n = 0; n < 600; n++) {
      const r = n === 0 ? 0 : 10 ** (-6 + 8 * (n / 600));
      x.re[n] = r * Math.cos(n);
      x.im[n] = r * Math.sin(n);
    }
    const model = amplifierOf({ ...plainKnee, kneeSharpness: p }, { sampleRateHz: 1e6, sampleCount: 600 });
    const y = model.amplify(x);
    for (let n = 0; n < 600; n++) {
      const r = n === 0 ? 0 : 10 ** (-6 + 8 * (n / 600));
      // r^2p overflows in the textbook form above about 1e150.
      const expected = 2 * p * Math.log10(Math.max(r, 1)) > 150 ? 1 : rapp(r, p);
      expect(Math.abs(y.re[n] - expected * Math.cos(n))).toBeLessThanOrEqual(1e-12);
      expect(Math.abs(y.im[n] - expected * Math.sin(n))).toBeLessThanOrEqual(1e-12);
      expect(Math.abs(model.staticOutput(r).re - expected)).toBeLessThanOrEqual(1e-12);
    }
  });

  // PA-02, closed forms: output at 1 dB compression and gain at r = 1.
  test.each(Object.entries(checks['PA-02'].expected).filter(([p]) => Number(p) < 10))('PA-02 at p = %s', (p, point) => {
    const model = amplifierOf({ ...plainKnee, kneeSharpness: Number(p) }, { sampleRateHz: 1e6, sampleCount: 16 });
    const { outputAtOneDbCompressionDb, smallSignalGainDb } = cwCharacteristics(model, 1e3);
    expect(smallSignalGainDb).toBe(0);
    expect(Math.abs((outputAtOneDbCompressionDb ?? 99) - point.OP1dB_re_Psat_dB)).toBeLessThan(1e-6);
  });
});

describe('the reference amplifier’s CW figures (product notes, reference bench)', () => {
  const model = amplifierOf(quarryLinkAmplifier().model, { sampleRateHz: 122.88e6, sampleCount: 64 });
  const wide = cwCharacteristics(model, 1e5);
  const ceiling = cwCharacteristics(model, 2.2);

  // Printed to one decimal of a dB (16.7, 8.8) or two (0.18, 1.43, 6.65): half the last digit.
  test('|y| = 1 lies 16.7 dB into compression', () => {
    expect(wide.saturation.reached).toBe(true);
    expect(Math.abs(wide.saturation.compressionDb - 16.7)).toBeLessThan(0.05);
    expect(wide.saturation.outputDb).toBeCloseTo(0, 9);
  });
  test('the CW asymptote is +0.18 dB', () => {
    expect(Math.abs(wide.cwSaturationDb - 0.18)).toBeLessThan(0.005);
  });
  test('the drive ceiling 2.2 is 8.8 dB of compression, 1.43 dB below |y| = 1', () => {
    expect(ceiling.saturation.reached).toBe(false);
    expect(ceiling.saturation.driveAmplitude).toBeCloseTo(2.2, 6);
    expect(Math.abs(ceiling.saturation.compressionDb - 8.8)).toBeLessThan(0.05);
    expect(Math.abs(ceiling.saturation.outputDb + 1.43)).toBeLessThan(0.005);
    expect(ceiling.saturation).toMatchObject(ceiling.atMaximumDrive);
  });
  test('1 dB compression lies 6.65 dB below |y| = 1', () => {
    expect(Math.abs((wide.outputAtOneDbCompressionDb ?? 0) + 6.65)).toBeLessThan(0.005);
  });
  test('a constant drive through the whole chain gives the static output', () => {
    for (const amplitude of [1e-3, 0.4, 1.9, 2.2, 30]) {
      const drive = { re: new Float64Array(64).fill(amplitude), im: new Float64Array(64) };
      const y = model.amplify(drive);
      const { re, im } = model.staticOutput(amplitude);
      // Rounding, on outputs near 1.
      expect(
        largestDifference(y, { re: new Float64Array(64).fill(re), im: new Float64Array(64).fill(im) }),
      ).toBeLessThan(1e-13);
    }
  });
});

describe('what the amplifier can never do (pitfall P5)', () => {
  const tapPart = fc.double({ min: -1, max: 1, noNaN: true });
  const sum = (taps: { re: number; im: number }[], part: 're' | 'im') =>
    taps.reduce((total, tap) => total + tap[part], 0);
  const settingsAndDrive = fc.record({
    p: fc.double({ min: 0.2, max: 50, noNaN: true }),
    depth: fc.double({ min: 0, max: 0.2, noNaN: true }),
    timeConstantS: fc.constantFrom(0, 1e-8, 1e-6, 1e-3),
    amPmDeg: fc.integer({ min: -90, max: 90 }),
    taps: fc
      .array(fc.record({ re: tapPart, im: tapPart }), { minLength: 1, maxLength: 5 })
      .filter((taps) => Math.hypot(sum(taps, 're'), sum(taps, 'im')) > 1e-6),
    driveDb: fc.double({ min: -40, max: 40, noNaN: true }),
    seed: fc.integer({ min: 0, max: 1e6 }),
  });

  test('|y| ≤ Σ|output taps| for any drive up to +40 dB', () => {
    fc.assert(
      fc.property(settingsAndDrive, ({ p, depth, timeConstantS, amPmDeg, taps, driveDb, seed }) => {
        const settings = {
          ...plainKnee,
          kneeSharpness: p,
          biasDepthRatio: depth,
          biasTimeConstantS: timeConstantS,
          amPmDeg,
        };
        const model = amplifierOf(
          { ...settings, inputTaps: taps, outputTaps: taps },
          { sampleRateHz: 50e6, sampleCount: 64 },
        );
        const bound = taps.reduce((total, tap) => total + Math.hypot(tap.re, tap.im), 0);
        // The bound carries a margin of 1e-9 for rounding.
        expect(model.outputBound! / bound).toBeCloseTo(1, 8);
        const y = model.amplify(scale(noise(64, 1, seed), 10 ** (driveDb / 20)));
        expect(largestAmplitude(y)).toBeLessThanOrEqual(bound * (1 + 1e-12));
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  // 9 MHz of clipped noise (crest factor 8 dB) in 122.88 Msps stands for the preset's waveform here.
  test('the preset’s amplifier stays below |y| = 1 + 0.1 dB at +10 dB of drive', () => {
    const model = amplifierOf(quarryLinkAmplifier().model, { sampleRateHz: 122.88e6, sampleCount: 8192 });
    const x = clipped(noise(8192, 9 / 122.88), 8);
    // About 9 dB output back-off needs a drive of 0.4 rms.
    for (const growthDb of [0, 4, 6, 10]) {
      const y = model.amplify(scale(x, 0.4 * 10 ** (growthDb / 20)));
      expect(largestAmplitude(y)).toBeLessThan(10 ** (0.1 / 20));
    }
    expect(model.heldSampleRatio(scale(x, 100))).toBe(0);
  });
});

function clipped(x: ComplexSignal, crestFactorDb: number): ComplexSignal {
  const limit = 10 ** (crestFactorDb / 20);
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    const factor = Math.min(1, limit / Math.hypot(x.re[n], x.im[n]));
    out.re[n] = factor * x.re[n];
    out.im[n] = factor * x.im[n];
  }
  return out;
}

test('the bias average is in its periodic steady state: a shifted drive gives a shifted output', () => {
  const model = amplifierOf(quarryLinkAmplifier().model, { sampleRateHz: 122.88e6, sampleCount: 90 });
  const x = scale(noise(90), 0.8);
  const shift = ({ re, im }: ComplexSignal): ComplexSignal => ({
    re: Float64Array.from(re, (_, n) => re[(n + 37) % 90]),
    im: Float64Array.from(im, (_, n) => im[(n + 37) % 90]),
  });
  expect(largestDifference(model.amplify(shift(x)), shift(model.amplify(x)))).toBeLessThan(1e-14);
});

test('the drive record is not changed', () => {
  const model = amplifierOf(quarryLinkAmplifier().model, { sampleRateHz: 122.88e6, sampleCount: 90 });
  const x = noise(90);
  const before = { re: x.re.slice(), im: x.im.slice() };
  model.amplify(x);
  expect(x).toEqual(before);
});

test('taps that pass no carrier are refused, both at once', () => {
  const settings = {
    ...plainKnee,
    inputTaps: [
      { re: 1, im: 0 },
      { re: -1, im: 0 },
    ],
    outputTaps: [{ re: Number.POSITIVE_INFINITY, im: 0 }],
  };
  const issues = issuesOf(settings, { sampleRateHz: 1e6, sampleCount: 16 });
  expect(issues.map((issue) => issue.path)).toEqual(['amplifier.model.inputTaps', 'amplifier.model.outputTaps']);
  expect(issues[0]).toMatchObject({ value: 'taps that sum to 0', remedy: 'write [ { "re": 1 } ] for no filter' });
});
