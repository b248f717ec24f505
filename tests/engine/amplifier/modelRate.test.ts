import { describe, expect, test } from 'vitest';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { modelLengthFor, unstatedRateWarning } from '../../../src/engine/amplifier/modelRate.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { denominatorOf } from '../../../src/engine/dsp/denominator.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { resamplePeriodic } from '../../../src/engine/dsp/resample.ts';
import {
  amplifierOf,
  issuesOf,
  largestDifference,
  noise,
  openPolynomial,
  plainKnee,
  quarryLinkAmplifier,
} from './settings.ts';

const rateHz = 122.88e6;
/** 9 MHz, as Quarry Link's carrier. */
const occupiedSpanHz = 9e6;

/** Largest difference in dB between two spectra over the bins both have, down to 100 dB under the strongest bin. */
function spectrumDifferenceDb(short: ComplexSignal, long: ComplexSignal): number {
  const a = fft(short);
  const b = fft(long);
  const ratio = long.re.length / short.re.length;
  const powerAt = (x: ComplexSignal, bin: number) => {
    const i = (bin + x.re.length) % x.re.length;
    return x.re[i] ** 2 + x.im[i] ** 2;
  };
  let top = 0;
  for (let bin = 0; bin < short.re.length; bin++) top = Math.max(top, powerAt(a, bin));
  let worst = 0;
  const half = Math.floor(short.re.length / 2);
  for (let bin = -half + 1; bin < half; bin++) {
    const power = powerAt(a, bin);
    if (power < 1e-10 * top) continue;
    worst = Math.max(worst, Math.abs(10 * Math.log10(powerAt(b, bin) / ratio ** 2 / power)));
  }
  return worst;
}

describe('doubling the simulation rate with the model’s rate fixed (pitfall P20)', () => {
  const x = scale(noise(4096, occupiedSpanHz / rateHz), 0.4);
  const doubled = resamplePeriodic(x, 8192);

  test('changes nothing in the common band: far below 0.3 dB', () => {
    const settings = quarryLinkAmplifier().model;
    const once = amplifierOf(settings, { sampleRateHz: rateHz, sampleCount: 4096 }).amplify(x);
    const twice = amplifierOf(settings, { sampleRateHz: 2 * rateHz, sampleCount: 8192, occupiedSpanHz }).amplify(
      doubled,
    );
    // Both run at 122.88 Msps; what remains is the rounding of the transforms, near 1e-15 of the strongest bin, which is
    // 1e-10 of a bin 100 dB below it.
    expect(spectrumDifferenceDb(once, twice)).toBeLessThan(1e-6);
  });

  test('the mistake shows: taps taken at the record’s rate move the spectrum by more than 0.3 dB', () => {
    const settings = { ...quarryLinkAmplifier().model, modelRateHz: 'any' as const };
    const once = amplifierOf(settings, { sampleRateHz: rateHz, sampleCount: 4096 }).amplify(x);
    const twice = amplifierOf(settings, { sampleRateHz: 2 * rateHz, sampleCount: 8192 }).amplify(doubled);
    expect(spectrumDifferenceDb(once, twice)).toBeGreaterThan(0.3);
  });
});

describe('a model at another rate than the record', () => {
  // Paper Bench: 24 symbols of 8768 samples at 122.88 Msps are 342 500 samples at 200 Msps, exactly.
  const record = { sampleRateHz: rateHz, sampleCount: 6 * 8768, symbolCount: 6 };

  test('a linear model at its own rate is a delay of whole model samples', () => {
    const settings = {
      ...openPolynomial([1], 2, [
        { re: 0, im: 0 },
        { re: 1, im: 0 },
      ]),
      modelRateHz: 200e6,
    };
    const model = amplifierOf(settings, record);
    const x = noise(record.sampleCount, 0.5);
    const bins = fft(x);
    const y = fft(model.amplify(x));
    const expected = zeros(record.sampleCount);
    for (let b = 0; b < record.sampleCount; b++) {
      const signed = b < record.sampleCount / 2 ? b : b - record.sampleCount;
      // A delay of 5 ns turns frequency f by −2π·f·5 ns.
      const angle = (-2 * Math.PI * signed * rateHz * 5e-9) / record.sampleCount;
      expected.re[b] = bins.re[b] * Math.cos(angle) - bins.im[b] * Math.sin(angle);
      expected.im[b] = bins.re[b] * Math.sin(angle) + bins.im[b] * Math.cos(angle);
    }
    expect(largestDifference(y, expected) / Math.sqrt(meanPower(expected))).toBeLessThan(1e-11);
  });

  test('the guard works and counts at the model’s rate, between the record’s samples', () => {
    const settings = {
      ...openPolynomial([1, 3], 1, [
        { re: 1, im: 0 },
        { re: -0.2, im: 0 },
      ]),
      modelRateHz: 200e6,
      driveRange: 1,
    };
    const model = amplifierOf(settings, record);
    const x = scale(noise(record.sampleCount, 0.5), 0.5);
    const arriving = resamplePeriodic(x, 85625);
    let held = 0;
    for (let n = 0; n < 85625; n++) if (Math.hypot(arriving.re[n], arriving.im[n]) > 1) held++;
    expect(held).toBeGreaterThan(100);
    expect(model.heldSampleRatio(x)).toBe(held / 85625);
    // Between the model's samples the output may overshoot the bound, so none is claimed.
    expect(model.outputBound).toBeNull();
    expect(model.modelRateHz).toBe(200e6);
  });

  test('the record’s own rate, or any rate, needs no resampling', () => {
    expect(modelLengthFor(null, record)).toEqual({ kind: 'length', modelLength: 52608 });
    expect(modelLengthFor(rateHz, record)).toEqual({ kind: 'length', modelLength: 52608 });
    expect(modelLengthFor(200e6, record)).toEqual({ kind: 'length', modelLength: 85625 });
  });
});

describe('rates that do not fit are refused with the remedy', () => {
  const published = { kind: 'published', id: 'GaN_2GHz_GMP' } as const;

  // 200/122.88 = 625/384; a symbol of 8768 = 2⁶·137 samples brings 64 of 384: symbols come in sixes.
  test('a record that is no whole number of model samples names the symbol count that is', () => {
    expect(issuesOf(published, { sampleRateHz: rateHz, sampleCount: 7 * 8768, symbolCount: 7 })).toEqual([
      {
        path: 'waveform.symbolCount',
        rule: 'must give a whole number of samples at the model rate (200000000 Hz over 122880000 Hz)',
        value: '7 (99895.833 samples)',
        remedy: 'use a multiple of 6 symbols, such as 12',
      },
    ]);
    expect(issuesOf(published, { sampleRateHz: rateHz, sampleCount: 12 * 8768, symbolCount: 12 })).toEqual([]);
  });

  test('without symbols it names the sample count', () => {
    const [issue] = issuesOf(published, { sampleRateHz: rateHz, sampleCount: 2 ** 16 });
    expect(issue.path).toBe('amplifier.model.modelRateHz');
    expect(issue.remedy).toMatch(
      /^set waveform.sampleRateHz to the model rate, or use a record of a multiple of 384 samples/,
    );
  });

  test('a ratio that is none says so', () => {
    const outcome = modelLengthFor(1e6 * Math.PI, { sampleRateHz: 1e6, sampleCount: 4096 });
    expect(outcome).toMatchObject({ kind: 'invalid', issues: [{ rule: expect.stringMatching(/is no simple ratio/) }] });
  });

  test('a record too long at the model’s rate', () => {
    const record = { sampleRateHz: rateHz, sampleCount: 144 * 8768, symbolCount: 144 };
    const [issue] = issuesOf({ kind: 'published', id: 'GaN_28GHz_GMP' }, record);
    expect(issue.rule).toBe('must give at most 16777216 samples at the model rate');
    // 2281/122.88 = 57025/3072, and 1262592 = 411·3072: 411·57025 samples.
    expect(issue.value).toBe('2281000000 (23437275 samples from 1262592)');
    expect(issue.remedy).toBe('shorten the record to 71 % of its length');
  });

  test('a model slower than the record needs room for third-order products of the carriers', () => {
    const settings = { ...quarryLinkAmplifier().model, modelRateHz: 30.72e6 };
    const record = { sampleRateHz: rateHz, sampleCount: 4096 };
    expect(issuesOf(settings, { ...record, occupiedSpanHz: 10.24e6 })).toEqual([]);
    const [issue] = issuesOf(settings, { ...record, occupiedSpanHz: 10.25e6 });
    expect(issue).toMatchObject({ path: 'amplifier.model.modelRateHz', value: '30720000' });
    expect(issue.rule).toMatch(/three times the 10250000 Hz the carriers span \(30750000 Hz\)/);
    // Without the span nothing can be promised.
    expect(issuesOf(settings, record)[0].rule).toMatch(/at least the record’s sample rate/);
  });

  test('memory is counted in model samples', () => {
    const settings = {
      ...openPolynomial(
        [1],
        64,
        Array.from({ length: 64 }, () => ({ re: 1, im: 0 })),
      ),
      modelRateHz: 0.5e6,
    };
    const issues = issuesOf(settings, { sampleRateHz: 1e6, sampleCount: 100, occupiedSpanHz: 1e5 });
    expect(issues.map((issue) => issue.value)).toEqual(['64 samples of memory']);
  });
});

// Exact fractions.
test.each([
  [200 / 122.88, 384],
  [307.2 / 122.88, 2],
  [2281 / 122.88, 3072],
  [199.68 / 15.36, 1],
  [1 / 3, 3],
  [0.5, 2],
  [999_983 / 999_979, 999_979],
  [Math.SQRT2, null],
])('denominator of %d', (ratio, denominator) => {
  expect(denominatorOf(ratio)).toBe(denominator);
});

describe('a model with memory and no rate of its own', () => {
  const tap = { re: 1, im: 0 };
  const term = (delaySamples: number, envelopeDelaySamples: number) => ({
    delaySamples,
    envelopeDelaySamples,
    nonlinearOrders: [1],
    coefficients: [tap],
  });
  const generalized = (...delays: [number, number][]) => ({
    kind: 'generalizedMemoryPolynomial' as const,
    modelRateHz: 'any' as const,
    terms: delays.map(([l, m]) => term(l, m)),
    driveRange: 1,
    saturatedAmplitude: 1,
  });
  const message = (settings: AmplifierModelSettings) => unstatedRateWarning(settings, rateHz)?.message ?? null;

  test('is warned of with what it remembers by and the rate it is stepped at', () => {
    expect(unstatedRateWarning({ ...plainKnee, inputTaps: [tap, tap] }, rateHz)).toEqual({
      code: 'model-rate-unstated',
      message:
        'The amplifier model has memory (2 input taps), but its model rate is "any": it is stepped at the record’s 122.88 MHz, ' +
        'and at another sample rate it is another amplifier. State modelRateHz, the rate the model was fitted at.',
    });
    expect(message({ ...plainKnee, outputTaps: [tap, tap, tap] })).toContain('3 output taps');
    expect(message({ ...plainKnee, biasDepthRatio: 0.1, biasTimeConstantS: 1e-7 })).toContain('a bias time constant');
    expect(message(openPolynomial([1], 2, [tap, tap]))).toContain('2 taps');
    expect(message(generalized([0, 0], [0, 1]))).toContain('1 delayed term)');
  });

  test('is warned of when it is published and its source states none', () => {
    // Ding et al. 2004, IEEE Trans. Commun. 52(1): three taps, and filters, without a sample rate.
    expect(message({ kind: 'published', id: 'Ding_2004' })).toContain(
      '(2 delayed terms), but its source states no sample rate',
    );
    expect(message({ kind: 'published', id: 'Ding_2004' })).toContain('122.88 MHz');
    expect(message({ kind: 'published', id: 'Ding_2004_Wiener_Hammerstein' })).toContain('filters ahead of it');
  });

  test('memoryless models and stated rates are not', () => {
    expect(message(plainKnee)).toBeNull();
    expect(message({ ...plainKnee, biasDepthRatio: 0.1 })).toBeNull();
    expect(message(openPolynomial([1, 3], 1, [tap, tap]))).toBeNull();
    expect(message(generalized([0, 0]))).toBeNull();
    // Published: a static polynomial, and one whose source states 200 MHz.
    expect(message({ kind: 'published', id: 'GaN_2GHz' })).toBeNull();
    expect(message({ kind: 'published', id: 'GaN_2GHz_GMP' })).toBeNull();
    expect(message({ kind: 'published', id: 'Saleh_1981_TWT' })).toBeNull();
    expect(message({ ...plainKnee, inputTaps: [tap, tap], modelRateHz: 122.88e6 })).toBeNull();
  });
});
