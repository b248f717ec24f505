import { describe, expect, test } from 'vitest';
import { levelDrive } from '../../../src/engine/amplifier/levelDrive.ts';
import {
  addScaled,
  type ComplexSignal,
  fromPairs,
  leastSquaresGain,
  meanPower,
  peakPower,
  scale,
} from '../../../src/engine/dsp/complex.ts';
import { dbToAmplitudeRatio, dbToPowerRatio, powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { bandPower } from '../../../src/engine/dsp/spectrum.ts';
import { heldRatio, holdAmplitude, idealLimiter } from '../../../src/engine/linearization/idealLimiter.ts';
import { measureAclr } from '../../../src/engine/measurement/aclr.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { channelPowers, wholeRecord } from '../measurement/flatNoise.ts';
import { randomSignal } from '../waveform/build.ts';
import { type MulticarrierRecord, multicarrierRecord } from './multicarrierRecord.ts';

describe('holdAmplitude', () => {
  // Source: definition: y = x·min(1, A/|x|); 3 + 4j has the amplitude 5.
  test('holds what is above and leaves the rest alone', () => {
    const x = fromPairs([{ re: 3, im: 4 }, { re: 1, im: -1 }, { re: 0 }, { re: -2 }]);
    const y = holdAmplitude(x, 2);
    expect(Array.from(y.re)).toEqual([expect.closeTo(1.2, 14), 1, 0, -2]);
    expect(Array.from(y.im)).toEqual([expect.closeTo(1.6, 14), -1, 0, 0]);
    expect(heldRatio(x, 2)).toBe(0.25);
    expect(peakPower(idealLimiter(x))).toBeCloseTo(1, 14);
  });
});

describe('GA-04: a hard stop on a complex Gaussian', () => {
  const x = scale(randomSignal(1 << 20, createRandom(1, 'noise')), Math.SQRT1_2);

  // Source: GA-04 (Ochiai and Imai 2002, from memory, re-derived by quadrature). 0.1 dB; at 7 and 8 dB, where 7000 and
  // 1900 samples are held, 0.3 dB, the check's own tolerance for simulation.
  test.each([
    [0, 0.1],
    [2, 0.1],
    [3, 0.1],
    [4, 0.1],
    [5, 0.1],
    [6, 0.1],
    [7, 0.3],
    [8, 0.3],
  ])('input back-off %f dB', (inputBackoffDb, toleranceDb) => {
    const expected = checks['GA-04'].expected[`${inputBackoffDb}` as '0'];
    const ceiling = dbToAmplitudeRatio(inputBackoffDb);
    const y = holdAmplitude(x, ceiling);
    const power = meanPower(x);
    const alpha = leastSquaresGain(x, y);
    const distortion = meanPower(addScaled(y, { re: -alpha.re, im: -alpha.im }, x));
    expect(Math.abs(alpha.re - expected.alpha)).toBeLessThan(1e-3);
    expect(Math.abs(alpha.im)).toBeLessThan(1e-3);
    expect(Math.abs(powerRatioToDb(meanPower(y) / power / expected.Pout_over_Pin))).toBeLessThan(0.01);
    expect(Math.abs(powerRatioToDb((alpha.re ** 2 * power) / distortion) - expected.SDR_dB)).toBeLessThan(toleranceDb);
    expect(Math.abs(powerRatioToDb(ceiling ** 2 / meanPower(y)) - expected.OBO_dB)).toBeLessThan(0.02);
    // Four standard deviations of a count.
    const scatter = 4 * Math.sqrt(expected.clip_prob / x.re.length);
    expect(Math.abs(heldRatio(x, ceiling) - expected.clip_prob)).toBeLessThan(scatter);
  });
});

describe('GA-13: emission of the ideal limiter, Gaussian waveform', () => {
  // Source: GA-13, Laguerre series with Eulerian weights; 0.3 dB for simulation. Above 7 dB a peak that is held comes too
  // rarely for that on this many samples. Eight bandwidths per sample rate: a hard corner has products of every order,
  // and what folds back lifts the alternate channel by 0.1 dB.
  test.each([
    [3, 8],
    [4, 8],
    [5, 8],
    [6, 16],
    [7, 32],
  ])('input back-off %f dB on %i records', (inputBackoffDb, recordCount) => {
    const expected = checks['GA-13'].expected[`${inputBackoffDb}` as '3'];
    const device = (x: ComplexSignal) => holdAmplitude(x, dbToAmplitudeRatio(inputBackoffDb));
    const { inChannel, total } = channelPowers(device, 1, recordCount, 2, { length: 1 << 18, bins: 32001 });
    for (const side of [-1, 1]) {
      expect(Math.abs(powerRatioToDb(inChannel(0) / inChannel(side)) - expected.ACLR1_dB)).toBeLessThan(0.3);
      expect(Math.abs(powerRatioToDb(inChannel(0) / inChannel(2 * side)) - expected.ACLR2_dB)).toBeLessThan(0.3);
    }
    expect(Math.abs(inputBackoffDb - powerRatioToDb(total) - expected.OBO_dB)).toBeLessThan(0.02);
  });
});

/** A record behind the ideal limiter at a wanted output back-off. */
function behindLimiter(record: MulticarrierRecord, outputBackoffDb: number) {
  const levelled = levelDrive({
    device: idealLimiter,
    waveform: record.signal,
    wantedMeanPower: dbToPowerRatio(-outputBackoffDb),
    maximumScale: 10,
  });
  if (levelled.kind !== 'levelled') throw new Error(`${outputBackoffDb} dB not reached`);
  const { drive, output } = levelled;
  const { readings } = measureAclr(wholeRecord(output), record.sampleRateHz, record.carriers, record.channels);
  const leakage = readings.map(({ aclrDb }) => dbToPowerRatio(-aclrDb));
  return { drive, output, leakage, inputBackoffDb: -powerRatioToDb(meanPower(drive)), held: heldRatio(drive, 1) };
}

/** Error inside the carrier after one gain, over the carrier: the check's EVM, shaping left out. */
function inBandErrorPercent(record: MulticarrierRecord, drive: ComplexSignal, output: ComplexSignal): number {
  const gain = leastSquaresGain(drive, output);
  const error = addScaled(output, { re: -gain.re, im: -gain.im }, drive);
  const inBand = bandPower(wholeRecord(error), 0, record.carriers[0].occupiedBandwidthHz);
  return 100 * Math.sqrt(inBand / (meanPower(drive) * (gain.re ** 2 + gain.im ** 2)));
}

// Source: LI-09, simulated with numpy on one record of its own seed: 64QAM on 32001 bins of 262144, the shaper as noted.
describe('LI-09: what the ideal limiter allows a shaped waveform', () => {
  const record = (target: number | null, seed: number) => multicarrierRecord(262144, 32001, 35557, target, seed);

  describe.each(['6', '7', '8'] as const)('shaped to %s dB', (target) => {
    const shaped = record(+target, 1);
    const rows = Object.entries(checks['LI-09'].expected[target].limit);

    test('keeps the target', () => {
      expect(shaped.peakToAverageDb).toBeLessThan(+target + 0.0201);
      expect(shaped.peakToAverageDb).toBeGreaterThan(+target - 0.15);
    });

    // 0.5 dB (1 dB is allowed): same recipe, another seed.
    test.each(rows.filter(([, { ACLR1 }]) => ACLR1 <= 60))('output back-off %s dB', (backoffDb, expected) => {
      const { drive, output, leakage, inputBackoffDb } = behindLimiter(shaped, +backoffDb);
      [expected.ACLR1, expected.ACLR1, expected.ACLR2, expected.ACLR2].forEach((aclrDb, i) => {
        expect(Math.abs(-powerRatioToDb(leakage[i]) - aclrDb)).toBeLessThan(0.5);
      });
      expect(Math.abs(inputBackoffDb - expected.IBO_dB)).toBeLessThan(0.02);
      expect(Math.abs(inBandErrorPercent(shaped, drive, output) / expected.EVM_pct - 1)).toBeLessThan(0.02);
    });

    // Above 60 dB the check asks that the limiter never acts; where output back-off and crest factor are equal, a peak
    // may stand out by the shaper's 0.02 dB.
    test.each(rows.filter(([, { ACLR1 }]) => ACLR1 > 60))('output back-off %s dB: it never acts', (backoffDb) => {
      const { leakage, held } = behindLimiter(shaped, +backoffDb);
      expect(held).toBeLessThan(+backoffDb > +target ? Number.MIN_VALUE : 1e-4);
      expect(-powerRatioToDb(Math.max(...leakage))).toBeGreaterThan(60);
    });
  });

  // Waveforms with rare peaks: six records are averaged here, but the check's single one scatters by itself. On 16 records
  // the power of what is held varies by 11 % at 7 dB of output back-off (0.5 dB) and 22 % at 8 dB (0.9 dB): two standard
  // deviations. Rows 9 and 10 hang on a few peaks of that one record: without shaping it reads 50.4 and 58.4 dB, where
  // the mean over all records is GA-13's 53.7 and 63.4 dB, tested above as far as records of this size allow.
  describe.each(['10', 'none'] as const)('shaped to %s dB', (target) => {
    const records = [1, 2, 3, 4, 5, 6].map((seed) => record(target === 'none' ? null : +target, seed));

    test.each([
      [3, 0.5],
      [4, 0.5],
      [5, 0.5],
      [6, 1],
      [7, 1],
      [8, 2],
    ])('output back-off %i dB', (backoffDb, toleranceDb) => {
      const expected = checks['LI-09'].expected[target].limit[`${backoffDb}` as '3'];
      const leakage = new Float64Array(4);
      for (const one of records) {
        behindLimiter(one, backoffDb).leakage.forEach((value, i) => {
          leakage[i] += value / records.length;
        });
      }
      [expected.ACLR1, expected.ACLR1, expected.ACLR2, expected.ACLR2].forEach((aclrDb, i) => {
        expect(Math.abs(-powerRatioToDb(leakage[i]) - aclrDb)).toBeLessThan(toleranceDb);
      });
    });
  });
});
