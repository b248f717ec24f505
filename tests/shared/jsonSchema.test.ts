// The published JSON Schema against the parser: what one takes the other takes, but for rules JSON Schema cannot say.
import { describe, expect, test } from 'vitest';
import { presetNames, presets } from '../../shared/presets/index.ts';
import { parseScenario } from '../../shared/schema/parse.ts';
import { SCENARIO_FORMAT, scenarioSchema } from '../../shared/schema/scenario.ts';
import { fieldTables } from '../../src/tools/fieldTable.mjs';
import { type JsonSchema, scenarioFileSchema, scenarioJsonSchema } from '../../src/tools/schema.mjs';
import { schemaFaults } from './jsonSchemaCheck.ts';

const schema = scenarioJsonSchema(scenarioSchema, SCENARIO_FORMAT);

// biome-ignore lint/suspicious/noExplicitAny: scenarios are changed at will, also into faulty ones.
type Loose = any;

function changed(change: (scenario: Loose) => void, preset = 'quarry-link'): Loose {
  const scenario = structuredClone(presets[preset]) as Loose;
  change(scenario);
  return scenario;
}

const isParsed = (scenario: unknown) => parseScenario(scenario).kind === 'scenario';

test.each(presetNames)('preset %s fits, as written and with all defaults', (name) => {
  expect(schemaFaults(schema, presets[name])).toEqual([]);
  const parsed = parseScenario(presets[name]);
  if (parsed.kind === 'invalid') throw new Error(JSON.stringify(parsed.issues));
  expect(schemaFaults(schema, JSON.parse(JSON.stringify(parsed.scenario)))).toEqual([]);
});

describe('what the parser takes, the schema takes', () => {
  test.each<[string, (scenario: Loose) => void]>([
    ['a word in place of a number', (s) => (s.waveform.sampleRateHz = 'auto')],
    ['no predistorter', (s) => (s.predistorter = null)],
    ['a range’s end', (s) => (s.amplifier.outputLossDb = 30)],
    ['a noise carrier', (s) => (s.waveform.carriers = [{ kind: 'noise', occupiedBandwidthHz: 1e6 }])],
    ['channels by hand', (s) => (s.measurement = { channels: [{ offsetHz: 5e6, bandwidthHz: 1e6 }] })],
    ['no stated power', (s) => (s.amplifier.saturatedPowerDbm = null)],
    ['power at the antenna', (s) => (s.operatingPoint = { antennaMeanDbm: 30 })],
    ['a published model', (s) => (s.amplifier.model = { kind: 'published', id: 'Saleh_1981_TWT' })],
  ])('%s', (_title, change) => {
    const scenario = changed(change);
    expect(isParsed(scenario)).toBe(true);
    expect(schemaFaults(schema, scenario)).toEqual([]);
  });
});

describe('what the parser refuses, the schema refuses', () => {
  test.each<[string, (scenario: Loose) => void]>([
    ['another format', (s) => (s.format = 2)],
    ['an unknown field', (s) => (s.amplifier.gain = 3)],
    ['text for a number', (s) => (s.amplifier.gainDb = '36')],
    ['above the range', (s) => (s.waveform.symbolCount = 4001)],
    ['below the range', (s) => (s.seeds.judging = -1)],
    ['no whole number', (s) => (s.predistorter.memoryDepth = 2.5)],
    ['another word', (s) => (s.waveform.sampleRateHz = 'automatic')],
    ['a missing field', (s) => delete s.amplifier.model.kneeSharpness],
    ['a missing section', (s) => delete s.operatingPoint],
    ['two powers', (s) => (s.operatingPoint = { meanPowerDbm: 30, outputBackoffDb: 9 })],
    ['no power', (s) => (s.operatingPoint = {})],
    ['no carrier', (s) => (s.waveform.carriers = [])],
    ['a carrier of no kind', (s) => delete s.waveform.carriers[0].kind],
    ['another modulation', (s) => (s.waveform.carriers[0].modulation = '32QAM')],
    ['a complex number as a number', (s) => (s.amplifier.model.inputTaps = [1])],
    ['null where it says nothing', (s) => (s.limits = null)],
  ])('%s', (_title, change) => {
    const scenario = changed(change);
    expect(isParsed(scenario)).toBe(false);
    expect(schemaFaults(schema, scenario)).not.toEqual([]);
  });
});

test('rules between values are the parser’s alone: orders that fall, seeds that are equal', () => {
  for (const change of [
    (s: Loose) => (s.predistorter.nonlinearOrders = [3, 1]),
    (s: Loose) => (s.seeds = { judging: 1, training: 1, selection: 2 }),
  ]) {
    const scenario = changed(change);
    expect(isParsed(scenario)).toBe(false);
    expect(schemaFaults(schema, scenario)).toEqual([]);
  }
});

describe('files: the amplifier or its model by the name of a file', () => {
  const files = scenarioFileSchema(schema);

  test.each<[string, (scenario: Loose) => void]>([
    ['as written', () => {}],
    ['a file for the amplifier', (s) => (s.amplifier = 'found/amplifier.json')],
    ['a file for the model', (s) => (s.amplifier.model = 'found/model.json')],
  ])('%s fits', (_title, change) => {
    expect(schemaFaults(files, changed(change))).toEqual([]);
  });

  test.each<[string, (scenario: Loose) => void]>([
    ['a number for the amplifier', (s) => (s.amplifier = 5)],
    ['a name of nothing', (s) => (s.amplifier.model = '')],
    ['a faulty field beside a file', (s) => Object.assign(s.amplifier, { model: 'model.json', gain: 3 })],
  ])('%s does not', (_title, change) => {
    expect(schemaFaults(files, changed(change))).not.toEqual([]);
  });

  test('the schema it was made from is left alone', () => {
    expect(
      schemaFaults(
        schema,
        changed((s) => (s.amplifier = 'found/amplifier.json')),
      ),
    ).not.toEqual([]);
  });
});

describe('every field', () => {
  const leaves = collect(schema, '');

  function collect(node: JsonSchema, path: string): [string, JsonSchema][] {
    const inside = Object.entries(node.properties ?? {}).flatMap(([name, one]) => collect(one, `${path}.${name}`));
    const forks = [...(node.oneOf ?? []), ...(node.anyOf ?? [])].flatMap((one) => collect(one, path));
    const items = node.items === undefined ? [] : collect(node.items, `${path}.N`);
    const own: [string, JsonSchema][] = node.title === undefined ? [] : [[path, node]];
    return [...own, ...inside, ...forks, ...items];
  }

  test('has a label and a sentence of help that ends', () => {
    expect(leaves.length).toBeGreaterThan(60);
    for (const [path, { title, description }] of leaves.filter(([path]) => path !== '')) {
      expect(title, path).toMatch(/^\p{Lu}/u);
      expect(description, path).toMatch(/[.)]$/);
    }
  });

  test('whose name states a unit carries that unit', () => {
    const units: [RegExp, string][] = [
      [/DbcPerHz$/, 'dBc/Hz'],
      [/Dbc$/, 'dBc'],
      [/DbmPerHz$/, 'dBm/Hz'],
      [/DbmPerMHz$/, 'dBm/MHz'],
      [/Hz$/, 'Hz'],
      [/Dbm$/, 'dBm'],
      [/Db$/, 'dB'],
      [/Deg$/, '°'],
      [/Rad$/, 'rad'],
      [/Percent$/, '%'],
      [/[a-z]S$/, 's'],
      [/KPerW$/, 'K/W'],
      [/W$/, 'W'],
      [/[a-z]C$/, '°C'],
    ];
    for (const [path, field] of leaves) {
      const unit = units.find(([ending]) => ending.test(path))?.[1];
      const known = field['x-unit'] ?? field.anyOf?.find((one) => one['x-unit'] !== undefined)?.['x-unit'];
      expect(known, path).toBe(unit);
    }
  });

  test('a number has both ends of its range', () => {
    for (const [path, { minimum, maximum }] of leaves) expect(minimum === undefined, path).toBe(maximum === undefined);
  });

  test('a field without a label stops the table, so that none is left out in silence', () => {
    const bare: JsonSchema = { properties: { new: { type: 'number' } } };
    expect(() => fieldTables(bare)).toThrow('new has no label');
  });
});
