// Pitfall P30: a mask is a density in a narrow bandwidth, ACLR an integral over a channel; neither tells the other.
import { describe, expect, test } from 'vitest';
import type { MaskLimitSettings } from '../../../shared/schema/measurement.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { measureAclr, standardChannels } from '../../../src/engine/measurement/aclr.ts';
import { measureMask } from '../../../src/engine/measurement/emissionMask.ts';
import { type FlatPiece, flatSpectrum } from './flatSpectrum.ts';

const RATE = 61.44e6;
const BIN = 1e4;
const carriers = [{ offsetHz: 0, occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }];

/** −14 dBm in 100 kHz from 5 to 10 MHz beside the channel edge, as TS 38.104 Table 6.6.4.2.1-2 beyond its slope. */
const mask: MaskLimitSettings = {
  reading: 'mask',
  name: 'flat',
  unit: 'dBm',
  measuredFrom: 'channelEdge',
  ratedPowerDbm: null,
  pieces: [
    {
      fromHz: 0.05e6,
      toHz: 10e6,
      startLevel: -14,
      endLevel: -14,
      measuringBandwidthHz: 1e5,
      atMostDbm: null,
      atLeastDbm: null,
    },
  ],
  source: 'made up',
  status: 'own',
};

/** A carrier of 36.5 dBm over a flat floor, and a bump of 90 kHz on whole bins; |y|² = 1 is 0 dBm. */
function read(floorDbmPer100kHz: number, bumpDbm: number | null) {
  const mw = (dbm: number) => 10 ** (dbm / 10);
  const pieces: FlatPiece[] = [
    [-4.5e6, 4.5e6, mw(36.5) / 9e6],
    [-30e6, 30e6, mw(floorDbmPer100kHz) / 1e5],
    ...(bumpDbm === null ? [] : [[9.955e6, 10.045e6, mw(bumpDbm) / 9e4] as const]),
  ];
  const spectrum = flatSpectrum(RATE, BIN, pieces);
  const { readings } = measureAclr(spectrum, RATE, carriers, standardChannels(carriers));
  const { reading } = measureMask(spectrum, RATE, carriers, mask, { unitDbm: 0, meanDbm: 36.5 });
  return { aclrDb: readings[1].aclrDb, marginDb: reading?.worstMarginDb ?? Number.NaN };
}

describe('mask and ACLR are computed each for itself (P30)', () => {
  // 90 pieces of 100 kHz in 9 MHz: a floor of −28 dBm each holds −28 + 19.54 = −8.46 dBm, 45.0 dB under 36.5; the mask has
  // 14 dB of room. A bump of −12 dBm
  // over a floor of −40 dBm breaks the mask by 2 dB, and the channel as a whole holds −12 dBm as well: 48 dB.
  test('a floor just at 45 dB leaves the mask 14 dB of room', () => {
    const { aclrDb, marginDb } = read(-28, null);
    expect(aclrDb).toBeCloseTo(36.5 + 28 - powerRatioToDb(90), 1);
    expect(marginDb).toBeCloseTo(14, 1);
  });

  test('a narrow bump breaks the mask and not the ACLR', () => {
    const { aclrDb, marginDb } = read(-40, -12);
    expect(marginDb).toBeCloseTo(-2, 1);
    expect(aclrDb).toBeGreaterThan(45);
  });

  test('a wide floor breaks the ACLR and not the mask', () => {
    const { aclrDb, marginDb } = read(-20, null);
    expect(aclrDb).toBeLessThan(37.1);
    expect(marginDb).toBeGreaterThan(5.9);
  });
});
