// What the transmitter's noise and the analyser's floor do to a reading, against the closed form of added powers.
import { describe, expect, test } from 'vitest';
import type { Report } from '../../../shared/schema/report.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

const addedDb = (...ratiosDb: number[]) => -10 * Math.log10(ratiosDb.reduce((sum, db) => sum + 10 ** (-db / 10), 0));

/** Flat noise through a cubic amplifier: a ratio that falls 2 dB for each dB of back-off. */
function scenario(outputBackoffDb: number, measurement: Record<string, unknown> = {}) {
  return {
    waveform: { carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }], sampleCount: 65536 },
    amplifier: {
      model: {
        kind: 'memoryPolynomial',
        nonlinearOrders: [1, 3],
        memoryDepth: 1,
        coefficients: [{ re: 1 }, { re: -0.05 }],
        driveRange: 2,
      },
      saturatedPowerDbm: 45,
      outputLossDb: 1,
    },
    operatingPoint: { outputBackoffDb },
    predistorter: null,
    measurement,
  };
}

function run(outputBackoffDb: number, measurement: Record<string, unknown> = {}): Report {
  const outcome = runScenario(scenario(outputBackoffDb, measurement));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const adjacent = (report: Report, side: 'lower' | 'upper' = 'lower') => {
  const reading = report.uncorrected.aclr.find((one) => one.channel === 'adjacent' && one.side === side);
  if (reading === undefined) throw new Error('no adjacent reading');
  return reading;
};

describe('an analyser floor (product.md F14, hand check 8; pitfall P31)', () => {
  const clean = run(12);
  const trueDb = adjacent(clean).aclrDb;

  // Source: closed form, powers add. Hand check 8: true 60 with floor 60 reads 57.0; true 55 with floor 65 reads 54.6.
  test.each([0, 5, 10, -10])('floor %d dB under the true ratio adds in power', (under) => {
    const floorDb = trueDb + under;
    const reading = adjacent(run(12, { noise: { analyserFloorDb: floorDb } }));
    expect(reading.aclrDb).toBeCloseTo(addedDb(trueDb, floorDb), 2);
  });

  test('the two numbers of the hand check', () => {
    expect(addedDb(60, 60)).toBeCloseTo(56.99, 2);
    expect(addedDb(55, 65)).toBeCloseTo(54.59, 2);
    // P31: true 55 with floor 60.
    expect(addedDb(55, 60)).toBeCloseTo(53.81, 2);
  });

  test('an equal floor reads 3.01 dB low and is named', () => {
    const report = run(12, { noise: { analyserFloorDb: trueDb } });
    expect(adjacent(report).aclrDb).toBeCloseTo(trueDb - 3.01, 2);
    expect(adjacent(report).limitedBy).toBe('analyser');
    const floor = report.floors.find(({ name }) => name === 'analyser');
    expect(floor?.aclrDb).toBeCloseTo(trueDb, 2);
    expect(clean.floors.some(({ name }) => name === 'analyser')).toBe(false);
  });
});

describe('transmitter noise (pitfall P34)', () => {
  // Source: closed form. 36.5 dBm at the antenna over 9 MHz is −33.04 dBm/Hz in the carrier; a density 65 dB under it is
  // 65 dB of ratio; the same noise under 20 dB less carrier is 45 dB.
  const ratedDbm = 45 - 1 - 12;
  const densityAtRated = ratedDbm - 10 * Math.log10(9e6) - 65;

  test('−65 dBc at rated power becomes −45 dBc 20 dB below', () => {
    const noise = { transmitterNoiseDbmPerHz: densityAtRated };
    const rated = run(12, { noise }).floors.find(({ name }) => name === 'transmitterNoise');
    const low = run(32, { noise });
    expect(rated?.aclrDb).toBeCloseTo(65, 1);
    expect(low.floors.find(({ name }) => name === 'transmitterNoise')?.aclrDb).toBeCloseTo(45, 1);
    // The amplifier's own ratio there is over 90 dB: the reading is the noise.
    expect(adjacent(low).aclrDb).toBeCloseTo(45, 1);
    expect(adjacent(low).limitedBy).toBe('transmitterNoise');
  });

  test('needs a power scale', () => {
    const base = scenario(12, { noise: { transmitterNoiseDbmPerHz: -120 } });
    const outcome = checkScenario({ ...base, amplifier: { ...base.amplifier, saturatedPowerDbm: null } });
    expect(outcome.kind).toBe('invalid');
    const paths = outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
    expect(paths).toEqual(['measurement.noise.transmitterNoiseDbmPerHz']);
  });

  // Source: EVM² grows by in-band noise over carrier power (ME-06: EVM = 10^(−SNR/20)).
  test('EVM grows by the noise in the carrier’s band', () => {
    const ofdm = (noise: Record<string, unknown>) => ({
      ...scenario(30, { noise }),
      waveform: { carriers: [{ kind: 'ofdm', channelBandwidthHz: 5e6 }], symbolCount: 12 },
    });
    const evm = (noise: Record<string, unknown>) => {
      const outcome = runScenario(ofdm(noise));
      if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
      return outcome.report.uncorrected.evm?.rmsPercent ?? Number.NaN;
    };
    const clean = evm({});
    // 14 dBm at the antenna over 4.5 MHz: 40 dB of signal to noise.
    const densityDbmPerHz = 45 - 1 - 30 - 10 * Math.log10(4.5e6) - 40;
    expect(evm({ transmitterNoiseDbmPerHz: densityDbmPerHz })).toBeCloseTo(Math.hypot(clean, 1), 3);
  });
});

describe('white noise behind other receivers', () => {
  const read = (waveform: Record<string, unknown>, measurement: Record<string, unknown>) => {
    const outcome = runScenario({ ...scenario(60, measurement), waveform });
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    return outcome.report.uncorrected;
  };
  // 60 dB below 45 dBm, 1 dB of output loss.
  const antennaDbm = 45 - 1 - 60;

  // Source: closed form. Behind a matched filter Es/N₀ = P/(R·N₀) and EVM = 10^(−(Es/N₀)/20) (ME-06): the noise band is
  // the symbol rate R, not the (1 + α)·R the carrier occupies.
  test.each([0.05, 0.5])('a single carrier’s EVM takes the noise in its symbol rate, roll-off %d', (rollOffRatio) => {
    const symbolRateHz = 3.84e6;
    const waveform = { carriers: [{ kind: 'singleCarrier', symbolRateHz, rollOffRatio }], sampleCount: 32768 };
    const transmitterNoiseDbmPerHz = antennaDbm - 10 * Math.log10(symbolRateHz) - 40;
    const { evm } = read(waveform, { noise: { transmitterNoiseDbmPerHz } });
    expect(evm?.rmsPercent).toBeCloseTo(1, 2);
  });

  // Source: closed form. All power P stands in the carrying band B, so a notch is filled up to P/(B·N₀), plus 1 for the
  // noise beside it: (P/B + N₀)/N₀.
  test.each([
    { kind: 'noise', occupiedBandwidthHz: 9e6, notch: { bandwidthHz: 1e6 } },
    { kind: 'ofdm', channelBandwidthHz: 10e6, notch: { bandwidthHz: 1e6, offsetHz: 2e6 } },
  ])('a notch of kind $kind is filled by transmitter noise and by the analyser’s floor', (carrier) => {
    const waveform = { carriers: [carrier], sampleCount: 65536, symbolCount: 12 };
    const clean = read(waveform, {});
    const bandHz = carrier.kind === 'noise' ? 8e6 : 624 * 15e3 - 68 * 15e3;
    const transmitterNoiseDbmPerHz = antennaDbm - 10 * Math.log10(bandHz) - 30;
    const expected = 10 * Math.log10(1 + 1000);
    const { notch } = read(waveform, { noise: { transmitterNoiseDbmPerHz } });
    expect(clean.notch?.ratioDb).toBeGreaterThan(80);
    expect(notch?.ratioDb).toBeCloseTo(expected, 1);
    expect(notch?.sourceRatioDb).toBe(clean.notch?.sourceRatioDb);
    // The analyser's floor counts from the mean density over the occupied band, notch included.
    const analyser = read(waveform, { noise: { analyserFloorDb: 30 } });
    const occupiedHz = carrier.kind === 'noise' ? 9e6 : 624 * 15e3;
    expect(analyser.notch?.ratioDb).toBeCloseTo(10 * Math.log10(1 + (1000 * occupiedHz) / bandHz), 1);
  });
});

describe('resolution bandwidth and averages', () => {
  test('a resolution bandwidth picks the segments whose noise bandwidth is nearest', () => {
    const report = run(12, { spectrum: { resolutionBandwidthHz: 30e3 } });
    const { resolutionBandwidthHz, segmentLength } = report.traces.conditions;
    expect(Math.abs(Math.log2(resolutionBandwidthHz / 30e3))).toBeLessThanOrEqual(0.5);
    expect(report.scenario.measurement.spectrum.segmentLength).toBe(segmentLength);
  });

  // Source: a mean of independent averages scatters as 1/√n. Fewer averages, more spread; the reading says how much.
  test('fewer averages scatter more, and the reading tells', () => {
    const spread = (averageCount: number) =>
      adjacent(run(12, { spectrum: { segmentLength: 1024, overlapRatio: 0, averageCount } })).spreadDb ?? Number.NaN;
    const ratio = spread(4) / spread(64);
    expect(ratio).toBeGreaterThan(2);
    expect(ratio).toBeLessThan(8);
  });

  test('a whole record has one spectrum and no spread to tell', () => {
    expect(adjacent(run(12, { spectrum: { method: 'wholeRecord' } })).spreadDb).toBeNull();
  });
});
