import { describe, expect, test } from 'vitest';
import type { AclrReading, FloorReport } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import type { WindowName } from '../../../src/engine/dsp/windows.ts';
import { measureAclr, standardChannels, worstAclrDb } from '../../../src/engine/measurement/aclr.ts';
import { type EstimatorSettings, estimatorFloorDb, nameLimits } from '../../../src/engine/measurement/floors.ts';
import { bandLimitedNoise } from '../../../src/engine/waveform/noise.ts';
import { bench, generate } from '../waveform/build.ts';

const settings = (window: WindowName, segmentLength: number): EstimatorSettings => ({
  method: 'segments',
  window,
  segmentLength,
  sampleRateHz: 122.88e6,
});

// The Quarry Link waveform without crest-factor reduction: 24 symbols at 122.88 Msps behind the 513-tap channel filter.
const { waveform } = generate(bench);
const [geometry] = waveform.carriers;
const [adjacent] = standardChannels(waveform.carriers);

function sourceAclrDb(estimator: EstimatorSettings): number {
  const spectrum = estimateSpectrum(waveform.signal, { ...estimator, overlapRatio: 0.5 });
  const { readings } = measureAclr(spectrum, waveform.sampleRateHz, waveform.carriers, [adjacent]);
  expect(readings.map(({ side }) => side)).toEqual(['lower', 'upper']);
  return worstAclrDb(readings) as number;
}

const floorDb = (estimator: EstimatorSettings) => estimatorFloorDb(estimator, geometry.occupiedBandwidthHz, adjacent);

// Source: pitfall P10, computed with numpy on a record of its own seed: rectangular segments −38 for a −117 source, a
// 512-point window −78. Tolerance 1.5 dB: the digits given, and another seed.
describe('P10: the source alone, through different estimators', () => {
  test('rectangular segments show a false floor near 38 dB', () => {
    expect(Math.abs(sourceAclrDb(settings('rectangular', 8192)) - 38)).toBeLessThan(1.5);
  });

  test('a 512-point window shows one near 78 dB', () => {
    expect(Math.abs(sourceAclrDb(settings('blackmanHarris', 512)) - 78)).toBeLessThan(1.5);
  });

  // Source: the product's bench, "its own adjacent power is −117 dBc", read with the default segments; exact bins show
  // that the source itself is better still. Tolerance 3 dB: what is left is the skirt of the channel filter just below
  // 5.5 MHz, seen through the window's main lobe.
  test('the default reads 117 dB, exact bins more', () => {
    expect(Math.abs(sourceAclrDb(settings('blackmanHarris', 8192)) - 117)).toBeLessThan(3);
    expect(sourceAclrDb({ ...settings('rectangular', 8192), method: 'wholeRecord' })).toBeGreaterThan(130);
  });
});

describe('estimatorFloorDb', () => {
  // Flat noise in the same 9 MHz: nothing at all beside it on exact bins, so that what is read is the estimator's leakage.
  const length = 1 << 17;
  const halfBinCount = Math.round((9e6 / 122.88e6) * (length / 2));
  const noise = bandLimitedNoise(length, halfBinCount, createRandom(1, 'floor'));

  function noiseAclrDb(estimator: EstimatorSettings): number {
    const spectrum = estimateSpectrum(noise, { ...estimator, overlapRatio: 0.5 });
    return worstAclrDb(measureAclr(spectrum, 122.88e6, waveform.carriers, [adjacent]).readings) as number;
  }

  test('the noise itself has no neighbour', () => {
    expect(noiseAclrDb({ ...settings('rectangular', 8192), method: 'wholeRecord' })).toBeGreaterThan(250);
  });

  // Source: measurement. 2 dB: the formula integrates the window's spectrum, the reading cuts bins in proportion, which
  // matters where the channel's edge meets the steep foot of the main lobe (at worst flat top, 512 points: 2.1 dB).
  test.each([
    ['rectangular', 8192],
    ['rectangular', 1024],
    ['hann', 2048],
    ['hann', 512],
    ['blackmanHarris', 1024],
    ['blackmanHarris', 512],
    ['blackmanHarris', 256],
    ['flatTop', 1024],
    ['flatTop', 256],
  ] as const)('%s, %i points: what is measured on flat noise', (window, segmentLength) => {
    const estimator = settings(window, segmentLength);
    expect(Math.abs(floorDb(estimator) - noiseAclrDb(estimator))).toBeLessThan(2);
  });

  // Source: the Quarry Link waveform, whose own leakage is below 130 dB on exact bins. Windows whose sidelobes decide;
  // with a wide main lobe the skirt inside the guard band leaks too.
  test.each([
    ['rectangular', 8192],
    ['rectangular', 1024],
    ['hann', 1024],
    ['hann', 512],
  ] as const)('%s, %i points: what is measured on the waveform', (window, segmentLength) => {
    const estimator = settings(window, segmentLength);
    expect(Math.abs(floorDb(estimator) - sourceAclrDb(estimator))).toBeLessThan(2);
  });

  // Source: rectangular window, |W|² falls as 1/(π·d)² at d bins, sin² averaging to 1/2. From a flat band of B bins to
  // one of the same width at spacing S: L = 1/(2π²B)·ln(S²/(S² − B²)); here B/S = 0.9.
  test('a rectangular window follows its closed form', () => {
    const bins = (geometry.occupiedBandwidthHz * 8192) / 122.88e6;
    const expected = -powerRatioToDb(Math.log(1 / (1 - 0.9 ** 2)) / (2 * Math.PI ** 2 * bins));
    expect(Math.abs(floorDb(settings('rectangular', 8192)) - expected)).toBeLessThan(0.3);
  });

  // Source: the check table's note on touching channels: 4-term Blackman-Harris, 8192 points, 38.5 dB. Its channels hold
  // an eighth of the band (1025 bins).
  test('touching channels leak through any window', () => {
    const channel = { name: 'adjacent', offsetHz: 1025, bandwidthHz: 1025 };
    const estimator = { ...settings('blackmanHarris', 8192), sampleRateHz: 8192 };
    expect(Math.abs(estimatorFloorDb(estimator, 1025, channel) - 38.5)).toBeLessThan(1.5);
  });

  test('longer segments and a better window lower it; exact bins have rounding only', () => {
    expect(floorDb(settings('blackmanHarris', 1024))).toBeGreaterThan(floorDb(settings('blackmanHarris', 512)) + 3);
    expect(floorDb(settings('blackmanHarris', 512))).toBeGreaterThan(floorDb(settings('hann', 512)) + 10);
    expect(floorDb({ ...settings('rectangular', 8192), method: 'wholeRecord' })).toBeGreaterThan(250);
  });
});

describe('nameLimits', () => {
  const reading = (side: 'lower' | 'upper', aclrDb: number): AclrReading => ({
    channel: 'adjacent',
    side,
    offsetHz: 1e7,
    centreHz: side === 'lower' ? -1e7 : 1e7,
    bandwidthHz: 9e6,
    filter: 'square',
    spreadDb: null,
    densityDbmPerMHz: null,
    aclrDb,
    limitedBy: null,
  });
  const floor = (name: FloorReport['name'], lower: number, upper: number): FloorReport => ({
    name,
    aclrDb: Math.min(lower, upper),
    readings: [
      { channel: 'adjacent', side: 'lower', aclrDb: lower },
      { channel: 'adjacent', side: 'upper', aclrDb: upper },
    ],
    meaning: '',
  });

  // Source: report contract: "the floor within 10 dB of this reading that speaks loudest, or null", side by side.
  test('names the loudest floor within 10 dB, per side', () => {
    const floors = [floor('source', 58, 75), floor('estimator', 54, 62), floor('idealLimiter', 80, 80)];
    const named = nameLimits([reading('lower', 50), reading('upper', 51)], floors);
    expect(named.map(({ limitedBy }) => limitedBy)).toEqual(['estimator', null]);
    expect(named.map(({ aclrDb }) => aclrDb)).toEqual([50, 51]);
  });

  test('a floor better by 10 dB or more does not speak', () => {
    const at = (aclrDb: number) => nameLimits([reading('lower', 50)], [floor('source', aclrDb, aclrDb)])[0].limitedBy;
    expect([at(59.99), at(60.01)]).toEqual(['source', null]);
  });
});
