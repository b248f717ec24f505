// Drain efficiency and DC power against the closed forms of Cripps and Raab (checks PW-03 to PW-06) and, for class AB,
// against sums over the clipped cosine itself.
import { describe, expect, test } from 'vitest';
import type { PowerClass, ScenarioInput } from '../../../shared/schema/scenario.ts';
import type { PowerModel } from '../../../src/engine/amplifier/powerDefaults.ts';
import type { ComplexSignal } from '../../../src/engine/dsp/complex.ts';
import {
  cwEfficiencyPercent,
  dcCurveOf,
  dcPowerRatio,
  measureEfficiency,
  powerModelLabel,
} from '../../../src/engine/measurement/efficiency.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

function model(name: PowerClass, change: Partial<PowerModel> = {}): PowerModel {
  return { class: name, efficiencyFactor: 1, quiescentRatio: 0.1, ...change };
}

const CLASSES = [
  ['A', 'A'],
  ['B', 'B'],
  ['twoDevice', 'Doherty'],
] as const;

describe('constant carrier', () => {
  const points = Object.entries(checks['PW-03'].expected).flatMap(([backoff, expected]) =>
    CLASSES.map(([name, column]) => [name, backoff, expected[column]] as const),
  );

  // Source: PW-03 (Cripps; Raab 1987). 1e-6 relative: the figures have ten digits.
  test.each(points)('PW-03: class %s at %s dB below saturation gives %d %%', (name, backoff, expected) => {
    const amplitude = 10 ** (-Number(backoff) / 20);
    expect(cwEfficiencyPercent(dcCurveOf(model(name)), amplitude) / expected).toBeCloseTo(1, 6);
  });

  test('two devices: 78.54 % at both peaks, 69.81 % at two thirds of the amplitude between them (PW-03)', () => {
    const curve = dcCurveOf(model('twoDevice'));
    expect(cwEfficiencyPercent(curve, 1)).toBeCloseTo(25 * Math.PI, 10);
    expect(cwEfficiencyPercent(curve, 0.5)).toBeCloseTo(25 * Math.PI, 10);
    expect(cwEfficiencyPercent(curve, 2 / 3)).toBeCloseTo(69.81317008, 6);
    for (let v = 0.5; v <= 1; v += 0.01) expect(cwEfficiencyPercent(curve, v)).toBeGreaterThan(69.8131);
  });

  // Source: PW-04 (Cripps). Full drive conducts over θ when cos(θ/2) = −q/(1 − q).
  test.each(['210', '240', '270'] as const)(
    'PW-04: class AB of %s° reaches its efficiency at full drive',
    (degrees) => {
      const ratio = -Math.cos((Number(degrees) / 360) * Math.PI);
      const curve = dcCurveOf(model('AB', { quiescentRatio: ratio / (1 + ratio) }));
      expect(cwEfficiencyPercent(curve, 1) / checks['PW-04'].expected[degrees]).toBeCloseTo(1, 6);
    },
  );

  test('the ends of class AB are class B and class A', () => {
    for (const v of [0.05, 0.3, 0.7, 1]) {
      const at = (settings: PowerModel) => dcPowerRatio(dcCurveOf(settings), v);
      expect(at(model('AB', { quiescentRatio: 0 }))).toBe(at(model('B')));
      expect(at(model('AB', { quiescentRatio: 0.5 }))).toBe(at(model('A')));
      // Near the ends it is near them: DC moves by the bias.
      expect(Math.abs(at(model('AB', { quiescentRatio: 1e-4 })) - at(model('B')))).toBeLessThan(1e-3);
      expect(Math.abs(at(model('AB', { quiescentRatio: 0.4999 })) - at(model('A')))).toBeLessThan(1e-3);
    }
  });

  /** DC and fundamental of max(0, q + p·cos φ) by sums over one period. */
  function clippedSums(bias: number, peak: number): { dc: number; fundamental: number } {
    const steps = 20000;
    let dc = 0;
    let fundamental = 0;
    for (let i = 0; i < steps; i++) {
      const cos = Math.cos((2 * Math.PI * (i + 0.5)) / steps);
      const current = Math.max(0, bias + peak * cos);
      dc += current / steps;
      fundamental += (2 * current * cos) / steps;
    }
    return { dc, fundamental };
  }

  // 2e-5: straight lines between 4096 points at the edge of class A, where the curve bends as the power 3/2.
  test.each([0.02, 0.1, 0.25, 0.4])('class AB with bias %d draws what its clipped cosine draws', (bias) => {
    const curve = dcCurveOf(model('AB', { quiescentRatio: bias }));
    const full = clippedSums(bias, 1 - bias).fundamental;
    for (const share of [0.03, 0.1, 0.2, 0.35, 0.6, 0.85, 1]) {
      const { dc, fundamental } = clippedSums(bias, share * (1 - bias));
      const expected = (2 * dc) / full;
      expect(Math.abs(dcPowerRatio(curve, fundamental / full) / expected - 1)).toBeLessThan(2e-5);
    }
  });
});

/** A record whose amplitudes are Rayleigh distributed exactly (equal steps of probability), clipped at 1. */
function rayleighIntoLimiter(inputBackoffDb: number): ComplexSignal {
  const count = 1 << 18;
  const power = 10 ** (-inputBackoffDb / 10);
  const re = new Float64Array(count);
  for (let i = 0; i < count; i++) re[i] = Math.min(1, Math.sqrt(-power * Math.log(1 - (i + 0.5) / count)));
  return { re, im: new Float64Array(count) };
}

describe('Rayleigh envelope into an ideal limiter', () => {
  const points = Object.entries(checks['PW-05'].expected).flatMap(([backoff, expected]) =>
    CLASSES.map(([name, column]) => [name, backoff, expected[column]] as const),
  );

  // Source: PW-05 (Raab 1987 and its derivation), at its own 1e-4.
  test.each(points)('PW-05: class %s at %s dB input back-off averages %d %%', (name, backoff, expected) => {
    const { efficiencyPercent } = measureEfficiency(rayleighIntoLimiter(Number(backoff)), model(name), 1);
    expect(Math.abs(efficiencyPercent / expected - 1)).toBeLessThan(1e-4);
  });

  // Source: PW-06, 40 W saturated, at its own 0.1 %.
  test.each([
    ['B', '13.0103', checks['PW-06'].expected['class B at 13 dB OBO, Rayleigh']],
    ['B', '8', checks['PW-06'].expected['class B at 8 dB OBO, Rayleigh (IBO 8)']],
    ['A', '13.0103', checks['PW-06'].expected['class A at 13 dB OBO']],
    ['twoDevice', '8', checks['PW-06'].expected['Doherty IBO 8']],
  ] as const)('PW-06: class %s at %s dB, DC power and heat in W', (name, backoff, expected) => {
    const { dcPowerW, efficiencyPercent } = measureEfficiency(rayleighIntoLimiter(Number(backoff)), model(name), 40);
    expect(Math.abs(dcPowerW / expected.Pdc_W - 1)).toBeLessThan(1e-3);
    expect(Math.abs(efficiencyPercent / expected.eta_pct - 1)).toBeLessThan(1e-3);
    expect(Math.abs((dcPowerW * (1 - efficiencyPercent / 100)) / expected.Pdiss_W - 1)).toBeLessThan(1e-3);
  });
});

describe('rules', () => {
  test('an amplitude above saturation draws what saturation draws', () => {
    for (const name of ['A', 'AB', 'B', 'twoDevice'] as const) {
      const curve = dcCurveOf(model(name));
      expect(dcPowerRatio(curve, 1.5)).toBe(dcPowerRatio(curve, 1));
      const over = measureEfficiency({ re: Float64Array.of(1.5), im: Float64Array.of(0) }, model(name), 10);
      expect(over.dcPowerW).toBeCloseTo(10 * dcPowerRatio(curve, 1), 12);
    }
  });

  test('the factor scales efficiency and DC power the other way, and is named', () => {
    const output = rayleighIntoLimiter(9);
    const ideal = measureEfficiency(output, model('B'), 40);
    const real = measureEfficiency(output, model('B', { efficiencyFactor: 0.8 }), 40);
    expect(real.efficiencyPercent / ideal.efficiencyPercent).toBeCloseTo(0.8, 12);
    expect(real.dcPowerW / ideal.dcPowerW).toBeCloseTo(1.25, 12);
    expect(powerModelLabel(model('B'))).toBe('ideal class B');
    expect(powerModelLabel(model('AB', { efficiencyFactor: 0.8 }))).toBe('ideal class AB × 0.8');
  });
});

/** Flat noise at 8 dB output back-off through a hard knee: nearly Gaussian output. */
function noiseScenario(amplifier: Partial<ScenarioInput['amplifier']> = {}): ScenarioInput {
  return {
    title: 'Gaussian noise',
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 20e6 }],
      sampleCount: 2 ** 17,
      sampleRateHz: 122.88e6,
    },
    amplifier: {
      model: { kind: 'filterNonlinearityFilter', kneeSharpness: 10 },
      saturatedPowerDbm: 46,
      ...amplifier,
    },
    operatingPoint: { outputBackoffDb: 8 },
    predistorter: { nonlinearOrders: [1, 3], memoryDepth: 1, learning: { passCount: 1 } },
  };
}

function run(scenario: ScenarioInput) {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

describe('in a report', () => {
  const report = run(noiseScenario());

  // F37: (√π/2)·10^(−8/20) = 35.28 % for an unclipped Gaussian (PW-05), 35.26 % behind the limiter; the record's spread
  // is about 0.05 %.
  test('F37: class B at 8 dB output back-off on a Gaussian waveform is 35.3 ± 0.1 %', () => {
    expect(Math.abs((report.ideal.efficiencyPercent ?? 0) - 35.28)).toBeLessThan(0.1);
    expect(report.amplifier.power).toMatchObject({ label: 'ideal class B', peakEfficiencyPercent: 25 * Math.PI });
  });

  test('F37: and a factor multiplies it: 0.8 of 35.3 % on the same record, with a quarter more DC power', () => {
    const factored = run(noiseScenario({ power: { efficiencyFactor: 0.8 } }));
    expect(Math.abs((factored.ideal.efficiencyPercent ?? 0) - 0.8 * 35.28)).toBeLessThan(0.1);
    expect((factored.ideal.dcPowerW ?? 0) / (report.ideal.dcPowerW ?? 1)).toBeCloseTo(1.25, 9);
    expect(factored.amplifier.power.label).toBe('ideal class B × 0.8');
  });

  test('every output has DC power and efficiency that belong to its mean power', () => {
    for (const output of [report.uncorrected, report.corrected, report.ideal]) {
      const { dcPowerW, efficiencyPercent, meanPowerW } = output ?? report.ideal;
      expect(((meanPowerW ?? 0) / (dcPowerW ?? 1)) * 100).toBeCloseTo(efficiencyPercent ?? 0, 9);
    }
    expect(report.corrected).not.toBeNull();
  });

  test('class A draws twice its saturated power at any level', () => {
    const { uncorrected, ideal } = run(noiseScenario({ power: { class: 'A' } }));
    expect(uncorrected.dcPowerW).toBeCloseTo(2 * 10 ** 1.6, 9);
    expect(ideal.dcPowerW).toBeCloseTo(2 * 10 ** 1.6, 9);
  });

  test('without a power scale both are null', () => {
    const { uncorrected } = run(noiseScenario({ saturatedPowerDbm: null }));
    expect([uncorrected.dcPowerW, uncorrected.efficiencyPercent]).toEqual([null, null]);
  });

  test.each([
    ['efficiencyFactor', 0.05],
    ['quiescentRatio', 0.6],
    ['class', 'E'],
  ])('%s = %s is refused', (field, value) => {
    const scenario = noiseScenario({ power: { [field]: value } as ScenarioInput['amplifier']['power'] });
    const outcome = runScenario(scenario);
    const issues = outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
    expect(issues).toEqual([`amplifier.power.${field}`]);
  });
});
