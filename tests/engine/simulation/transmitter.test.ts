// The transmitter's effects against closed forms, each on a flat band or a tone, and that all of it scales.
import { describe, expect, test } from 'vitest';
import { CLEAR_TRANSMITTER, type TransmitterSettings } from '../../../shared/schema/signalPaths.ts';
import { type ComplexSignal, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { createTransmitter } from '../../../src/engine/simulation/transmitter.ts';
import checks from '../../reference/pathChecks.json' with { type: 'json' };
import { flatNoise } from '../measurement/flatNoise.ts';

const RECORD = { length: 1 << 17, bins: 10_923 };
/** One twelfth of the sample rate occupied. */
const band = flatNoise(1, 7, RECORD);

const through = (settings: Partial<TransmitterSettings>, sampleRateHz: number, x = band) =>
  createTransmitter({ ...CLEAR_TRANSMITTER, ...settings }, sampleRateHz)(x);

/** Error over signal behind the path, after one gain. */
const errorDb = (settings: Partial<TransmitterSettings>, sampleRateHz: number, x = band) =>
  measureNmseDb(x, through(settings, sampleRateHz, x));

describe('clock jitter (reference check ME-10)', () => {
  // Source: standard converter theory: SNR = −20·log10(2π·f_rms·σ). 2¹⁷ draws know their power to 0.02 dB.
  test('a tone at a converter centre of 100 MHz and 1 ps: 64.036 dB', () => {
    const tone = zeros(RECORD.length);
    tone.re.fill(1);
    const settings = { clockJitterS: 1e-12, converterCentreHz: 100e6 };
    expect(Math.abs(errorDb(settings, 122.88e6, tone) + 64.03640263)).toBeLessThan(0.05);
  });

  test.each([
    [4.7e9, 50e-15, 56.61504539],
    [4.7e9, 100e-15, 50.59444547],
  ])('a carrier at %d Hz and %d s: %f dB', (converterCentreHz, clockJitterS, snrDb) => {
    expect(Math.abs(errorDb({ clockJitterS, converterCentreHz }, 122.88e6) + snrDb)).toBeLessThan(0.05);
  });

  test('a flat band of 10 MHz at baseband and 10 ps: 74.828 dB', () => {
    const sampleRateHz = (10e6 * RECORD.length) / RECORD.bins;
    // One record's band has its own second moment: 0.1 dB.
    expect(Math.abs(errorDb({ clockJitterS: 10e-12 }, sampleRateHz) + 74.82821509)).toBeLessThan(0.1);
  });
});

describe('phase noise (reference checks ME-11, ME-12)', () => {
  // Source: ME-11, derived: √(e^(σ²) − 1) after the least-squares gain; the rms is exact in every record.
  test.each(Object.entries(checks['ME-11'].expected))('%s° rms', (degrees, { EVM_LSgain_pct }) => {
    const settings = { phaseNoiseDeg: Number(degrees), phaseNoiseBandwidthHz: 1e6 };
    const percent = 100 * 10 ** (errorDb(settings, 122.88e6) / 20);
    expect(Math.abs(percent / EVM_LSgain_pct - 1)).toBeLessThan(0.03);
  });

  // Source: ME-12, definition: −100 dBc/Hz over 1 MHz each side is 0.81028°, −36.99 dBc: on a tone a pedestal of that density.
  test('a tone’s pedestal is flat up to the bandwidth and ends there', () => {
    const tone = zeros(RECORD.length);
    tone.re.fill(1);
    const sampleRateHz = 122.88e6;
    const y = through(
      { phaseNoiseDeg: checks['ME-12'].expected.sigma_deg, phaseNoiseBandwidthHz: 1e6 },
      sampleRateHz,
      tone,
    );
    const { frequencyHz, power, binWidthHz } = wholeRecord(y, sampleRateHz);
    const mean = (fromHz: number, toHz: number) => {
      const inside = power.filter((_, i) => Math.abs(frequencyHz[i]) > fromHz && Math.abs(frequencyHz[i]) < toHz);
      return 10 * Math.log10(inside.reduce((sum, p) => sum + p, 0) / inside.length / binWidthHz);
    };
    // Some 1060 bins a half: 0.2 dB of one standard deviation, and the rms fixed over both.
    expect(Math.abs(mean(1e3, 5e5) + 100)).toBeLessThan(0.6);
    expect(Math.abs(mean(5e5, 9.99e5) + 100)).toBeLessThan(0.6);
    // Beyond it only the second order is left: σ⁴/2 spread over twice the width.
    expect(mean(1.1e6, 1.9e6)).toBeLessThan(-130);
  });
});

function wholeRecord(x: ComplexSignal, sampleRateHz: number) {
  const segmentLength = x.re.length;
  return estimateSpectrum(x, {
    sampleRateHz,
    method: 'wholeRecord',
    window: 'rectangular',
    segmentLength,
    overlapRatio: 0,
  });
}

describe('image and carrier leak (reference checks ME-13, ME-14)', () => {
  // Source: ME-13: an image IRR dB down is an error of 10^(−IRR/20) of a circular signal.
  test.each(Object.values(checks['ME-13'].expected))('image rejection $IRR_dB dB: $image_EVM_pct %', (check) => {
    const percent = 100 * 10 ** (errorDb({ imageDb: -check.IRR_dB }, 122.88e6) / 20);
    expect(Math.abs(percent / check.image_EVM_pct - 1)).toBeLessThan(0.02);
  });

  // Source: ME-14, definition: 10^(−L/20), all of it at the centre of the record.
  test.each([
    [-30, checks['ME-14'].expected['-30dBc']],
    [-40, checks['ME-14'].expected['-40dBc']],
  ])('leak of %d dBc: %f %', (carrierLeakDbc, percent) => {
    const y = through({ carrierLeakDbc }, 122.88e6);
    expect(100 * 10 ** (measureNmseDb(band, y) / 20)).toBeCloseTo(percent, 3);
    const centre = y.re.reduce((sum, value, n) => sum + value - band.re[n], 0) / y.re.length;
    expect(100 * centre).toBeCloseTo(percent, 6);
  });
});

describe('noise, converter and droop', () => {
  // Source: definition: −140 dBc/Hz over 122.88 MHz is −59.105 dB.
  test('white noise of a density', () => {
    expect(Math.abs(errorDb({ noiseDbcPerHz: -140 }, 122.88e6) + 59.105)).toBeLessThan(0.05);
  });

  // Source: Bennett 1948: q²/12 a rail. Full scale 13 dB over the rail's rms σ: q = 2·10^0.65·σ/2^b, so the error over
  // σ² is 4·10^1.3/(12·4^b).
  test.each([8, 10, 12])('a converter of %d bits', (converterBitCount) => {
    const expected = 10 * Math.log10((4 * 10 ** 1.3) / (12 * 4 ** converterBitCount));
    expect(Math.abs(errorDb({ converterBitCount }, 122.88e6) - expected)).toBeLessThan(0.1);
  });

  // Source: definition of sin(x)/x: at a quarter of the rate sin(π/4)/(π/4) = −0.912 dB, at half of it −3.922 dB.
  test.each([
    [1 / 4, -0.9121],
    [-1 / 4, -0.9121],
    [1 / 2, -3.9224],
  ])('zero-order hold at %f of the rate: %f dB', (ratio, droopDb) => {
    const x = zeros(1024);
    for (let n = 0; n < 1024; n++) {
      x.re[n] = Math.cos(2 * Math.PI * ratio * n);
      x.im[n] = Math.sin(2 * Math.PI * ratio * n);
    }
    const y = through({ droop: 'zeroOrderHold' }, 122.88e6, x);
    expect(20 * Math.log10(Math.hypot(y.re[5], y.im[5]))).toBeCloseTo(droopDb, 3);
  });

  test('the band limit takes what lies beyond it, and nothing inside', () => {
    const sampleRateHz = RECORD.length;
    expect(errorDb({ bandwidthHz: RECORD.bins }, sampleRateHz)).toBeLessThan(-250);
    // Half of a flat band left: the other half of its power is the error, over the half that is left as wanted.
    const y = through({ bandwidthHz: RECORD.bins / 2 }, sampleRateHz);
    const { frequencyHz, power } = wholeRecord(y, sampleRateHz);
    const outside = power.reduce((sum, p, i) => sum + (Math.abs(frequencyHz[i]) > RECORD.bins / 4 ? p : 0), 0);
    const inside = power.reduce((sum, p, i) => sum + (Math.abs(frequencyHz[i]) > RECORD.bins / 4 ? 0 : p), 0);
    expect(outside / inside).toBeLessThan(1e-25);
    expect(Math.abs(inside - 0.5)).toBeLessThan(0.02);
  });
});

describe('all together', () => {
  const all: Partial<TransmitterSettings> = {
    bandwidthHz: 60e6,
    converterBitCount: 10,
    noiseDbcPerHz: -140,
    imageDb: -40,
    carrierLeakDbc: -40,
    phaseNoiseDeg: 0.5,
    clockJitterS: 1e-12,
    converterCentreHz: 1e9,
    droop: 'zeroOrderHold',
  };
  // Source: definition: everything is stated over the drive's own power.
  test('T(a·x) = a·T(x)', () => {
    const transmit = createTransmitter({ ...CLEAR_TRANSMITTER, ...all }, 122.88e6);
    const y = transmit(band);
    const louder = transmit(scale(band, 4));
    for (const n of [0, 1, 999, 70_001]) {
      expect(louder.re[n]).toBeCloseTo(4 * y.re[n], 12);
      expect(louder.im[n]).toBeCloseTo(4 * y.im[n], 12);
    }
  });

  test('the same record has the same noise whatever was sent before, another record and another seed have other noise', () => {
    const noisy = { noiseDbcPerHz: -140 };
    const other = flatNoise(1, 8, RECORD);
    const transmit = createTransmitter({ ...CLEAR_TRANSMITTER, ...noisy }, 122.88e6);
    const noiseOf = (x: ComplexSignal, y: ComplexSignal) => y.re.map((value, n) => value - x.re[n]);
    const first = noiseOf(band, transmit(band));
    const second = noiseOf(other, transmit(other));
    expect(noiseOf(band, transmit(band))).toEqual(first);
    const correlation = (a: Float64Array, b: Float64Array) => {
      const dot = (p: Float64Array, q: Float64Array) => p.reduce((sum, value, n) => sum + value * q[n], 0);
      return dot(a, b) / Math.sqrt(dot(a, a) * dot(b, b));
    };
    expect(Math.abs(correlation(first, second))).toBeLessThan(0.02);
    const reseeded = noiseOf(band, through({ ...noisy, noiseSeed: 99 }, 122.88e6));
    expect(Math.abs(correlation(first, reseeded))).toBeLessThan(0.02);
  });
});
