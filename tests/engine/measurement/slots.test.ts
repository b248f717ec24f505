// Slots on flat spectra in closed form: mean density of the reference carriers over mean density in the slot.
import { describe, expect, test } from 'vitest';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { carrierInSlot, densityBandHz, measureSlots, type SlotCarrier } from '../../../src/engine/measurement/slots.ts';
import { type FlatPiece, flatSpectrum } from './flatSpectrum.ts';

const carrier = (offsetMHz: number, occupiedMHz: number, symbolMHz: number | null = null): SlotCarrier => ({
  offsetHz: offsetMHz * 1e6,
  occupiedBandwidthHz: occupiedMHz * 1e6,
  notch: null,
  singleCarrier: symbolMHz === null ? null : { symbolRateHz: symbolMHz * 1e6 },
});
const slot = (centreMHz: number, referenceCarriers: number[] = []) => ({
  name: `slot ${centreMHz}`,
  centreHz: centreMHz * 1e6,
  bandwidthHz: 3.84e6,
  referenceCarriers,
});
/** From and to in MHz; reaches a bin of 10 kHz further. */
const piece = (from: number, to: number, density: number): FlatPiece => [from * 1e6 - 1e4, to * 1e6 + 1e4, density];

describe('measureSlots', () => {
  const carriers = [carrier(-10, 4), carrier(-5, 4), carrier(5, 4), carrier(10, 2)];
  const spectrum = flatSpectrum(80e6, 1e4, [
    piece(-12, -8, 1),
    piece(-7, -3, 2),
    piece(3, 7, 4),
    piece(9, 11, 8),
    piece(-1.92, 1.92, 1e-3),
    piece(13.08, 16.92, 5e-4),
    piece(-16.92, -13.08, 2e-4),
  ]);

  // By definition: (Σ power / Σ bandwidth) of the references over the slot's density. Equal widths: mean of densities.
  test.each<[number, number[], number]>([
    [0, [1, 2], (2 * 4 + 4 * 4) / 8 / 1e-3],
    [15, [1, 2], (2 * 4 + 4 * 4) / 8 / 5e-4],
    [-15, [3], 8 / 2e-4],
    [0, [], (4 + 8 + 16 + 16) / 14 / 1e-3],
    [0, [2, 3], (16 + 16) / 6 / 1e-3],
  ])('at %d MHz against carriers %j', (centreMHz, references, ratio) => {
    const [reading] = measureSlots(spectrum, 80e6, carriers, [slot(centreMHz, references)]);
    expect(reading.ratioDb).toBeCloseTo(powerRatioToDb(ratio), 8);
    expect(reading).toMatchObject({ name: `slot ${centreMHz}`, bandwidthHz: 3.84e6, densityDbmPerMHz: null });
  });

  // |y|² = 1 is 30 dBm: a density of 1e-3 per Hz over 1 MHz is 30 + 30 dB.
  test('tells the density at the antenna port', () => {
    const [reading] = measureSlots(spectrum, 80e6, carriers, [slot(0)], 30);
    expect(reading.densityDbmPerMHz).toBeCloseTo(60, 8);
  });

  test('a slot outside ±fs/2 is not read, an empty one reads the floor', () => {
    expect(measureSlots(spectrum, 80e6, carriers, [slot(39)])).toEqual([]);
    expect(measureSlots(spectrum, 80e6, carriers, [slot(25)])[0].ratioDb).toBe(300);
  });

  // A raised cosine of symbol rate R and unit density holds R·(1 − α·(1/2 − 1/π)) within ±R/2: 0.07 dB below one for
  // α = 0.2; over the occupied (1 + α)·R the mean density would be 1/1.2, 0.79 dB below.
  test('a single carrier counts over its symbol rate', () => {
    const symbolRate = 3.84;
    const alpha = 0.2;
    const single = carrier(5, (1 + alpha) * symbolRate, symbolRate);
    expect(densityBandHz(single)).toBe(3.84e6);
    const flat = flatSpectrum(80e6, 1e3, [piece(-1.92, 1.92, 1e-3)]);
    const power = flat.power.map((level, i) => {
      const distance = Math.abs(flat.frequencyHz[i] / 1e6 - 5) - ((1 - alpha) * symbolRate) / 2;
      const phase = Math.min(1, Math.max(0, distance / (alpha * symbolRate)));
      return level + ((1 + Math.cos(Math.PI * phase)) / 2) * 1e3;
    });
    const [reading] = measureSlots({ ...flat, power }, 80e6, [single], [slot(0)]);
    expect(reading.ratioDb).toBeCloseTo(30 + powerRatioToDb(1 - alpha * (1 / 2 - 1 / Math.PI)), 4);
  });
});

describe('carrierInSlot', () => {
  const carriers = [carrier(-5, 4.6), { ...carrier(5, 9), notch: { lowerHz: -1e6, upperHz: 1e6 } }];
  const at = (centreMHz: number, widthMHz: number) =>
    carrierInSlot(carriers, { ...slot(centreMHz), bandwidthHz: widthMHz * 1e6 }, 1e3);

  test.each<[string, number, number, number | null]>([
    ['between the carriers', -1, 2, null],
    ['touching one', -1.7, 2, null],
    ['cutting into one', -1.8, 2, 0],
    ['inside one', -5, 1, 0],
    ['around one', -5, 6, 0],
    ['inside a notch', 5, 2, null],
    ['wider than the notch', 5, 2.1, 1],
  ])('%s', (_, centreMHz, widthMHz, index) => {
    expect(at(centreMHz, widthMHz)).toBe(index === null ? null : carriers[index]);
  });
});
