// The power model that an amplifier model brings along, and what a scenario states over it.
import { describe, expect, test } from 'vitest';
import type { AmplifierModelSettings, ScenarioInput } from '../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { powerDefaultOf } from '../../../src/engine/amplifier/powerDefaults.ts';
import { cwEfficiencyPercent, dcCurveOf } from '../../../src/engine/measurement/efficiency.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { powerModelReport } from '../../../src/engine/simulation/powerModel.ts';

type Kind = AmplifierModelSettings['kind'];
type ModelInput = ScenarioInput['amplifier']['model'];
type PowerInput = NonNullable<ScenarioInput['amplifier']['power']>;

const filter: ModelInput = { kind: 'filterNonlinearityFilter', kneeSharpness: 2 };
const sheet = (name: 'classA' | 'classABSoft' | 'gainExpansion' | 'twoDevice'): ModelInput => ({
  kind: 'dataSheet',
  class: name,
});

function scenarioOf(model: ModelInput, power: PowerInput = {}): ScenarioInput {
  return {
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 20e6 }],
      sampleCount: 2 ** 14,
      sampleRateHz: 122.88e6,
    },
    amplifier: { model, saturatedPowerDbm: 40, power },
    operatingPoint: { outputBackoffDb: 8 },
  };
}

/** The scenario after checking, and the power model of its report. */
function resolved(model: ModelInput, power: PowerInput = {}) {
  const outcome = checkScenario(scenarioOf(model, power));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const { amplifier } = outcome.scenario;
  return { settings: amplifier.power, report: powerModelReport(amplifier), scenario: outcome.scenario };
}

describe('what each model brings along', () => {
  test.each<[string, ModelInput, string, number, number]>([
    ['a knee between filters', filter, 'B', 1, 0.1],
    ['a class A sheet', sheet('classA'), 'A', 1, 0.1],
    ['a soft class AB sheet', sheet('classABSoft'), 'AB', 1, 0.1],
    ['a sheet with gain expansion', sheet('gainExpansion'), 'AB', 1, 0.05],
    ['a sheet of two devices', sheet('twoDevice'), 'twoDevice', 1, 0.1],
    ['Saleh', { kind: 'saleh' }, 'A', 1, 0.1],
    ['the published Saleh tube', { kind: 'published', id: 'Saleh_1981_TWT' }, 'A', 1, 0.1],
    ['Rapp', { kind: 'rapp', kneeSharpness: 2 }, 'AB', 1, 0.1],
    ['Ghorbani', { kind: 'ghorbani' }, 'A', 1, 0.1],
    ['GaN at 2 GHz', { kind: 'published', id: 'GaN_2GHz' }, 'AB', 0.85, 0.05],
    ['GaAs at 2 GHz', { kind: 'published', id: 'GaAs_2GHz' }, 'AB', 0.72, 0.1],
    ['CMOS at 28 GHz', { kind: 'published', id: 'CMOS_28GHz' }, 'AB', 0.46, 0.1],
  ])('%s', (_title, model, name, efficiencyFactor, quiescentRatio) => {
    expect(resolved(model).settings).toMatchObject({ class: name, efficiencyFactor, quiescentRatio });
  });

  // Each note states the efficiency it stands for; the model must give it within a point.
  const published = publishedAmplifierIds.map((id) => [id, powerDefaultOf({ kind: 'published', id })] as const);
  const stated = published.filter(([, { source }]) => source.includes('% at saturation'));
  test('most published devices state an efficiency', () => expect(stated.length).toBe(11));

  test.each(stated)('%s has the efficiency of its note', (_id, power) => {
    const percent = Number(/about (\d+) % at saturation/.exec(power.source)?.[1]);
    expect(Math.abs(cwEfficiencyPercent(dcCurveOf(power), 1) - percent)).toBeLessThan(1);
  });

  test('every model names a source, or says that it is common practice', () => {
    const kinds: Kind[] = ['saleh', 'rapp', 'modifiedRapp', 'ghorbani', 'memoryPolynomial', 'envelopePoints'];
    const all = [
      ...published.map(([, power]) => power),
      ...kinds.map((kind) => powerDefaultOf({ kind } as AmplifierModelSettings)),
    ];
    for (const { source } of all)
      expect(source).toMatch(/.{8}: (common practice, no source|Ding et al\. 2004, from memory)$/);
  });
});

describe('what a scenario states', () => {
  const gallium: ModelInput = { kind: 'published', id: 'GaN_2GHz' };

  test('field by field, and the source says which', () => {
    const { settings, report } = resolved(gallium, { efficiencyFactor: 0.7 });
    expect(settings).toMatchObject({ class: 'AB', efficiencyFactor: 0.7, quiescentRatio: 0.05 });
    expect(report.label).toBe('ideal class AB × 0.7');
    expect(report.source).toBe(
      'efficiency factor stated in the scenario; else GaN at 2 GHz, little bias, about 65 % at saturation: common practice, no source',
    );
    expect(report.ofModel).toMatchObject({ class: 'AB', efficiencyFactor: 0.85, quiescentRatio: 0.05 });
  });

  test('another class keeps the model’s factor', () => {
    const { settings, report } = resolved(gallium, { class: 'B' });
    expect(settings).toMatchObject({ class: 'B', efficiencyFactor: 0.85 });
    expect(report.source).toMatch(/^class stated in the scenario; else GaN/);
  });

  test('a class stated where nothing is known of the devices leaves the ideal', () => {
    const { report } = resolved(filter, { class: 'twoDevice' });
    expect(report).toMatchObject({ efficiencyFactor: 1, source: 'class stated in the scenario; else ideal' });
  });

  test('all of it stated: nothing is the model’s', () => {
    expect(resolved(gallium, { class: 'twoDevice', efficiencyFactor: 0.9 }).report.source).toBe(
      'class and efficiency factor stated in the scenario',
    );
    expect(resolved(filter, { class: 'AB', efficiencyFactor: 0.9, quiescentRatio: 0.2 }).report.source).toBe(
      'class and efficiency factor and quiescent current stated in the scenario',
    );
  });

  test.each([gallium, filter, sheet('twoDevice')])(
    'a resolved scenario has no word left and tells the same again',
    (model) => {
      const first = resolved(model, { caseTemperatureC: 70 });
      expect(Object.values(first.settings)).not.toContain('ofModel');
      expect(first.settings.caseTemperatureC).toBe(70);
      const again = checkScenario(first.scenario);
      if (again.kind === 'invalid') throw new Error(JSON.stringify(again.issues));
      expect(again.scenario).toEqual(first.scenario);
      expect(powerModelReport(again.scenario.amplifier)).toEqual(first.report);
    },
  );

  test.each([
    ['power.class', { power: { class: 'E' } }],
    ['power.efficiencyFactor', { power: { efficiencyFactor: 'ofmodel' } }],
    ['power.caseTemperatureC', { power: { caseTemperatureC: 300 } }],
    ['power.thermalResistanceKPerW', { power: { thermalResistanceKPerW: -1 } }],
    ['loadVswr', { loadVswr: 0.5 }],
  ])('a faulty %s is refused at its place', (path, change) => {
    const base = scenarioOf(filter);
    const outcome = checkScenario({ ...base, amplifier: { ...base.amplifier, ...change } });
    expect(outcome.kind === 'invalid' && outcome.issues.map((issue) => issue.path)).toEqual([`amplifier.${path}`]);
  });
});
