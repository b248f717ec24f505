import { describe, expect, test } from 'vitest';
import {
  amplitudeRatioToDb,
  dbmToW,
  dbToAmplitudeRatio,
  dbToPowerRatio,
  FLOOR_DB,
  peakToAverageDb,
  powerRatioToDb,
  wToDbm,
} from '../../../src/engine/dsp/decibels.ts';

describe('ratios', () => {
  // Source: definition of the bel; 2 → 3.0103 dB of power, 6.0206 dB of amplitude.
  test('powers and amplitudes', () => {
    expect(powerRatioToDb(2)).toBeCloseTo(3.010299956639812, 14);
    expect(amplitudeRatioToDb(2)).toBeCloseTo(6.020599913279624, 14);
    expect(amplitudeRatioToDb(-2)).toBeCloseTo(6.020599913279624, 14);
    expect(peakToAverageDb(20, 2)).toBeCloseTo(10, 14);
  });

  test.each([-120, -3, 0, 0.01, 45])('%f dB come back', (db) => {
    expect(powerRatioToDb(dbToPowerRatio(db))).toBeCloseTo(db, 12);
    expect(amplitudeRatioToDb(dbToAmplitudeRatio(db))).toBeCloseTo(db, 12);
  });

  // Source: architecture: dB floor at one named constant, never NaN or −∞.
  test('nothing is below the floor', () => {
    expect([0, 1e-31, -1].map(powerRatioToDb)).toEqual([FLOOR_DB, FLOOR_DB, FLOOR_DB]);
    expect(amplitudeRatioToDb(0)).toBe(FLOOR_DB);
    expect(powerRatioToDb(1.0001e-30)).toBeCloseTo(FLOOR_DB, 3);
  });
});

describe('powers', () => {
  // Source: product check F41: 36.5 dBm ↔ 4.467 W; 0 dBm is 1 mW.
  test('dBm and W', () => {
    expect(dbmToW(36.5)).toBeCloseTo(4.467, 3);
    expect(wToDbm(4.466835921509632)).toBeCloseTo(36.5, 12);
    expect(dbmToW(0)).toBeCloseTo(1e-3, 15);
    expect(wToDbm(1)).toBe(30);
  });
});
