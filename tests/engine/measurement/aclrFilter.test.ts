// The root-raised-cosine measuring filter against its integrals, and UTRA readings in closed form.
import { describe, expect, test } from 'vitest';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import type { PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { type AclrChannel, measureAclr } from '../../../src/engine/measurement/aclr.ts';
import { filteredPower, filterSpanHz, isFilterInside } from '../../../src/engine/measurement/measuringFilter.ts';
import { flatSpectrum } from './flatSpectrum.ts';

const CHIP_RATE = 3.84e6;
const ALPHA = 0.22;
const rrc = { kind: 'rrc', bandwidthHz: CHIP_RATE } as const;

/** |H|² as the definition says it. */
function passed(f: number): number {
  const flat = ((1 - ALPHA) * CHIP_RATE) / 2;
  const distance = Math.abs(f);
  if (distance <= flat) return 1;
  if (distance >= ((1 + ALPHA) * CHIP_RATE) / 2) return 0;
  return (1 + Math.cos((Math.PI * (distance - flat)) / (ALPHA * CHIP_RATE))) / 2;
}

describe('root-raised-cosine filter', () => {
  // Source: TS 25.104 (from memory): the noise bandwidth of |H|² is the chip rate, 3.84 MHz, wherever bins lie.
  test.each([
    [1e3, 0],
    [1e4, 3.3e3],
    [7.3e3, -1.234567e6],
    [1e5, 12345.678],
    [4e5, -5e6],
    [3e6, 1e6],
  ])('noise bandwidth 3.84 MHz on bins of %d Hz about %d Hz', (binWidthHz, centreHz) => {
    const spectrum = flatSpectrum(40e6, binWidthHz, [[-30e6, 30e6, 2.5]]);
    expect(filteredPower(spectrum, centreHz, rrc) / 2.5 / CHIP_RATE).toBeCloseTo(1, 11);
  });

  // Each bin is weighed by the mean of |H|² over it: Simpson's rule on 2000 points over one bin alone. 1e-9 of the bin.
  test.each([-2.4e6, -2.2e6, -1.6e6, -1.4e6, 0, 1.6e6, 1.8e6, 2e6, 2.4e6, 2.6e6])('one bin at %d Hz', (binHz) => {
    const spectrum = flatSpectrum(20e6, 2e5, [[binHz - 1e5, binHz + 1e5, 1]]);
    const steps = 2000;
    let sum = 0;
    for (let k = 0; k <= steps; k++) {
      const weight = k === 0 || k === steps ? 1 : k % 2 === 1 ? 4 : 2;
      sum += weight * passed(binHz - 1e5 + (k * 2e5) / steps);
    }
    const expected = (sum * 2e5) / steps / 3;
    expect(Math.abs(filteredPower(spectrum, 0, rrc) - expected)).toBeLessThan(2e5 * 1e-6);
  });

  test('half of the bin at −fs/2 lies at the top of the axis', () => {
    const spectrum = flatSpectrum(20e6, 1e5, [[-10e6, -9.95e6, 1]]);
    const one = { ...spectrum, power: spectrum.power.map((_, i) => (i === 0 ? 1 : 0)) };
    const reach = filterSpanHz(rrc) / 2;
    const top = filteredPower(one, 10e6 - reach, rrc);
    const bottom = filteredPower(one, -10e6 + reach, rrc);
    expect(top).toBeGreaterThan(0);
    expect(top).toBeCloseTo(bottom, 12);
  });

  // (1 + α)·R = 4.6848 MHz of band; a channel at 10 MHz needs 2·(10 + 2.3424) = 24.6848 Msps.
  test('needs its skirts inside ±fs/2', () => {
    expect(filterSpanHz(rrc)).toBeCloseTo(4.6848e6, 6);
    expect(isFilterInside(24.6848e6, 10e6, rrc)).toBe(true);
    expect(isFilterInside(24.684e6, 10e6, rrc)).toBe(false);
    expect(() => filteredPower(flatSpectrum(20e6, 1e5, []), 9e6, rrc)).toThrow(RangeError);
  });
});

/** Raised cosines (the power spectrum of root-raised-cosine pulses) at centres with levels, over a flat floor. */
function utraSpectrum(binWidthHz: number, carriers: readonly [number, number][], floor: number): PowerSpectrum {
  const flat = flatSpectrum(40e6, binWidthHz, [[-20e6, 20e6, floor]]);
  const power = flat.power.map((level, i) =>
    carriers.reduce(
      (sum, [centreHz, density]) => sum + density * passed(flat.frequencyHz[i] - centreHz) * binWidthHz,
      level,
    ),
  );
  return { ...flat, power };
}

const utraCarrier = [{ offsetHz: 0, occupiedBandwidthHz: 4.6848e6, channelBandwidthHz: 5e6 }];
const utraChannels: AclrChannel[] = [5e6, 10e6].map((offsetHz, i) => ({
  name: i === 0 ? 'adjacent' : 'alternate',
  offsetHz,
  bandwidthHz: CHIP_RATE,
  filter: 'rrc',
  own: rrc,
}));

describe('UTRA carrier, TS 25.104', () => {
  // A raised cosine behind its own filter passes ∫|H|⁴ = R·(1 − α/4); a flat floor of density d passes d·R. Bins of
  // 1 kHz sample the cosine: (π·1 kHz/845 kHz)²/24 of the skirts, below 1e-5 dB of the own power.
  test.each([1e-2, 1e-4, 1e-6])('over a floor of density %f', (density) => {
    const spectrum = utraSpectrum(1e3, [[0, 1]], density);
    const { readings } = measureAclr(spectrum, 40e6, utraCarrier, utraChannels);
    const expected = powerRatioToDb((1 - ALPHA / 4 + density) / density);
    expect(readings).toHaveLength(4);
    for (const { aclrDb, filter } of readings) {
      expect(aclrDb).toBeCloseTo(expected, 5);
      expect(filter).toBe('rrc');
    }
  });

  // Two carriers of the same shape 45 and 50 dB down, in the channels: both filters weigh alike, the ratio is theirs.
  test('a neighbour of the same shape reads its own level', () => {
    const carriers: [number, number][] = [
      [0, 1],
      [-5e6, 10 ** -4.5],
      [5e6, 10 ** -4.6],
      [-10e6, 10 ** -5],
      [10e6, 10 ** -5.1],
    ];
    const { readings } = measureAclr(utraSpectrum(1e3, carriers, 0), 40e6, utraCarrier, utraChannels);
    [45, 46, 50, 51].forEach((expected, i) => {
      expect(readings[i].aclrDb).toBeCloseTo(expected, 6);
    });
  });

  // The square filter of the same width would pass ∫|H|² over ±R/2 = R·(1 − α·(1/2 − 1/π)) of the carrier: 0.09 dB more.
  test('the filter on the own channel matters', () => {
    const spectrum = utraSpectrum(1e3, [[0, 1]], 0);
    const square = filteredPower(spectrum, 0, { kind: 'square', bandwidthHz: CHIP_RATE });
    expect(square / CHIP_RATE).toBeCloseTo(1 - ALPHA * (1 / 2 - 1 / Math.PI), 5);
    expect(filteredPower(spectrum, 0, rrc) / CHIP_RATE).toBeCloseTo(1 - ALPHA / 4, 5);
  });

  // Density against the ratio: an rrc channel's noise bandwidth is R. |y|² = 1 is −30 dBm.
  test('mean density in an rrc channel', () => {
    const spectrum = utraSpectrum(1e3, [[0, 1]], 1e-4);
    const { readings } = measureAclr(spectrum, 40e6, utraCarrier, utraChannels, -30);
    for (const { densityDbmPerMHz } of readings) {
      expect(densityDbmPerMHz).toBeCloseTo(-30 + powerRatioToDb(1e-4 * 1e6), 5);
    }
    const without = measureAclr(spectrum, 40e6, utraCarrier, utraChannels).readings;
    for (const { densityDbmPerMHz } of without) expect(densityDbmPerMHz).toBeNull();
  });
});
