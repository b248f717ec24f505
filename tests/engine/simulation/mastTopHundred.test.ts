// Scenario S5 of the hand-outs (scenarios.md), computed there with numpy/scipy on the same amplifier formula: tolerance
// 1.5 dB and 0.5 points. Adjacent ratios hardly depend on the record's length, so most runs take 4 of the 12 symbols; EVM
// does, by what the equalizer learns of the noise, so it is read on the whole preset.
import { describe, expect, test } from 'vitest';
import { mastTopHundred } from '../../../shared/presets/mastTopHundred.ts';
import type { Report, Subject } from '../../../shared/schema/report.ts';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { scale } from '../../../src/engine/dsp/complex.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { makeWaveform } from '../../../src/engine/simulation/makeWaveform.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

const memory = createRunMemory();
const { waveform } = mastTopHundred;

interface Change {
  readonly outputBackoffDb?: number;
  readonly highestOrder?: number;
  readonly memoryDepth?: number;
  readonly learning?: object;
  readonly targetPaprDb?: number;
  readonly symbolCount?: number;
  readonly uncorrected?: boolean;
}

function scenarioOf(change: Change): ScenarioInput {
  const { outputBackoffDb = 9, highestOrder = 9, memoryDepth = 4, symbolCount = 4, targetPaprDb = 7.5 } = change;
  const nonlinearOrders = [1, 3, 5, 7, 9].filter((order) => order <= highestOrder);
  const learning = change.learning ?? { passCount: 3 };
  const crestFactorReduction = { ...waveform.crestFactorReduction, targetPaprDb };
  return {
    ...mastTopHundred,
    waveform: { ...waveform, symbolCount, crestFactorReduction },
    operatingPoint: { outputBackoffDb },
    predistorter: change.uncorrected ? null : { nonlinearOrders, memoryDepth, learning },
  };
}

function run(change: Change): Report {
  const outcome = runScenario(scenarioOf(change), { memory, withoutBestDrive: true });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

function sides(report: Report, subject: Exclude<Subject, 'ideal'>): [number, number] {
  const readings = report[subject]?.aclr ?? [];
  const at = (side: string) => readings.find((one) => one.channel === 'adjacent' && one.side === side)?.aclrDb ?? 0;
  return [at('lower'), at('upper')];
}

const thirdPassDb = (report: Report) => report.learning?.passes[2]?.worstAclrDb ?? 0;
const stateOf = (report: Report, limit: string) =>
  report.verdicts.find((one) => one.of === 'corrected' && one.limit === limit)?.state;

describe('Mast-Top Hundred', () => {
  const whole = run({ symbolCount: 12 });

  test('alone it reads 25.4/26.7 dB at 7, 8 and 9 dB of output back-off alike: back-off does not help', () => {
    const readings = [7, 8, 9].map((outputBackoffDb) =>
      sides(run({ outputBackoffDb, uncorrected: true }), 'uncorrected'),
    );
    for (const [lower, upper] of readings) {
      // Printed to 0.1 dB; ours scatter by 0.1 dB with the seed.
      expect(Math.abs(lower - 25.4)).toBeLessThan(0.3);
      expect(Math.abs(upper - 26.7)).toBeLessThan(0.3);
    }
  });

  test.each([
    [5, 1, 3, 34.4],
    [7, 3, 12, 39.2],
  ])(
    'order %d × %d taps, %d coefficients: third pass %f dB',
    (highestOrder, memoryDepth, coefficientCount, expectedDb) => {
      const report = run({ highestOrder, memoryDepth });
      expect(report.learning?.coefficientCount).toBe(coefficientCount);
      expect(Math.abs(thirdPassDb(report) - expectedDb)).toBeLessThan(1);
      expect(stateOf(report, 'aclr')).toBe('fail');
    },
  );

  test('9th × 4, 20 coefficients: 43.8/44.9 dB and 2.7 %, at 40.0 dBm', () => {
    expect(whole.learning?.coefficientCount).toBe(20);
    expect(whole.corrected?.meanPowerDbm).toBeCloseTo(40, 1);
    const [lower, upper] = sides(whole, 'corrected');
    expect(Math.abs(lower - 43.8)).toBeLessThan(0.5);
    expect(Math.abs(upper - 44.9)).toBeLessThan(0.5);
    expect(Math.abs((whole.corrected?.evm?.rmsPercent ?? 0) - 2.7)).toBeLessThan(0.5);
  });

  test('the honest failure: with a crest factor of 7.5 dB the ratio misses, with 6.5 dB EVM does', () => {
    expect(stateOf(whole, 'aclr')).toBe('fail');
    expect(stateOf(whole, 'evm')).toBe('pass');
    expect(whole.answer).toMatch(/and misses ACLR adjacent by 1\.\d dB\.$/);
    const low = run({ targetPaprDb: 6.5, symbolCount: 12 });
    const [lower, upper] = sides(low, 'corrected');
    expect(Math.abs(lower - 45.5)).toBeLessThan(0.5);
    expect(Math.abs(upper - 46.6)).toBeLessThan(0.5);
    expect(Math.abs((low.corrected?.evm?.rmsPercent ?? 0) - 4.8)).toBeLessThan(0.5);
    expect(stateOf(low, 'aclr')).not.toBe('fail');
    expect(stateOf(low, 'evm')).toBe('fail');
  });

  // The third pass reads 36.4 … 37.8 dB over four seed triples and records of 4, 6, 12 and 24 symbols, 37.1 dB on average.
  test('at 7.5 dB 20 coefficients are worse than 12, until passes and ridge: 36.3, 38.6, 40.5 dB', () => {
    const outputBackoffDb = 7.5;
    const twelve = thirdPassDb(run({ outputBackoffDb, highestOrder: 7, memoryDepth: 3 }));
    const twenty = run({ outputBackoffDb, learning: { passCount: 8, ridge: 1e-6 } });
    const third = thirdPassDb(run({ outputBackoffDb, symbolCount: 6 }));
    expect(Math.abs(twelve - 38.6)).toBeLessThan(1.5);
    expect(Math.abs(third - 36.3)).toBeLessThan(1.5);
    expect(third).toBeLessThan(twelve);
    const best = Math.min(...sides(twenty, 'corrected'));
    expect(Math.abs(best - 40.5)).toBeLessThan(1.5);
    expect(best).toBeGreaterThan(twelve);
  });

  test('the amplifier swings little past saturated power at +10 dB of drive', () => {
    const scenario = scenarioOf({});
    const made = makeWaveform(scenario);
    const checked = checkScenario(scenario);
    if (made.kind === 'invalid' || checked.kind === 'invalid') throw new Error('the preset is sound');
    const { signal } = made.waveform;
    const record = { sampleRateHz: 491.52e6, sampleCount: signal.re.length };
    const outcome = createAmplifier(checked.scenario.amplifier.model, record);
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const { model } = outcome;
    // 9 dB of output back-off takes 0.351 of drive rms; 3.2 times that is +10 dB.
    const y = model.amplify(scale(signal, 0.351 * 10 ** (10 / 20)));
    let peak = 0;
    for (let n = 0; n < y.re.length; n++) peak = Math.max(peak, y.re[n] ** 2 + y.im[n] ** 2);
    // The sum of its output taps allows 1 + 0.08 + 0.03, +0.91 dB, and CW reaches |1.03 − 0.08j|, +0.28 dB. The 0.1 dB
    // that the other presets keep is not kept here: +0.4 dB.
    expect(20 * Math.log10(model.outputBound ?? 99)).toBeCloseTo(20 * Math.log10(1.11), 6);
    expect(10 * Math.log10(peak)).toBeLessThan(0.6);
    expect(10 * Math.log10(peak)).toBeGreaterThan(0.2);
  });
});
