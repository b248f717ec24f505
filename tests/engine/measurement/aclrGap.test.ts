// CACLR and ACLR in gaps on flat spectra, in closed form: TS 38.104 Tables 6.6.3.2-3 and -2a (read).
import { describe, expect, test } from 'vitest';
import { aclrRules } from '../../../shared/tables/aclrRules.ts';
import { numerologies } from '../../../shared/tables/numerologies.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { type AclrCarrier, carrierUnder, measureAclr } from '../../../src/engine/measurement/aclr.ts';
import { ruleChannels } from '../../../src/engine/measurement/aclrRules.ts';
import { type FlatPiece, flatSpectrum } from './flatSpectrum.ts';

const RATE = 491.52e6;
const BIN = 1e4;

/** A carrier of flat density. */
interface FlatCarrier extends AclrCarrier {
  readonly density: number;
}

function carrier(offsetMHz: number, channelMHz: number, occupiedMHz: number, density: number): FlatCarrier {
  return {
    offsetHz: offsetMHz * 1e6,
    channelBandwidthHz: channelMHz * 1e6,
    occupiedBandwidthHz: occupiedMHz * 1e6,
    density,
  };
}

function gapReadings(carriers: readonly FlatCarrier[], floors: readonly FlatPiece[]) {
  const bands = carriers.map(
    ({ offsetHz, occupiedBandwidthHz: width, density }): FlatPiece => [
      offsetHz - width / 2 - BIN,
      offsetHz + width / 2 + BIN,
      density,
    ],
  );
  const channels = ruleChannels(aclrRules.ts38104, numerologies, carriers);
  const { readings, outside } = measureAclr(
    flatSpectrum(RATE, BIN, [...bands, ...floors]),
    RATE,
    carriers,
    channels,
    0,
  );
  expect(outside).toEqual([]);
  return readings.filter(({ channel }) => channel === 'gap');
}

describe('a gap of 12 MHz between 10 and 20 MHz carriers', () => {
  const carriers = [carrier(-11, 10, 9.36, 1), carrier(16, 20, 19.08, 0.5)];
  // Channel edges at −6 and 6 MHz. Floor of 1e-4 below the middle and 4e-5 above it.
  const readings = gapReadings(carriers, [
    [-6e6, 0, 1e-4],
    [0, 6e6, 4e-5],
  ]);
  const sum = 9.36 * 1 + 19.08 * 0.5;

  // Slots at 2.5 and 7.5 MHz from either edge, 4.5 MHz wide: [side, from edge, from, to] in MHz.
  const slots = [
    ['lower', 2.5, -5.75, -1.25],
    ['lower', 7.5, -0.75, 3.75],
    ['upper', 2.5, 1.25, 5.75],
    ['upper', 7.5, -3.75, 0.75],
  ] as const;

  test('has two slots from either edge', () => {
    expect(
      readings.map(({ side, offsetHz, centreHz, bandwidthHz }) => [side, offsetHz, centreHz, bandwidthHz]),
    ).toEqual(slots.map(([side, offset, from, to]) => [side, offset * 1e6, ((from + to) / 2) * 1e6, 4.5e6]));
  });

  // Sum of both carriers over the power in the slot; densities by definition, |y|² = 1 being 0 dBm. Flat pieces: 1e-9.
  test.each(slots.map((slot, i) => [...slot, i] as const))('%s edge, %d MHz', (_side, _offset, from, to, i) => {
    const below = Math.max(0, Math.min(to, 0) - from) * 1e-4;
    const above = Math.max(0, to - Math.max(from, 0)) * 4e-5;
    expect(readings[i].aclrDb).toBeCloseTo(powerRatioToDb(sum / (below + above)), 8);
    expect(readings[i].densityDbmPerMHz).toBeCloseTo(powerRatioToDb(((below + above) * 1e6) / 4.5), 8);
  });
});

describe('a wide gap', () => {
  // 25 MHz between 10 MHz carriers of unequal power: each edge against its own carrier alone, Table 6.6.3.2-2a.
  test('holds each slot against the carrier of its edge', () => {
    const readings = gapReadings(
      [carrier(-17.5, 10, 9.36, 1), carrier(17.5, 10, 8.64, 0.01)],
      [[-12.5e6, 12.5e6, 1e-5]],
    );
    const own = (side: string) => (side === 'lower' ? 9.36 : 8.64 * 0.01);
    expect(readings).toHaveLength(4);
    for (const { side, aclrDb } of readings) {
      expect(aclrDb).toBeCloseTo(powerRatioToDb(own(side) / (4.5 * 1e-5)), 8);
    }
  });

  // Carriers of 25 MHz and more: 19.08 MHz slots at 10 and 30 MHz; 50 MHz of gap has both, summed.
  test('between wide carriers has 20 MHz slots', () => {
    const readings = gapReadings([carrier(-50, 50, 48.6, 1), carrier(45, 40, 38.88, 1)], [[-25e6, 25e6, 2e-5]]);
    expect(readings.map(({ side, offsetHz }) => [side, offsetHz / 1e6])).toEqual([
      ['lower', 10],
      ['lower', 30],
      ['upper', 10],
      ['upper', 30],
    ]);
    for (const { bandwidthHz, aclrDb } of readings) {
      expect(bandwidthHz).toBe(19.08e6);
      expect(aclrDb).toBeCloseTo(powerRatioToDb((48.6 + 38.88) / (19.08 * 2e-5)), 8);
    }
  });
});

// The table's slots lie in the gap: none reaches a carrier's occupied band, at the narrowest gap of each kind either.
test('slots never reach into the carriers', () => {
  for (const [lower, gap, upper] of [
    [10, 5, 10],
    [10, 10.1, 20],
    [20, 19.9, 25],
    [25, 20, 20],
    [100, 40.1, 100],
    [30, 60, 30],
    [5, 5, 100],
  ] as const) {
    const carriers = [carrier(-lower / 2, lower, 0.98 * lower, 1), carrier(gap + upper / 2, upper, 0.98 * upper, 1)];
    const slots = ruleChannels(aclrRules.ts38104, numerologies, carriers).filter(({ name }) => name === 'gap');
    expect(slots.length).toBeGreaterThan(0);
    for (const slot of slots) expect(carrierUnder(carriers, slot, slot.side ?? 'lower', 1)).toBeNull();
  }
});
