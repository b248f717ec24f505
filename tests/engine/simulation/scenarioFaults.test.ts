// Faults of a scenario: all of them at once, each with path, rule, value and remedy.
import { describe, expect, test } from 'vitest';
import { runScenario } from '../../../src/engine/index.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { benchScenario } from './referenceBench.ts';

function issuesOf(scenario: unknown) {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'report') throw new Error('the scenario was accepted');
  for (const issue of outcome.issues) {
    expect(issue.rule).not.toBe('');
    expect(issue.value).not.toBe('');
    expect(issue.remedy).not.toBe('');
  }
  return outcome.issues;
}

/** A scenario being spoilt: any field may be given anything. */
// biome-ignore lint/suspicious/noExplicitAny: the point is to put in what the types forbid.
type Spoilt = any;

function withChange(change: (scenario: Spoilt) => void): unknown {
  const scenario = structuredClone(benchScenario({}));
  change(scenario);
  return scenario;
}

describe('one fault', () => {
  test.each<[string, (scenario: Spoilt) => void, string, RegExp]>([
    ['wrong type', (s) => (s.waveform.symbolCount = 'many'), 'waveform.symbolCount', /whole number from 2 to 4000/],
    ['missing', (s) => delete s.amplifier.model.kneeSharpness, 'amplifier.model.kneeSharpness', /required/],
    ['missing section', (s) => delete s.waveform, 'waveform', /required/],
    ['out of range', (s) => (s.amplifier.outputLossDb = -1), 'amplifier.outputLossDb', /from 0 to 30 dB/],
    ['unknown field', (s) => (s.amplifier.gian = 3), 'amplifier.gian', /not a field/],
    ['carrier outside', (s) => (s.waveform.carriers[0].offsetHz = 60e6), 'waveform.carriers.0.offsetHz', /./],
    [
      'unknown channel',
      (s) => (s.waveform.carriers[0].channelBandwidthHz = 11e6),
      'waveform.carriers.0.channelBandwidthHz',
      /LTE/,
    ],
    ['rate off the grid', (s) => (s.waveform.sampleRateHz = 100e6), 'waveform.sampleRateHz', /power of two/],
    [
      'memory too long',
      (s) => {
        s.waveform.symbolCount = 2;
        s.amplifier.model.inputTaps = Array.from({ length: 20000 }, () => ({ re: 1 }));
      },
      'amplifier.model.inputTaps',
      /record/,
    ],
    ['equal seeds', (s) => (s.seeds = { judging: 1, training: 1, selection: 3 }), 'seeds', /different/],
    ['two powers', (s) => (s.operatingPoint = { meanPowerDbm: 36, meanPowerW: 4 }), 'operatingPoint', /exactly one/],
    [
      'power without scale',
      (s) => {
        s.amplifier.saturatedPowerDbm = null;
        s.operatingPoint = { meanPowerDbm: 36 };
      },
      'operatingPoint.meanPowerDbm',
      /saturated power/,
    ],
    [
      'training longer than the record',
      (s) => (s.predistorter.learning.trainingSampleCount = 5e6),
      'predistorter.learning.trainingSampleCount',
      /record/,
    ],
    [
      'segment not a power of two',
      (s) => (s.measurement = { spectrum: { segmentLength: 5000 } }),
      'measurement.spectrum.segmentLength',
      /power of two/,
    ],
    [
      'channel outside the axis (P19, OF-02)',
      (s) => {
        s.waveform.sampleRateHz = 15.36e6;
        s.amplifier.model.modelRateHz = 'any';
      },
      'waveform.sampleRateHz',
      /29\.00 MHz/,
    ],
    ['no channel at all', (s) => (s.measurement = { channels: [] }), 'measurement.channels', /at least one/],
    [
      'a channel over the carrier',
      (s) => (s.measurement = { channels: [{ offsetHz: 8.9e6, bandwidthHz: 9e6 }] }),
      'measurement.channels.0',
      /lower side it cuts into the carrier from -4\.5 to 4\.5 MHz/,
    ],
    [
      'a limit on a channel that is not measured',
      (s) => {
        s.measurement = { channels: [{ offsetHz: 10e6, bandwidthHz: 9e6 }] };
        s.limits = [
          { reading: 'aclr', channel: 'all', requiredDb: 45 },
          { reading: 'aclr', channel: 'alternate', requiredDb: 50 },
        ];
      },
      'limits.1',
      /there are: adjacent$/,
    ],
  ])('%s', (_name, change, path, rule) => {
    const issues = issuesOf(withChange(change));
    expect(issues.map((issue) => issue.path)).toContain(path);
    expect(issues.find((issue) => issue.path === path)?.rule).toMatch(rule);
  });

  test.each([null, 'quarry', 7, []])('%j is no scenario', (input) => {
    expect(issuesOf(input).length).toBeGreaterThan(0);
  });
});

test('faults of all sections come together, those between fields as well', () => {
  const issues = issuesOf(
    withChange((scenario) => {
      scenario.waveform.carriers[0].offsetHz = 60e6;
      scenario.amplifier.outputLossDb = 'much';
      scenario.predistorter.nonlinearOrders = [3, 1];
      scenario.limits = [{ reading: 'aclr', requiredDb: 500 }];
      scenario.colour = 'red';
    }),
  );
  const paths = issues.map((issue) => issue.path);
  for (const path of [
    'waveform.carriers.0.offsetHz',
    'amplifier.outputLossDb',
    'predistorter.nonlinearOrders',
    'limits.0.requiredDb',
    'colour',
  ]) {
    expect(paths).toContain(path);
  }
});

test('a near miss of a field’s name is answered with the name', () => {
  const [issue] = issuesOf(withChange((scenario) => (scenario.amplifier.gainDB = 3)));
  expect(issue?.remedy).toContain('gainDb');
});

test('a power out of reach is refused with the most there is', () => {
  const [issue] = issuesOf(withChange((scenario) => (scenario.operatingPoint = { outputBackoffDb: 0.2 })));
  expect(issue?.path).toBe('operatingPoint');
  expect(issue?.rule).toMatch(
    /most this amplifier gives with this waveform is \d+\.\d+ dBm, \d\.\d+ dB output back-off/,
  );
});

test('channels that touch the carrier are taken', () => {
  const outcome = checkScenario(
    withChange((scenario) => (scenario.measurement = { channels: [{ offsetHz: 9e6, bandwidthHz: 9e6 }] })),
  );
  expect(outcome.kind === 'invalid' ? outcome.issues : []).toEqual([]);
});

test('carriers are checked beside another fault of the waveform', () => {
  const paths = (scenario: unknown) => issuesOf(scenario).map(({ path }) => path);
  const faulty = withChange((s) => {
    s.waveform.symbolCount = -1;
    s.waveform.carriers = [
      { kind: 'ofdm', channelBandwidthHz: 10e6 },
      { kind: 'ofdm', channelBandwidthHz: 11e6 },
      { kind: 'ofdm', channelBandwidthHz: 5e6, offsetHz: 2e6 },
      { kind: 'ofdm', channelBandwidthHz: 5e6, offsetHz: 'far' },
    ];
  });
  expect(paths(faulty).sort()).toEqual([
    'waveform.carriers.1.channelBandwidthHz',
    'waveform.carriers.2.offsetHz',
    'waveform.carriers.3.offsetHz',
    'waveform.symbolCount',
  ]);
});

test('taps without a rate of their own are warned of, and the rate they are taken at is named', () => {
  const checked = checkScenario(withChange((s) => (s.amplifier.model.modelRateHz = 'any')));
  if (checked.kind === 'invalid') throw new Error('must pass');
  const warning = checked.warnings.find(({ code }) => code === 'model-rate-unstated');
  expect(warning?.message).toContain('122.88 MHz');
  const stated = checkScenario(benchScenario({}));
  expect(stated.kind === 'resolved' && stated.warnings.map(({ code }) => code)).not.toContain('model-rate-unstated');
});

test('taps that scale the drive by ten are named with their gain (closed form: 20·log10 of 0.1 and 10 is ∓20 dB)', () => {
  for (const [tap, gain] of [
    [0.1, '-20.0'],
    [10, '20.0'],
  ] as const) {
    const checked = checkScenario(
      withChange((scenario) => {
        scenario.amplifier.model.inputTaps = [{ re: tap }];
        scenario.amplifier.model.outputTaps = [{ re: 1 }];
      }),
    );
    if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
    const warning = checked.warnings.find(({ code }) => code === 'model-gain-not-one');
    expect(warning?.message).toContain(`small-signal gain is ${gain} dB`);
  }
  const bench = checkScenario(benchScenario({}));
  expect(bench.kind === 'resolved' && bench.warnings.map(({ code }) => code)).not.toContain('model-gain-not-one');
});
