import { describe, expect, test } from 'vitest';
import { scenarioSchema } from '../../shared/schema/scenario.ts';
import { sliderFor } from '../../src/app/elements/settings/operatingPointSettings.ts';
import { describeField } from '../../src/app/fields/describeField.ts';
import { listText, readList } from '../../src/app/fields/listText.ts';
import { valueAt, withValueAt } from '../../src/app/fields/paths.ts';
import { powerRange, SLIDER_RANGES } from '../../src/app/fields/sliderRanges.ts';
import { displayUnitOf, toShown, toStored } from '../../src/app/format/displayUnits.ts';
import { parsed, preset } from './smallReport.ts';

/** Paths of all numbers and words that a scenario holds. */
function leaves(data: unknown, path = ''): string[] {
  if (typeof data !== 'object' || data === null) return [path];
  return Object.entries(data).flatMap(([key, value]) => leaves(value, path === '' ? key : `${path}.${key}`));
}

describe('what the schema says of a field', () => {
  test('every leaf of every preset is described, except kinds, complex coefficients and groups that are left out', () => {
    for (const name of ['quarry-link', 'paper-bench']) {
      const paths = leaves(parsed(preset(name))).filter(
        (path) =>
          !/(^|\.)(kind|format|reading|re|im|notch|burst|slowStates|amPmStep|overBand|forwardModel|adaptation|observation|numbers|stored|transmitter)$/.test(
            path,
          ) && path !== 'measurement.channels',
      );
      expect(paths.length).toBeGreaterThan(25);
      for (const path of paths) expect(describeField(path).label, path).not.toBe('');
    }
  });

  test('label, unit, range and help are those of the schema', () => {
    expect(describeField('waveform.carriers.3.offsetHz')).toMatchObject({
      label: 'Carrier offset',
      unit: 'Hz',
      minimum: -5e9,
      maximum: 5e9,
      word: null,
      choices: null,
    });
  });

  test('a number or a word is told from one of a list of words', () => {
    expect(describeField('waveform.sampleRateHz')).toMatchObject({ word: 'auto', choices: null });
    expect(describeField('waveform.carriers.0.modulation')).toMatchObject({
      word: null,
      choices: ['QPSK', '16QAM', '64QAM', '256QAM', '1024QAM'],
    });
  });

  test('a fork of the schema is followed to the branch that has the field', () => {
    expect(describeField('limits.0.requiredPercent').unit).toBe('%');
    expect(describeField('limits.0.requiredDb').unit).toBe('dB');
    expect(describeField('waveform.spectralEdge.overlapS').unit).toBe('s');
  });

  test('with the scenario at hand, the branch of its kind is described, not the first that has such a field', () => {
    const carriers = [{ kind: 'ofdm' }, { kind: 'singleCarrier' }, { kind: 'noise' }];
    const draft = { waveform: { carriers } };
    expect(describeField('waveform.carriers.0.modulation', draft).choices).not.toContain('16APSK');
    expect(describeField('waveform.carriers.1.modulation', draft).choices).toContain('16APSK');
    expect(describeField('waveform.carriers.0.channelBandwidthHz', draft).word).toBeNull();
    expect(describeField('waveform.carriers.2.channelBandwidthHz', draft).word).toBe('auto');
    expect(() => describeField('waveform.carriers.2.modulation', draft)).toThrow('has no field');
  });

  test('a field that is none is the programmer’s mistake', () => {
    expect(() => describeField('waveform.colour')).toThrow('the scenario schema has no field waveform.colour');
  });

  test('sliders stay within the ranges of their fields', () => {
    const text = JSON.stringify(scenarioSchema, (key, value) => (key === 'pipe' || key === 'message' ? value : value));
    const homes: Readonly<Record<string, string>> = {
      outputBackoffDb: 'operatingPoint',
      targetPaprDb: 'waveform.crestFactorReduction',
      memoryDepth: 'predistorter',
      passCount: 'predistorter.learning',
      driveCeilingRatio: 'predistorter.learning',
      outputLossDb: 'amplifier',
    };
    for (const [name, range] of Object.entries(SLIDER_RANGES)) {
      expect(text).toContain(name);
      const field = describeField(`${homes[name] ?? 'amplifier.model'}.${name}`);
      const unit = displayUnitOf(name, field.unit);
      expect(toStored(range.minimum, unit), name).toBeGreaterThanOrEqual(field.minimum!);
      expect(toStored(range.maximum, unit), name).toBeLessThanOrEqual(field.maximum!);
    }
  });

  test('a slider of power follows the saturated power, and there is none without it', () => {
    expect(powerRange(45.5)).toEqual({ minimum: 25.5, maximum: 45.5, step: 0.1 });
    expect(powerRange(null)).toBeNull();
    const points = [
      { frequencyHz: 3.4e9, gainDb: 0, phaseDeg: 0, saturatedPowerDb: 0, model: null },
      { frequencyHz: 3.5e9, gainDb: 0, phaseDeg: 0, saturatedPowerDb: -2, model: null },
    ];
    const amplifier = { saturatedPowerDbm: 45.5, outputLossDb: 0.7, overBand: { channelHz: 3.45e9, points } };
    expect(sliderFor('meanPowerDbm', { amplifier })?.maximum).toBe(44.5);
    expect(sliderFor('antennaMeanDbm', { amplifier })?.maximum).toBeCloseTo(43.8, 9);
    expect(sliderFor('meanPowerW', { amplifier })).toBeNull();
  });
});

describe('shown units', () => {
  test.each([
    ['sampleRateHz', 'Hz', 122.88e6, 122.88, 'MHz'],
    ['subcarrierSpacingHz', 'Hz', 15e3, 15, 'kHz'],
    ['carrierFrequencyHz', 'Hz', 3.46e9, 3.46, 'GHz'],
    ['biasTimeConstantS', 's', 80e-9, 80, 'ns'],
    ['overlapS', 's', 4.7e-6, 4.7, 'µs'],
    ['outputBackoffDb', 'dB', 9, 9, 'dB'],
  ])('%s', (name, stored, value, shown, unit) => {
    const display = displayUnitOf(name, stored);
    expect(display.unit).toBe(unit);
    expect(toShown(value, display)).toBe(shown);
    expect(toStored(shown, display)).toBe(value);
  });
});

describe('lists as text', () => {
  test.each([
    ['1', [{ re: 1, im: 0 }]],
    [
      '1, 0.06-0.04j, -0.025+0.02j',
      [
        { re: 1, im: 0 },
        { re: 0.06, im: -0.04 },
        { re: -0.025, im: 0.02 },
      ],
    ],
    [
      '1, -0.05j, 0.02',
      [
        { re: 1, im: 0 },
        { re: 0, im: -0.05 },
        { re: 0.02, im: 0 },
      ],
    ],
    [
      '0.5j; j; −i',
      [
        { re: 0, im: 0.5 },
        { re: 0, im: 1 },
        { re: 0, im: -1 },
      ],
    ],
    ['1e-3 + 2.5e-4 j', [{ re: 1e-3, im: 2.5e-4 }]],
    ['1+j', [{ re: 1, im: 1 }]],
    ['.5-.5j', [{ re: 0.5, im: -0.5 }]],
  ])('taps %s', (text, list) => {
    expect(readList(text, 'complex')).toEqual(list);
    expect(readList(listText(list, 'complex'), 'complex')).toEqual(list);
  });

  test('orders', () => {
    expect(readList('1, 3,5', 'numbers')).toEqual([1, 3, 5]);
    expect(listText([1, 3, 5], 'numbers')).toBe('1, 3, 5');
  });

  test.each(['', '1,', 'one', '1 2', '1+2', '1j2'])('"%s" is passed on as text, for the engine to refuse', (text) => {
    expect(readList(text, 'complex')).toBe(text);
  });
});

describe('paths', () => {
  const data = { a: [{ b: 1 }, { b: 2 }], c: null };

  test('reads and changes without touching the original', () => {
    expect(valueAt(data, 'a.1.b')).toBe(2);
    expect(valueAt(data, 'c.d')).toBeUndefined();
    expect(withValueAt(data, 'a.1.b', 5)).toEqual({ a: [{ b: 1 }, { b: 5 }], c: null });
    expect(withValueAt(data, 'c.d', 5)).toEqual({ a: data.a, c: { d: 5 } });
    expect(withValueAt(data, 'c', undefined)).toEqual({ a: data.a });
    expect(data).toEqual({ a: [{ b: 1 }, { b: 2 }], c: null });
  });
});
