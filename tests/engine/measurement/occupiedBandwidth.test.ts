import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { estimateSpectrum, type PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { measureOccupiedBandwidth } from '../../../src/engine/measurement/occupiedBandwidth.ts';
import { bandLimitedNoise } from '../../../src/engine/waveform/noise.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

/** A density over ±2 symbol rates in steps of 1/2000. */
function spectrumOf(density: (f: number) => number): PowerSpectrum {
  const binWidthHz = 1 / 2000;
  const size = 8001;
  const frequencyHz = Float64Array.from({ length: size }, (_, i) => (i - 4000) * binWidthHz);
  const power = frequencyHz.map((f) => density(f) * binWidthHz);
  return {
    frequencyHz,
    power,
    binWidthHz,
    resolutionBandwidthHz: binWidthHz,
    segmentLength: size,
    segmentCount: 1,
    runs: [],
  };
}

/** Raised cosine: the power spectrum of root-raised-cosine pulses at unit symbol rate. */
function raisedCosine(rolloff: number): (f: number) => number {
  return (f) => {
    const distance = Math.abs(f) - (1 - rolloff) / 2;
    if (distance <= 0) return 1;
    return distance >= rolloff ? 0 : 0.5 * (1 + Math.cos((Math.PI * distance) / rolloff));
  };
}

describe('DX-06: 99 % of the power', () => {
  const { expected } = checks['DX-06'];

  // Source: DX-06, numeric integral in closed shape. Its tolerance: 1e-4.
  test.each([
    ['rrc 0.2', 0.2],
    ['rrc 0.22', 0.22],
    ['rrc 0.25', 0.25],
    ['rrc 0.35', 0.35],
    ['rrc 0.5', 0.5],
  ] as const)('%s', (row, rolloff) => {
    const { occupiedBandwidthHz } = measureOccupiedBandwidth(spectrumOf(raisedCosine(rolloff)));
    expect(Math.abs(occupiedBandwidthHz - expected[row])).toBeLessThan(1e-4);
  });

  // Source: DX-06: a flat rectangle of width B occupies 0.99·B. The bins are cut in proportion: exact.
  test('a rectangle', () => {
    const flat = spectrumOf((f) => (Math.abs(f) < 0.50001 ? 1 : 0));
    const { occupiedBandwidthHz, lowerHz, upperHz } = measureOccupiedBandwidth(flat);
    const width = 2001 / 2000;
    expect(occupiedBandwidthHz).toBeCloseTo(expected.rect * width, 12);
    expect(lowerHz).toBeCloseTo(-0.495 * width, 12);
    expect(upperHz).toBeCloseTo(0.495 * width, 12);
  });

  // Source: DX-06 on a record: flat noise on 20001 exact bins. The 100 bins at either end scatter by 10 % together,
  // which moves each edge by about 10 bins: four standard deviations of both are 60 bins.
  test('flat noise', () => {
    const bins = 20001;
    const x = bandLimitedNoise(1 << 16, (bins - 1) / 2, createRandom(1, 'noise'));
    const spectrum = estimateSpectrum(x, {
      sampleRateHz: 1 << 16,
      method: 'wholeRecord',
      window: 'rectangular',
      segmentLength: 1 << 16,
      overlapRatio: 0,
    });
    expect(Math.abs(measureOccupiedBandwidth(spectrum).occupiedBandwidthHz - 0.99 * bins)).toBeLessThan(60);
  });
});

describe('other cases', () => {
  test('another share', () => {
    const flat = spectrumOf((f) => (Math.abs(f) < 0.50001 ? 1 : 0));
    expect(measureOccupiedBandwidth(flat, 0.5).occupiedBandwidthHz).toBeCloseTo((0.5 * 2001) / 2000, 12);
  });

  // Source: half a percent is left out at either end: a carrier with less than that beside it is not widened by it.
  test('counts a neighbour only when it holds more than its share', () => {
    const withNeighbour = (level: number) =>
      spectrumOf((f) => (Math.abs(f) < 0.50001 ? 1 : f > 1 && f < 1.5 ? level : 0));
    expect(measureOccupiedBandwidth(withNeighbour(0.005)).upperHz).toBeLessThan(0.51);
    expect(measureOccupiedBandwidth(withNeighbour(0.02)).upperHz).toBeGreaterThan(1);
  });

  test('one line is as wide as its bin at most', () => {
    const line = spectrumOf((f) => (Math.abs(f) < 1e-6 ? 1 : 0));
    expect(measureOccupiedBandwidth(line).occupiedBandwidthHz).toBeCloseTo(0.99 / 2000, 12);
  });
});
