import { describe, expect, test } from 'vitest';
import { addScaled, type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import type { Waveform } from '../../../src/engine/dsp/waveformTypes.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { measureNotch, worstNotch } from '../../../src/engine/measurement/notchPowerRatio.ts';
import { generate, randomSignal } from '../waveform/build.ts';

const noise = (change = {}) =>
  generate({
    carriers: [
      { kind: 'noise', occupiedBandwidthHz: 5e6, notch: { offsetHz: 0.6e6, bandwidthHz: 0.3e6 }, ...change },
      { kind: 'noise', occupiedBandwidthHz: 3e6, offsetHz: 6e6, relativePowerDb: -6 },
    ],
    sampleCount: 2 ** 17,
    sampleRateHz: 30.72e6,
  }).waveform;

const ofdm = (change = {}, waveform = {}) =>
  generate({
    carriers: [
      {
        kind: 'ofdm',
        standard: 'lte',
        channelBandwidthHz: 10e6,
        modulation: '64QAM',
        notch: { offsetHz: 0, bandwidthHz: 0.5e6 },
        ...change,
      },
    ],
    symbolCount: 24,
    sampleRateHz: 61.44e6,
    ...waveform,
  }).waveform;

/** y = x + a·x|x|²: distortion fills the notch. */
function cubed(x: ComplexSignal, a: number): ComplexSignal {
  const y = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    const gain = 1 + a * (x.re[n] * x.re[n] + x.im[n] * x.im[n]);
    y.re[n] = gain * x.re[n];
    y.im[n] = gain * x.im[n];
  }
  return y;
}

/** Density beside over density inside, by averaged Blackman-Harris segments that know nothing of symbols. */
function freeRunningDb(x: ComplexSignal, { sampleRateHz }: Waveform, halfNotchHz: number): number {
  const spectrum = estimateSpectrum(x, {
    sampleRateHz,
    method: 'segments',
    window: 'blackmanHarris',
    segmentLength: 8192,
    overlapRatio: 0.5,
  });
  const mean = (isMeant: (hz: number) => boolean) => {
    const bins = spectrum.power.filter((_, i) => isMeant(Math.abs(spectrum.frequencyHz[i])));
    return bins.reduce((sum, power) => sum + power, 0) / bins.length;
  };
  // Clear of the window's own width, four bins of 7.5 kHz.
  const clearHz = 30e3;
  const beside = mean((hz) => hz > halfNotchHz + clearHz && hz < 4.4e6);
  return 10 * Math.log10(beside / mean((hz) => hz < halfNotchHz - clearHz));
}

describe('noise on the exact bins of the record', () => {
  const waveform = noise();

  test('the waveform’s own notch is empty to rounding', () => {
    const reading = measureNotch(waveform.signal, waveform, 0);
    expect(reading).toMatchObject({ carrierIndex: 0, method: 'wholeRecord' });
    expect(reading?.sourceRatioDb).toBeGreaterThan(200);
    expect(reading?.ratioDb).toBe(reading?.sourceRatioDb);
  });

  // White noise of density N under a carrier of density S: (S + N)/N. 1280 bins inside: 0.12 dB, three of them.
  test('white noise of a known density is read as such', () => {
    const receiver = randomSignal(waveform.signal.re.length, createRandom(3, 'receiver'));
    const share = 1 / (1 + 10 ** -0.6);
    // Carrier 0 holds this share of the power in 5 − 0.3 MHz; noise of power p fills 30.72 MHz.
    const density = share / 4.7e6;
    const wanted = density / 10 ** 2.5;
    const amplitude = Math.sqrt((wanted * 30.72e6) / meanPower(receiver));
    const output = addScaled(waveform.signal, { re: amplitude, im: 0 }, receiver);
    const ratioDb = measureNotch(output, waveform, 0)?.ratioDb ?? Number.NaN;
    expect(Math.abs(ratioDb - 10 * Math.log10(10 ** 2.5 + 1))).toBeLessThan(0.36);
  });

  // Third order on a complex Gaussian of flat band B (reference check GA-08): uncorrelated products 2a²P³ with the shape
  // ¾ − u² (u from the centre, in B), so inside the notch at u = 0.12 they stand ¾ − u² over B against 1/B of the
  // carrier's gain |1 + 2aP|². One record: 0.15 dB.
  test('third-order products of a single band: the closed form', () => {
    const alone = generate({
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 5e6, notch: { offsetHz: 0.6e6, bandwidthHz: 20e3 } }],
      sampleCount: 2 ** 19,
      sampleRateHz: 30.72e6,
    }).waveform;
    const a = -0.05;
    const ratioDb = measureNotch(cubed(alone.signal, a), alone, 0)?.ratioDb ?? Number.NaN;
    const products = 2 * a * a * (0.75 - 0.12 ** 2);
    // Beside, carrier and products of the mean shape, 2/3, are read together.
    const expected = 10 * Math.log10(((1 + 2 * a) ** 2 + (2 * a * a * 2) / 3) / products);
    // Inside lie 342 bins: 0.23 dB, two of them.
    expect(Math.abs(ratioDb - expected)).toBeLessThan(0.5);
  });

  test('a carrier without a notch has no reading; the worst carrier’s is taken', () => {
    expect(measureNotch(waveform.signal, waveform, 1)).toBeNull();
    expect(worstNotch(waveform.signal, waveform)?.carrierIndex).toBe(0);
    expect(worstNotch(waveform.signal, noise({ notch: null }))).toBeNull();
  });

  test('silence is no reading, never NaN', () => {
    expect(measureNotch(zeros(waveform.signal.re.length), waveform, 0)).toBeNull();
  });
});

describe('OFDM symbol by symbol', () => {
  const clean = ofdm({}, { spectralEdge: { kind: 'none' } });

  test('empty subcarriers are empty, and with a channel filter nearly so', () => {
    expect(measureNotch(clean.signal, clean, 0)).toMatchObject({ method: 'symbolSynchronous', carrierIndex: 0 });
    expect(measureNotch(clean.signal, clean, 0)?.sourceRatioDb).toBeGreaterThan(200);
    const filtered = ofdm();
    expect(measureNotch(filtered.signal, filtered, 0)?.sourceRatioDb).toBeGreaterThan(55);
  });

  // Source: pitfall P18: a free-running transform sees a source notch of 21.9 dB only, filled by the symbols' skirts.
  // The depth depends on the notch's width and the estimator; here 500 kHz and Blackman-Harris 8192, 21.7 dB.
  test('P18: free-running, the skirts of the symbols fill the notch', () => {
    const depthDb = freeRunningDb(clean.signal, clean, 0.25e6);
    expect(Math.abs(depthDb - 21.9)).toBeLessThan(1);
    expect((measureNotch(clean.signal, clean, 0)?.sourceRatioDb ?? 0) - depthDb).toBeGreaterThan(100);
  });

  // Source: pitfall P18: NPR 23.9 dB ↔ 6.38 % against an EVM of 6.17 %: for distortion that is flat over the band the
  // notch shows the same carrier over distortion, NPR = −20·log10(EVM). Third-order distortion is somewhat stronger in
  // the middle of a band (¾ against 2/3 on the mean), where this notch is.
  test('P18: the notch and EVM tell of the same distortion', () => {
    const output = cubed(clean.signal, -0.05);
    const ratioDb = measureNotch(output, clean, 0)?.ratioDb ?? Number.NaN;
    const { rmsPercent } = measureEvm({
      output,
      waveform: clean,
      carrierIndex: 0,
      equalizer: 'oneGain',
      reference: 'data',
    }).reading;
    const fromEvmDb = -20 * Math.log10(rmsPercent / 100);
    expect(ratioDb).toBeGreaterThan(20);
    expect(ratioDb).toBeLessThan(28);
    expect(Math.abs(fromEvmDb - ratioDb)).toBeLessThan(0.5);
  });

  test('white noise of a known density, and only while on', () => {
    const burst = ofdm({}, { spectralEdge: { kind: 'none' }, burst: { periodS: 0.85e-3, dutyRatio: 0.5 } });
    expect(measureNotch(burst.signal, burst, 0)?.sourceRatioDb).toBeGreaterThan(200);
    // 34 empty of 600 subcarriers: noise of a hundredth of the carrying ones' power each.
    const receiver = randomSignal(clean.signal.re.length, createRandom(4, 'receiver'));
    const perSubcarrier = meanPower(receiver) / 4096;
    const amplitude = Math.sqrt(1 / (clean.carriers[0].ofdm?.subcarriers.length ?? 1) / 100 / perSubcarrier);
    const output = addScaled(clean.signal, { re: amplitude, im: 0 }, receiver);
    const ratioDb = measureNotch(output, clean, 0)?.ratioDb ?? Number.NaN;
    // 34·24 values: 0.15 dB, three of them.
    expect(Math.abs(ratioDb - 10 * Math.log10(101))).toBeLessThan(0.45);
  });

  test('bursts without a whole symbol have no reading', () => {
    const burst = ofdm({}, { spectralEdge: { kind: 'none' }, burst: { periodS: 0.85e-3, dutyRatio: 0.05 } });
    expect(measureNotch(burst.signal, burst, 0)).toBeNull();
  });
});
