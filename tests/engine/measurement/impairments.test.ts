// Impairments with closed forms, put in by hand and read by the measurements: quantisers, jitter, phase noise, kT₀.
import { describe, expect, test } from 'vitest';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { quantize, quantizerFloorDb } from '../../../src/engine/dsp/quantizer.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { bandPower, estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { thermalNoiseDbm } from '../../../src/engine/dsp/thermalNoise.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { flatNoise } from './flatNoise.ts';

function gaussian(length: number, seed: number): ComplexSignal {
  const random = createRandom(seed, 'gaussian');
  const draw = () => Float64Array.from({ length }, () => random.normal());
  return { re: draw(), im: draw() };
}

describe('thermal noise (reference check ME-04)', () => {
  // Source: CODATA 2019, k = 1.380649e-23 J/K exact; T₀ = 290 K (IEEE).
  test.each([
    [1, 290, -173.9751872],
    [10e6, 290, -103.9751872],
    [9e6, 290, -104.4327621],
    [1, 300, -173.8279546],
    [3.84e6, 290, -108.131875],
  ])('%d Hz at %d K: %f dBm', (bandwidthHz, temperatureK, dbm) => {
    expect(thermalNoiseDbm(bandwidthHz, temperatureK)).toBeCloseTo(dbm, 6);
  });
});

describe('noise in a resolution bandwidth (reference check ME-05)', () => {
  // Source: definition. kT₀ (called −174 dBm/Hz) through a Hann window of 4096 points at 61.44 Msps: 22.5 kHz, −130.453 dBm.
  test('white noise of a density reads density·ENBW', () => {
    const sampleRateHz = 61.44e6;
    const x = gaussian(4096 * 600, 5);
    const spectrum = estimateSpectrum(x, {
      sampleRateHz,
      method: 'segments',
      window: 'hann',
      segmentLength: 4096,
      overlapRatio: 0.5,
    });
    expect(spectrum.resolutionBandwidthHz).toBeCloseTo(22_500, 6);
    const powerPerBin = spectrum.power.reduce((sum, value) => sum + value, 0) / 4096;
    const densityPerHz = 2 / sampleRateHz;
    const marker = (powerPerBin * spectrum.resolutionBandwidthHz) / spectrum.binWidthHz;
    const shiftDb = thermalNoiseDbm(1) - 10 * Math.log10(densityPerHz);
    // 2.4 million samples know their power to 0.003 dB.
    expect(Math.abs(10 * Math.log10(marker) + shiftDb + 130.4533748)).toBeLessThan(0.01);
  });
});

describe('quantisers', () => {
  // Source: reference check ME-08 (Bennett 1948; Oppenheim and Schafer): full-scale tone, 6.02·b + 1.76 dB, within 0.15 dB.
  test.each([8, 10, 12, 14])('a full-scale tone at %d bits', (bits) => {
    const length = 65536;
    const x = zeros(length);
    for (let n = 0; n < length; n++) {
      const angle = (2 * Math.PI * 4099 * n) / length;
      x.re[n] = Math.cos(angle);
      x.im[n] = Math.sin(angle);
    }
    expect(Math.abs(-measureNmseDb(x, quantize(x, bits)) - (6.0206 * bits + 1.7609))).toBeLessThan(0.15);
    expect(quantizerFloorDb(bits, 1, 1, 1)).toBeCloseTo(6.0206 * bits + 1.7609, 3);
  });

  // Source: reference check ME-09 (Max 1960): Gaussian rails at the best loading, in units of σ, error re signal power.
  // The rare samples beyond the outermost level make the error scatter by about 0.02 dB over 800 000 of them.
  test.each([
    [1, 1.595769127, 4.396387074],
    [3, 2.344077754, 14.26668111],
    [5, 3.010220783, 24.56526557],
    [6, 3.33001629, 29.82947699],
  ])('Gaussian rails at %d bits, loaded at %f σ: %f dB', (bits, loading, sqnrDb) => {
    const x = gaussian(400_000, bits);
    const y = quantize(x, bits, loading);
    let error = 0;
    let power = 0;
    for (let n = 0; n < x.re.length; n++) {
      error += (y.re[n] - x.re[n]) ** 2 + (y.im[n] - x.im[n]) ** 2;
      power += x.re[n] ** 2 + x.im[n] ** 2;
    }
    expect(Math.abs(10 * Math.log10(power / error) - sqnrDb)).toBeLessThan(0.05);
  });

  // Source: hand check 6: b = 12, rms 12 dB below full scale, 122.88/9: 73.35 dB in an empty channel; simulated 73.4/73.3.
  test('the floor in an empty channel: 12 bits, 12 dB headroom, 9 MHz of 122.88', () => {
    const sampleRateHz = 122.88e6;
    const bins = 2 * Math.round((4.5e6 / sampleRateHz) * 262144) + 1;
    const x = flatNoise(10 ** -1.2, 3, { length: 262144, bins });
    const options = {
      sampleRateHz,
      method: 'wholeRecord',
      window: 'hann',
      segmentLength: 64,
      overlapRatio: 0,
    } as const;
    const spectrum = estimateSpectrum(quantize(x, 12), options);
    const ratioDb = 10 * Math.log10(bandPower(spectrum, 0, 9e6) / bandPower(spectrum, 10e6, 9e6));
    expect(quantizerFloorDb(12, 10 ** -1.2, sampleRateHz, 9e6)).toBeCloseTo(73.35, 1);
    expect(Math.abs(ratioDb - 73.35)).toBeLessThan(0.3);
  });
});

describe('clocks', () => {
  // Source: reference check ME-10: SNR = −20·log10(2π·f·σ), 100 MHz and 1 ps: 64.036 dB.
  test('aperture jitter on a tone', () => {
    const random = createRandom(10, 'jitter');
    const length = 200_000;
    const [x, y] = [zeros(length), zeros(length)];
    for (let n = 0; n < length; n++) {
      const angle = 2 * Math.PI * 100e6 * (n / 491.52e6);
      const late = 2 * Math.PI * 100e6 * 1e-12 * random.normal();
      x.re[n] = Math.cos(angle);
      x.im[n] = Math.sin(angle);
      y.re[n] = Math.cos(angle + late);
      y.im[n] = Math.sin(angle + late);
    }
    expect(Math.abs(-measureNmseDb(x, y) - 64.03640263)).toBeLessThan(0.05);
  });

  // Source: reference check ME-12: −100 dBc/Hz over 1 MHz each side: σ² = 2·10⁻¹⁰·10⁶, EVM 1.4142 %, −36.99 dBc.
  test('flat phase noise of a density', () => {
    const sampleRateHz = 10e6;
    const bins = 2 * Math.round((1e6 / sampleRateHz) * 262144) + 1;
    const sigma = Math.sqrt(2 * 10 ** -10 * 1e6);
    const phase = flatNoise(1, 12, { length: 262144, bins }).re;
    const rms = Math.sqrt(phase.reduce((sum, value) => sum + value * value, 0) / phase.length);
    const [x, y] = [zeros(phase.length), zeros(phase.length)];
    for (let n = 0; n < phase.length; n++) {
      const error = (sigma / rms) * phase[n];
      x.re[n] = 1;
      y.re[n] = Math.cos(error);
      y.im[n] = Math.sin(error);
    }
    expect(sigma).toBeCloseTo(0.01414213562, 9);
    expect(Math.abs(measureNmseDb(x, y) + 36.98970004)).toBeLessThan(0.02);
  });
});
