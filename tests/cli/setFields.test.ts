import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../shared/schema/issue.ts';
import { setFields } from '../../src/cli/input/setFields.ts';

const base = {
  operatingPoint: { meanPowerDbm: 36.5 },
  waveform: { carriers: [{ kind: 'ofdm', offsetHz: 0 }] },
  predistorter: null,
};

function set(...settings: string[]): unknown {
  const { scenario, issues } = setFields(base, settings);
  expect(issues).toEqual([]);
  return scenario;
}

describe('--set', () => {
  test.each([
    ['title=Bench', { title: 'Bench' }],
    ['title="7"', { title: '7' }],
    ['seeds.judging=7', { seeds: { judging: 7 } }],
    ['predistorter.nonlinearOrders=[1,3]', { predistorter: { nonlinearOrders: [1, 3] } }],
    ['waveform.carriers.0.offsetHz=-5e6', { waveform: { carriers: [{ kind: 'ofdm', offsetHz: -5e6 }] } }],
    [
      'waveform.carriers.1={"kind":"noise"}',
      { waveform: { carriers: [{ kind: 'ofdm', offsetHz: 0 }, { kind: 'noise' }] } },
    ],
    ['waveform.crestFactorReduction=null', { waveform: { ...base.waveform, crestFactorReduction: null } }],
    ['limits.0.reading=evm', { limits: [{ reading: 'evm' }] }],
    ['story=a=b', { story: 'a=b' }],
  ])('%s', (setting, wanted) => {
    expect(set(setting)).toEqual({ ...base, ...wanted });
  });

  test('naming one quantity of the operating point replaces the other, so that exactly one remains', () => {
    expect(set('operatingPoint.outputBackoffDb=8')).toMatchObject({ operatingPoint: { outputBackoffDb: 8 } });
    expect(Object.keys((set('operatingPoint.outputBackoffDb=8') as typeof base).operatingPoint)).toEqual([
      'outputBackoffDb',
    ]);
  });

  test('settings are put in one after the other, and the scenario they came from stays as it was', () => {
    expect(set('predistorter={"memoryDepth":2}', 'predistorter.memoryDepth=5')).toMatchObject({
      predistorter: { memoryDepth: 5 },
    });
    expect(base.predistorter).toBeNull();
  });

  test.each([
    ['title', '--set must be path=value, got "title"'],
    ['=5', '--set must be path=value, got "=5"'],
    [
      'waveform.carriers.2.offsetHz=1',
      'waveform.carriers.2 must name an item of the list from 0 to 1, got "2"; the list has 1 items; item 1 adds one',
    ],
    ['waveform.carriers.first=1', 'waveform.carriers.first must name an item of the list'],
    ['waveform..x=1', 'waveform..x is not the path of a field'],
    ['__proto__.polluted=1', '__proto__.polluted is not the path of a field'],
  ])('%s is refused', (setting, wanted) => {
    const { issues } = setFields(base, [setting]);
    expect(issues.map(formatIssue)[0]).toContain(wanted);
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });
});
