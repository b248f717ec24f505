import { describe, expect, test } from 'vitest';
import {
  antennaPowerDbm,
  drivePowerDbm,
  meanPowerOfBackoff,
  outputBackoffDbOf,
  outputPowerDbm,
  wantedOutputBackoffDb,
} from '../../../src/engine/amplifier/operatingPoint.ts';
import { dbmToW, wToDbm } from '../../../src/engine/dsp/decibels.ts';
import checks from '../../reference/amplifierChecks.json' with { type: 'json' };

const fortyWatt = { saturatedPowerDbm: wToDbm(40), gainDb: 36, outputLossDb: 0.8 };
const unknown = { ...fortyWatt, saturatedPowerDbm: null };

describe('watts, dBm and output back-off', () => {
  // PW-01: 40 W saturated, 2 W mean, crest factor 10 dB; arithmetic. Tolerance 0.001 dB as stated there.
  test('PW-01', () => {
    const { expected } = checks['PW-01'];
    expect(fortyWatt.saturatedPowerDbm).toBeCloseTo(expected.Psat_dBm, 7);
    const backoff = wantedOutputBackoffDb({ meanPowerW: 2 }, fortyWatt) as number;
    expect(backoff).toBeCloseTo(expected.OBO_dB, 7);
    const mean = meanPowerOfBackoff(backoff);
    expect(outputPowerDbm(mean, fortyWatt)).toBeCloseTo(expected.Pavg_dBm, 7);
    expect(outputPowerDbm(10 * mean, fortyWatt)).toBeCloseTo(expected.peak_dBm, 7);
    expect(dbmToW(outputPowerDbm(10 * mean, fortyWatt) ?? 0)).toBeCloseTo(expected.peak_W, 9);
    expect(outputBackoffDbOf(10 * mean)).toBeCloseTo(expected.headroom_peak_to_sat_dB, 7);
  });

  // PW-02: mean output of the 40 W amplifier against output back-off; arithmetic.
  test.each(Object.entries(checks['PW-02'].expected))('PW-02 at %s dB', (backoffDb, watts) => {
    const power = dbmToW(outputPowerDbm(meanPowerOfBackoff(Number(backoffDb)), fortyWatt) ?? 0);
    expect(Math.abs(power - watts)).toBeLessThan(1e-6);
    expect(wantedOutputBackoffDb({ meanPowerW: watts }, fortyWatt)).toBeCloseTo(Number(backoffDb), 6);
  });

  // F41: 36.5 dBm is 4.467 W, printed to a milliwatt.
  test('F41', () => {
    expect(Math.abs(dbmToW(36.5) - 4.467)).toBeLessThan(0.0005);
    expect(wToDbm(4.467)).toBeCloseTo(36.5, 3);
    const amplifier = { saturatedPowerDbm: 45.5, gainDb: 36, outputLossDb: 0 };
    expect(wantedOutputBackoffDb({ meanPowerDbm: 36.5 }, amplifier)).toBeCloseTo(9, 12);
    expect(wantedOutputBackoffDb({ meanPowerW: dbmToW(36.5) }, amplifier)).toBeCloseTo(9, 9);
  });
});

describe('the planes of the chain', () => {
  test('the antenna port lies behind the output loss', () => {
    expect(wantedOutputBackoffDb({ antennaMeanDbm: 36 }, fortyWatt)).toBeCloseTo(wToDbm(40) - 36.8, 12);
    expect(antennaPowerDbm(0.1, fortyWatt)).toBeCloseTo(wToDbm(4) - 0.8, 12);
  });

  // PW-08: 0.8 dB of loss leave 33.27055084 W of 40 W; 10^(−x/10), elementary.
  test('PW-08', () => {
    expect(Math.abs(dbmToW(antennaPowerDbm(1, fortyWatt) ?? 0) - 33.27055084)).toBeLessThan(1e-6);
  });

  test('the drive is the output of the small-signal gain, less that gain in dB', () => {
    // |x|² = 1e-4 with gain 1.05 at 36 dB: −40 dB + 0.42 dB under saturation at the output, 36 dB less at the input.
    const g = { re: 0, im: 1.05 };
    expect(drivePowerDbm(1e-4, fortyWatt, g)).toBeCloseTo(wToDbm(40) - 40 + 20 * Math.log10(1.05) - 36, 12);
  });

  test('an output back-off is taken as it is', () => {
    expect(wantedOutputBackoffDb({ outputBackoffDb: -1.5 }, unknown)).toBe(-1.5);
    expect(outputBackoffDbOf(meanPowerOfBackoff(7.3))).toBeCloseTo(7.3, 12);
  });
});

describe('a saturated power that is not known', () => {
  test.each([
    ['meanPowerDbm', 36.5],
    ['meanPowerW', 4.467],
    ['antennaMeanDbm', 36],
  ])('%s cannot be levelled to: an issue with the remedy', (field, value) => {
    expect(wantedOutputBackoffDb({ [field]: value }, unknown)).toEqual([
      {
        path: `operatingPoint.${field}`,
        rule: 'needs the amplifier’s saturated power, which is not known',
        value: String(value),
        remedy: 'give amplifier.saturatedPowerDbm, or state the level as outputBackoffDb',
      },
    ]);
  });
  test('readings in dBm are null', () => {
    expect(outputPowerDbm(0.5, unknown)).toBeNull();
    expect(antennaPowerDbm(0.5, unknown)).toBeNull();
    expect(drivePowerDbm(0.5, unknown, { re: 1, im: 0 })).toBeNull();
  });
  test('an operating point that states nothing is a programmer’s mistake', () => {
    expect(() => wantedOutputBackoffDb({}, fortyWatt)).toThrow(
      'wantedOutputBackoffDb: the operating point states no power',
    );
  });
});
