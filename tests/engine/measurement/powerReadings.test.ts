// Powers, heat, mismatch and stress against definitions and handbook values (checks PW-01, PW-02, PW-07 to PW-10), by
// themselves and in the report of a run.
import { describe, expect, test } from 'vitest';
import type { OutputReport, Report } from '../../../shared/schema/report.ts';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import { antennaPowerDbm, outputPowerDbm } from '../../../src/engine/amplifier/operatingPoint.ts';
import { dbmToW, wToDbm } from '../../../src/engine/dsp/decibels.ts';
import {
  carrierStress,
  junctionTemperatureC,
  loadOf,
  powerAddedEfficiencyPercent,
  REFERENCE_OHM,
  reflectionRatio,
} from '../../../src/engine/measurement/powerReadings.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

/** 40 W of saturated power, nothing behind it. */
const SCALE = { saturatedPowerDbm: wToDbm(40), gainDb: 30, outputLossDb: 0 };

describe('the scale', () => {
  // Source: PW-01 (arithmetic), at its own 0.001 dB.
  test('PW-01: 2 W with a 10 dB crest factor from a 40 W stage', () => {
    const { expected } = checks['PW-01'];
    const mean = 2 / 40;
    const meanDbm = outputPowerDbm(mean, SCALE) ?? 0;
    const peakDbm = outputPowerDbm(10 * mean, SCALE) ?? 0;
    expect(SCALE.saturatedPowerDbm).toBeCloseTo(expected.Psat_dBm, 7);
    expect(meanDbm).toBeCloseTo(expected.Pavg_dBm, 7);
    expect(SCALE.saturatedPowerDbm - meanDbm).toBeCloseTo(expected.OBO_dB, 7);
    expect(peakDbm).toBeCloseTo(expected.peak_dBm, 7);
    expect(dbmToW(peakDbm)).toBeCloseTo(expected.peak_W, 9);
    expect(SCALE.saturatedPowerDbm - peakDbm).toBeCloseTo(expected.headroom_peak_to_sat_dB, 7);
  });

  // Source: PW-02 (arithmetic), at its own 1e-6.
  test.each(Object.entries(checks['PW-02'].expected))('PW-02: %s dB below 40 W is %d W', (backoffDb, watts) => {
    const dbm = outputPowerDbm(10 ** (-Number(backoffDb) / 10), SCALE) ?? 0;
    expect(Math.abs(dbmToW(dbm) / watts - 1)).toBeLessThan(1e-6);
  });
});

describe('definitions', () => {
  // Source: PW-07 (definition), exact. η of 50 %: 10 W of output from 20 W of DC.
  test.each([
    [10, checks['PW-07'].expected.PAE_eta50_G10dB],
    [13, checks['PW-07'].expected.PAE_eta50_G13dB],
  ])('PW-07: 50 %% drain efficiency at %d dB of gain add %d %%', (gainDb, expected) => {
    expect(powerAddedEfficiencyPercent(10, 10 / 10 ** (gainDb / 10), 20)).toBeCloseTo(expected, 8);
  });

  test('PW-07: 20 W through 2 K/W over a case of 60 °C', () => {
    expect(junctionTemperatureC(60, 20, 2)).toBe(checks['PW-07'].expected.Tj_C);
  });

  // Source: PW-08 (elementary), at its own 1e-6.
  test('PW-08: 40 W behind 0.8 dB', () => {
    const dbm = antennaPowerDbm(1, { ...SCALE, outputLossDb: 0.8 }) ?? 0;
    expect(dbmToW(dbm)).toBeCloseTo(checks['PW-08'].expected.W_after_0p8dB, 6);
  });

  // Source: PW-08: the through path of a coupler loses what it couples out; the same power balance as mismatch loss.
  test.each([
    [20, checks['PW-08'].expected.coupler20_loss_dB],
    [10, checks['PW-08'].expected.coupler10_loss_dB],
  ])('PW-08: a coupler of %d dB costs %d dB, as a load that sends back as much', (coupledDb, expected) => {
    const reflection = 10 ** (-coupledDb / 20);
    expect(loadOf((1 + reflection) / (1 - reflection)).mismatchLossDb).toBeCloseTo(expected, 8);
  });

  // Source: PW-09 (Pozar, Microwave Engineering), at its own 1e-6.
  test.each(Object.entries(checks['PW-09'].expected))('PW-09: VSWR %s', (vswr, { RL_dB, ML_dB }) => {
    const load = loadOf(Number(vswr));
    expect(load.returnLossDb).toBeCloseTo(RL_dB, 7);
    expect(load.mismatchLossDb).toBeCloseTo(ML_dB, 9);
    // What is not sent back goes on.
    expect(reflectionRatio(Number(vswr)) + 10 ** (-ML_dB / 10)).toBeCloseTo(1, 9);
  });

  test('a matched load sends nothing back; below 1 there is no VSWR', () => {
    expect(loadOf(1)).toEqual({ vswr: 1, returnLossDb: null, mismatchLossDb: expect.closeTo(0, 12) });
    expect(() => loadOf(0.9)).toThrow('reflectionRatio: a VSWR of 0.9 is below 1');
  });

  // Source: PW-10 (elementary), at its own 1e-6.
  test('PW-10: peak voltage and current of 40 W into 50 Ω', () => {
    const { voltageV, currentA } = carrierStress(40);
    expect(REFERENCE_OHM).toBe(50);
    expect(voltageV).toBeCloseTo(checks['PW-10'].expected.Vpk, 6);
    expect(voltageV / Math.SQRT2).toBeCloseTo(checks['PW-10'].expected.Vrms, 6);
    expect(currentA).toBeCloseTo(checks['PW-10'].expected.Ipk, 8);
  });
});

/** Noise at 8 dB output back-off from a 40 W stage through a hard knee, behind 0.8 dB, into a load of VSWR 2. */
function stage(amplifier: Partial<ScenarioInput['amplifier']> = {}): ScenarioInput {
  return {
    title: 'Stage',
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 20e6 }],
      sampleCount: 2 ** 14,
      sampleRateHz: 122.88e6,
    },
    amplifier: {
      model: { kind: 'filterNonlinearityFilter', kneeSharpness: 10 },
      saturatedPowerDbm: SCALE.saturatedPowerDbm,
      gainDb: 13,
      outputLossDb: 0.8,
      loadVswr: 2,
      ...amplifier,
      power: { caseTemperatureC: 60, thermalResistanceKPerW: 2, ...amplifier.power },
    },
    operatingPoint: { outputBackoffDb: 8 },
    predistorter: { nonlinearOrders: [1, 3], memoryDepth: 1, learning: { passCount: 1 } },
  };
}

function run(scenario: ScenarioInput): Report {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

/** Every reading given: a null fails the test that uses it. */
function known(output: OutputReport | null): Record<string, number> {
  return Object.fromEntries(
    Object.entries(output ?? {}).filter((entry): entry is [string, number] => typeof entry[1] === 'number'),
  );
}

describe('in a report', () => {
  const report = run(stage());
  const outputs = [report.uncorrected, report.corrected, report.ideal].map(known);

  test('PW-06: heat is what of the DC power does not leave as output', () => {
    for (const { heatW = NaN, dcPowerW = NaN, meanPowerW = NaN } of outputs) {
      expect(heatW).toBeCloseTo(dcPowerW - meanPowerW, 9);
      expect(heatW).toBeGreaterThan(0);
    }
  });

  // PW-07. The knee's gain is compressed a little, so that the drive is more than output less 13 dB.
  test('power-added efficiency takes the drive off: η·(1 − 1/G) with the gain that this output has', () => {
    for (const { powerAddedEfficiencyPercent: pae = NaN, efficiencyPercent = NaN, ...one } of outputs) {
      const { driveMeanW = NaN, meanPowerW = NaN, driveMeanDbm = NaN, drivePeakW = NaN, drivePeakDbm = NaN } = one;
      expect(driveMeanW).toBeCloseTo(10 ** (driveMeanDbm / 10 - 3), 12);
      expect(drivePeakW).toBeCloseTo(10 ** (drivePeakDbm / 10 - 3), 12);
      expect(pae).toBeCloseTo(efficiencyPercent * (1 - driveMeanW / meanPowerW), 9);
      expect(Math.abs(10 * Math.log10(meanPowerW / driveMeanW) - 13)).toBeLessThan(0.5);
    }
  });

  test('junction: 60 °C and 2 K for every watt of heat (PW-07)', () => {
    for (const { junctionTemperatureC: junction = NaN, heatW = NaN } of outputs)
      expect(junction).toBeCloseTo(60 + 2 * heatW, 9);
    const without = (power: NonNullable<ScenarioInput['amplifier']['power']>) =>
      run(stage({ power })).uncorrected.junctionTemperatureC;
    expect(without({ caseTemperatureC: null })).toBeNull();
    expect(without({ thermalResistanceKPerW: null })).toBeNull();
  });

  // PW-08: one for one in power, by the same factor in efficiency.
  test('behind 0.8 dB both power and efficiency are 0.8318 of those at the amplifier', () => {
    const share = checks['PW-08'].expected.W_after_0p8dB / 40;
    for (const one of outputs) {
      const { antennaEfficiencyPercent = NaN, efficiencyPercent = NaN, antennaMeanDbm = NaN, meanPowerW = NaN } = one;
      expect(antennaEfficiencyPercent / efficiencyPercent).toBeCloseTo(share, 8);
      expect(10 ** (antennaMeanDbm / 10 - 3) / meanPowerW).toBeCloseTo(share, 8);
    }
  });

  // PW-09: 9.5424 dB below what reaches the antenna port.
  test('a load of VSWR 2 sends back a ninth, at mean and at peak', () => {
    const { RL_dB, ML_dB } = checks['PW-09'].expected['2'];
    expect(report.amplifier.load.returnLossDb).toBeCloseTo(RL_dB, 7);
    expect(report.amplifier.load.mismatchLossDb).toBeCloseTo(ML_dB, 7);
    for (const one of outputs) {
      const { reflectedMeanDbm = NaN, reflectedPeakDbm = NaN, antennaMeanDbm = NaN, peakPowerDbm = NaN } = one;
      expect(reflectedMeanDbm).toBeCloseTo(antennaMeanDbm - RL_dB, 6);
      expect(reflectedPeakDbm).toBeCloseTo(peakPowerDbm - 0.8 - RL_dB, 6);
      expect(one['reflectedMeanW']).toBeCloseTo(10 ** (reflectedMeanDbm / 10 - 3), 9);
      expect(one['reflectedPeakW']).toBeCloseTo(10 ** (reflectedPeakDbm / 10 - 3), 9);
    }
  });

  // PW-10 scaled to the peak: √(P/40 W) of its voltage and current.
  test('the ideal limiter’s peak stays within 40 W, and its voltage within 63.2 V', () => {
    const { peakPowerW = NaN, peakPowerDbm = NaN, peakVoltageV = NaN, peakCurrentA = NaN } = known(report.ideal);
    expect(peakPowerW).toBeCloseTo(10 ** (peakPowerDbm / 10 - 3), 9);
    expect(peakPowerW).toBeLessThanOrEqual(40 + 1e-9);
    expect(peakVoltageV).toBeCloseTo(checks['PW-10'].expected.Vpk * Math.sqrt(peakPowerW / 40), 6);
    expect(peakCurrentA).toBeCloseTo(checks['PW-10'].expected.Ipk * Math.sqrt(peakPowerW / 40), 8);
  });

  test('the load changes what comes back and nothing else', () => {
    const matched = run(stage({ loadVswr: 1 }));
    const { reflectedMeanW, reflectedMeanDbm, reflectedPeakW, reflectedPeakDbm } = matched.uncorrected;
    expect([reflectedMeanW, reflectedMeanDbm, reflectedPeakW, reflectedPeakDbm]).toEqual([null, null, null, null]);
    expect(matched.amplifier.load.returnLossDb).toBeNull();
    expect(matched.uncorrected.aclr).toEqual(report.uncorrected.aclr);
    expect(matched.uncorrected.dcPowerW).toBe(report.uncorrected.dcPowerW);
    expect(matched.uncorrected.antennaMeanDbm).toBe(report.uncorrected.antennaMeanDbm);
  });

  test('without a gain nothing is known to be added; without a power scale nothing is read', () => {
    expect(run(stage({ gainDb: 0 })).uncorrected.powerAddedEfficiencyPercent).toBeNull();
    const { uncorrected } = run(stage({ saturatedPowerDbm: null }));
    const names = Object.keys(uncorrected).filter((name) => /W$|[a-z]C$|[a-z]V$|[a-z]A$|EfficiencyPercent$/.test(name));
    expect(names.length).toBeGreaterThan(10);
    for (const name of names) expect(uncorrected[name as keyof OutputReport], name).toBeNull();
  });
});
