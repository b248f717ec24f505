import { describe, expect, test } from 'vitest';
import { addScaled, type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { bandPower, estimateSpectrum, type PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import {
  type AclrCarrier,
  type AclrChannel,
  carrierUnder,
  channelCentreHz,
  densityDbmPerMHz,
  measureAclr,
  standardChannels,
  worstAclrDb,
} from '../../../src/engine/measurement/aclr.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

const MHZ = 1e6;
const carrier = (offsetHz = 0, channelBandwidthHz = 10 * MHZ, occupiedBandwidthHz = 9 * MHZ): AclrCarrier => ({
  offsetHz,
  occupiedBandwidthHz,
  channelBandwidthHz,
});

/** Flat pieces [from, to, level] on a grid of 10 kHz. */
function piecewise(sampleRateHz: number, pieces: readonly [number, number, number][]): PowerSpectrum {
  const binWidthHz = 1e4;
  const size = sampleRateHz / binWidthHz;
  const frequencyHz = Float64Array.from({ length: size }, (_, i) => (i - size / 2) * binWidthHz);
  const levelAt = (f: number) => pieces.find(([from, to]) => f >= from && f < to)?.[2] ?? 0;
  const power = frequencyHz.map(levelAt);
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

describe('DX-05: the integrator on tones of known level', () => {
  const rate = 61.44 * MHZ;
  const length = 61440;
  /** [MHz, dB]; 1 kHz is one cycle per record. */
  const tones = [
    [0, 0],
    [-9, -40],
    [8, -45],
    [-19.5, -60],
    [23, -65],
  ];
  const x = tones.reduce<ComplexSignal>((sum, [mhz, db]) => {
    const tone = zeros(length);
    for (let n = 0; n < length; n++) {
      const angle = (2 * Math.PI * ((mhz * 1000 * n) % length)) / length;
      tone.re[n] = Math.cos(angle);
      tone.im[n] = Math.sin(angle);
    }
    return addScaled(sum, { re: 10 ** (db / 20), im: 0 }, tone);
  }, zeros(length));
  const expected = checks['DX-05'].expected;

  // Source: constructed, DX-05. Its tolerances: 0.01 dB coherent, 0.05 dB with Blackman-Harris segments of ≥ 2048.
  test.each([
    ['wholeRecord', 2048, 0.01],
    ['segments', 2048, 0.05],
    ['segments', 8192, 0.05],
  ] as const)('%s, %i points', (method, segmentLength, tolerance) => {
    const spectrum = estimateSpectrum(x, {
      sampleRateHz: rate,
      method,
      window: 'blackmanHarris',
      segmentLength,
      overlapRatio: 0.5,
    });
    const { readings, outside } = measureAclr(spectrum, rate, [carrier()], standardChannels([carrier()]));
    expect(outside).toEqual([]);
    const names = readings.map(({ channel, side }) => `${channel} ${side}`);
    expect(names).toEqual(['adjacent lower', 'adjacent upper', 'alternate lower', 'alternate upper']);
    [expected.L1, expected.U1, expected.L2, expected.U2].forEach((db, i) => {
      expect(Math.abs(readings[i].aclrDb - db)).toBeLessThan(tolerance);
    });
    expect(worstAclrDb(readings)).toBe(readings[0].aclrDb);
    expect(worstAclrDb(readings, 'alternate')).toBe(readings[2].aclrDb);
  });
});

describe('OF-02: channels outside ±fs/2 are refused', () => {
  const nr = carrier(0, 10 * MHZ, 9.36 * MHZ);
  const { LTE10_ACLR1, LTE10_ACLR2, NR10_ACLR1, NR10_ACLR2 } = checks['OF-02'].expected;

  function channelsRead(rateHz: number, one: AclrCarrier) {
    const flat = piecewise(rateHz, [[-Infinity, Infinity, 1]]);
    const { readings, outside } = measureAclr(flat, rateHz, [one], standardChannels([one]));
    return { read: readings.map((reading) => reading.channel), outside };
  }

  // Source: fs ≥ 2·offset + bandwidth (definition). At 15.36 Msps the adjacent channel does not exist (pitfall P19).
  test('none is read at 15.36 Msps, and each is listed with its centre', () => {
    const { read, outside } = channelsRead(15.36 * MHZ, carrier());
    expect(read).toEqual([]);
    expect(outside.map(({ channel, side, centreHz }) => [channel.name, side, centreHz / MHZ])).toEqual([
      ['adjacent', 'lower', -10],
      ['adjacent', 'upper', 10],
      ['alternate', 'lower', -20],
      ['alternate', 'upper', 20],
    ]);
  });

  test.each([
    ['LTE adjacent', carrier(), LTE10_ACLR1, 2],
    ['LTE alternate', carrier(), LTE10_ACLR2, 4],
    ['NR adjacent', nr, NR10_ACLR1, 2],
    ['NR alternate', nr, NR10_ACLR2, 4],
  ])('%s is read from %s Msps on', (_, one, leastMsps, count) => {
    const leastHz = Math.round(leastMsps * 100) * 1e4;
    expect(channelsRead(leastHz, one).read.length).toBe(count);
    expect(channelsRead(leastHz - 2e4, one).read.length).toBe(count - 2);
  });

  // One side alone outside: the carrier sits above the middle. Pitfall P28: the missing side is listed, never dropped.
  test('a side that is missing is listed beside the side that is read', () => {
    const flat = piecewise(40 * MHZ, [[-Infinity, Infinity, 1]]);
    const channels = standardChannels([carrier(8 * MHZ)]).slice(0, 1);
    const { readings, outside } = measureAclr(flat, 40 * MHZ, [carrier(8 * MHZ)], channels);
    expect(readings.map(({ side }) => side)).toEqual(['lower']);
    expect(outside.map(({ side }) => side)).toEqual(['upper']);
  });
});

describe('which carrier and which channel', () => {
  const carriers = [carrier(10 * MHZ, 5 * MHZ, 4.5 * MHZ), carrier(-12 * MHZ), carrier(0)];

  // Source: TS 38.104 clause 6.6.3: lower side against the lowest carrier, upper side against the highest.
  test('each side is compared with its outer carrier', () => {
    const spectrum = piecewise(80 * MHZ, [
      [-16.5 * MHZ, -7.5 * MHZ, 2],
      [-4.5 * MHZ, 4.5 * MHZ, 50],
      [7.75 * MHZ, 12.25 * MHZ, 8],
      [-26.5 * MHZ, -17.5 * MHZ, 0.02],
      [15.5 * MHZ, 24.5 * MHZ, 0.008],
    ]);
    const channel: AclrChannel = { name: 'adjacent', offsetHz: 10 * MHZ, bandwidthHz: 9 * MHZ };
    const { readings } = measureAclr(spectrum, 80 * MHZ, carriers, [channel]);
    expect(channelCentreHz(carriers, channel, 'lower')).toBe(-22 * MHZ);
    expect(channelCentreHz(carriers, channel, 'upper')).toBe(20 * MHZ);
    // 2/0.02 over 9 MHz each; 8 over 4.5 MHz against 0.008 over 9 MHz. The bin at a piece's edge is half outside.
    expect(readings[0].aclrDb).toBeCloseTo(20, 1);
    expect(readings[1].aclrDb).toBeCloseTo(powerRatioToDb((8 * 4.5) / (0.008 * 9)), 1);
  });

  // Source: TS 38.104 Table 6.6.3.2-1: the offset goes by the bandwidth of the lowest or highest carrier, side by side.
  test('standard channels go by the outer carrier of their side, one and two channels away', () => {
    expect(standardChannels(carriers)).toEqual([
      { name: 'adjacent', side: 'lower', offsetHz: 10 * MHZ, bandwidthHz: 9 * MHZ },
      { name: 'adjacent', side: 'upper', offsetHz: 5 * MHZ, bandwidthHz: 4.5 * MHZ },
      { name: 'alternate', side: 'lower', offsetHz: 20 * MHZ, bandwidthHz: 9 * MHZ },
      { name: 'alternate', side: 'upper', offsetHz: 10 * MHZ, bandwidthHz: 4.5 * MHZ },
    ]);
    expect(standardChannels([carrier(-12 * MHZ), carrier(12 * MHZ)])).toEqual([
      { name: 'adjacent', offsetHz: 10 * MHZ, bandwidthHz: 9 * MHZ },
      { name: 'alternate', offsetHz: 20 * MHZ, bandwidthHz: 9 * MHZ },
    ]);
  });

  test('a channel of one side is read on that side alone', () => {
    const flat = piecewise(80 * MHZ, [[-Infinity, Infinity, 1]]);
    const { readings } = measureAclr(flat, 80 * MHZ, carriers, standardChannels(carriers));
    expect(readings.map(({ channel, side, bandwidthHz }) => [channel, side, bandwidthHz / MHZ])).toEqual([
      ['adjacent', 'lower', 9],
      ['adjacent', 'upper', 4.5],
      ['alternate', 'lower', 9],
      ['alternate', 'upper', 4.5],
    ]);
  });

  test('a channel over a carrier is found; one that touches is not', () => {
    const under = (offsetHz: number, side: 'lower' | 'upper') =>
      carrierUnder(carriers, { name: 'near', offsetHz, bandwidthHz: 4 * MHZ }, side, 1e3)?.offsetHz ?? null;
    expect(under(4 * MHZ, 'upper')).toBe(10 * MHZ);
    expect(under(4.25 * MHZ, 'upper')).toBeNull();
    expect(under(6.4 * MHZ, 'lower')).toBe(-12 * MHZ);
    expect(under(6.5 * MHZ, 'lower')).toBeNull();
  });

  // Source: ITU practice of free offset and bandwidth: a narrow channel placed by hand.
  test('offset and bandwidth are free', () => {
    const spectrum = piecewise(80 * MHZ, [
      [-4.5 * MHZ, 4.5 * MHZ, 1],
      [6 * MHZ, 9 * MHZ, 0.001],
    ]);
    const channel = { name: 'near', offsetHz: 7.5 * MHZ, bandwidthHz: 1 * MHZ };
    const { readings } = measureAclr(spectrum, 80 * MHZ, [carrier()], [channel]);
    expect(readings[1].aclrDb).toBeCloseTo(powerRatioToDb(9 / 0.001), 1);
  });
});

describe('numbers that must stay sound', () => {
  test('an empty neighbour reads the floor, not infinity', () => {
    const spectrum = piecewise(80 * MHZ, [[-4.5 * MHZ, 4.5 * MHZ, 1]]);
    const { readings } = measureAclr(spectrum, 80 * MHZ, [carrier()], standardChannels([carrier()]));
    expect(readings.map(({ aclrDb }) => aclrDb)).toEqual([300, 300, 300, 300]);
  });

  test('the worst side of a channel that was not read is null', () => {
    expect(worstAclrDb([])).toBeNull();
  });

  // Source: hand check F41: −45 dBc over 9 MHz at 36.5 dBm is −18.0 dBm/MHz: 36.5 − 45 − 10·log10(9).
  test('a density follows from an ACLR', () => {
    const spectrum = piecewise(80 * MHZ, [
      [-4.5 * MHZ, 4.5 * MHZ, 1],
      [5.5 * MHZ, 14.5 * MHZ, 10 ** -4.5],
    ]);
    const own = bandPower(spectrum, 0, 9 * MHZ);
    const perMHz = bandPower(spectrum, 10 * MHZ, 1 * MHZ);
    expect(36.5 + powerRatioToDb(perMHz / own)).toBeCloseTo(-18.0, 1);
    const { readings } = measureAclr(spectrum, 80 * MHZ, [carrier()], standardChannels([carrier()]).slice(0, 1));
    expect(densityDbmPerMHz(36.5, readings[1].aclrDb, readings[1].bandwidthHz)).toBeCloseTo(-18.0, 1);
    expect(densityDbmPerMHz(36.5, 45, 9 * MHZ)).toBeCloseTo(-18.04, 2);
  });
});
