// Channels by a standard's rule in a run, and limits and slots that a scenario cannot have.
import { describe, expect, test } from 'vitest';
import type { AclrReading, Report } from '../../../shared/schema/report.ts';
import { aclrLimits } from '../../../shared/tables/aclrRules.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

const nr = (offsetMHz = 0, channelMHz = 10, subcarrierSpacingHz = 15e3) => ({
  kind: 'ofdm',
  standard: 'nr',
  channelBandwidthHz: channelMHz * 1e6,
  subcarrierSpacingHz,
  offsetHz: offsetMHz * 1e6,
});

function scenario(change: {
  carriers?: readonly unknown[];
  waveform?: Record<string, unknown>;
  measurement?: Record<string, unknown>;
  limits?: readonly unknown[];
  saturatedPowerDbm?: number | null;
}) {
  return {
    format: 1,
    title: 'Rules',
    waveform: { carriers: change.carriers ?? [nr()], symbolCount: 8, ...change.waveform },
    amplifier: {
      model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.5 },
      saturatedPowerDbm: change.saturatedPowerDbm === undefined ? 45.5 : change.saturatedPowerDbm,
      outputLossDb: 0.5,
    },
    operatingPoint: { outputBackoffDb: 8 },
    predistorter: null,
    measurement: change.measurement ?? {},
    limits: change.limits ?? [],
  };
}

function run(change: Parameters<typeof scenario>[0]): Report {
  const outcome = runScenario(scenario(change));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

function issuesOf(change: Parameters<typeof scenario>[0]) {
  const outcome = checkScenario(scenario(change));
  return outcome.kind === 'invalid' ? outcome.issues : [];
}

/** Power of a trace in a square band, mW: its bins hold the level in the resolution bandwidth. */
function bandMw({ traces }: Report, centreHz: number, bandwidthHz: number): number {
  const { frequencyHz, level } = traces.spectra.uncorrected;
  const { resolutionBandwidthHz, binWidthHz } = traces.conditions;
  let sum = 0;
  for (let i = 0; i < level.length; i++) {
    const low = Math.max(frequencyHz[i] - binWidthHz / 2, centreHz - bandwidthHz / 2);
    const high = Math.min(frequencyHz[i] + binWidthHz / 2, centreHz + bandwidthHz / 2);
    if (high > low) sum += (10 ** (level[i] / 10) * (high - low)) / resolutionBandwidthHz;
  }
  return sum;
}

describe('a run by TS 38.104', () => {
  const carriers = [nr(-11, 10, 30e3), nr(11, 10)];
  const report = run({
    carriers,
    waveform: { sampleRateHz: 122.88e6 },
    measurement: { channels: 'ts38104' },
    limits: aclrLimits('ts38104', 'Wide Area, Category A'),
  });
  const { uncorrected, waveform } = report;
  const places = waveform.carriers;
  const own = (index: number) => bandMw(report, places[index].offsetHz, places[index].occupiedBandwidthHz);

  // Both edges of the 12 MHz gap have slots at 2.5 and 7.5 MHz; outer carriers of equal channels share their plan.
  test('reads all channels of the table and the slots of the gap', () => {
    const names = uncorrected.aclr.map(({ channel, side }) => `${channel} ${side}`);
    const twice = (name: string) => [`${name} lower`, `${name} upper`];
    expect(names).toEqual([
      ...['adjacent', 'alternate', 'utraFirst', 'utraSecond'].flatMap(twice),
      'gap lower',
      'gap lower',
      'gap upper',
      'gap upper',
    ]);
    expect(report.scenario.measurement.channels).toBe('ts38104');
  });

  // By hand from the drawn spectrum, which the readings must not disagree with: 0.01 dB.
  test.each(uncorrected.aclr.map((reading) => [`${reading.channel} ${reading.centreHz}`, reading] as const))(
    '%s Hz',
    (_, reading: AclrReading) => {
      const { channel, side, centreHz, bandwidthHz, aclrDb, densityDbmPerMHz } = reading;
      const reference = channel === 'gap' ? own(0) + own(1) : own(side === 'lower' ? 0 : 1);
      const inside = bandMw(report, centreHz, bandwidthHz);
      expect(Math.abs(aclrDb - 10 * Math.log10(reference / inside))).toBeLessThan(0.01);
      expect(Math.abs((densityDbmPerMHz ?? 0) - 10 * Math.log10((inside * 1e6) / bandwidthHz))).toBeLessThan(0.01);
    },
  );

  // The 30 kHz carrier of 8.64 MHz has 9.36 MHz neighbours, and its own filter stays 8.64 MHz.
  test('a neighbour is as wide as the widest spacing allows', () => {
    expect(places[0].occupiedBandwidthHz).toBe(8.64e6);
    const lower = uncorrected.aclr.find(({ channel, side }) => channel === 'adjacent' && side === 'lower');
    expect(lower).toMatchObject({ bandwidthHz: 9.36e6, offsetHz: 10e6, centreHz: expect.closeTo(-21e6, -4) });
  });

  test('every limit is judged, floors stand in every channel and slot', () => {
    expect(report.verdicts.map(({ channel }) => channel).sort()).toEqual([
      'adjacent',
      'alternate',
      'gap',
      'utraFirst',
      'utraSecond',
    ]);
    for (const { source, metBy } of report.verdicts) {
      expect(source).toContain('Wide Area, Category A');
      expect(metBy).not.toBeNull();
    }
    for (const floor of report.floors) expect(floor.readings).toHaveLength(uncorrected.aclr.length);
    expect(report.warnings.map(({ code }) => code)).not.toContain('limit-not-judged');
  });

  // A limit line is where a flat channel just meets the limit: the higher of 45 dB under its carriers and −13 dBm/MHz.
  test('limit lines stand at the easier of ratio and density', () => {
    const { limitLines, conditions } = report.traces;
    expect(limitLines).toHaveLength(uncorrected.aclr.length);
    const inRbw = 10 * Math.log10(conditions.resolutionBandwidthHz / 1e6);
    for (const reading of uncorrected.aclr) {
      const fromHz = reading.centreHz - reading.bandwidthHz / 2;
      const line = limitLines.find((one) => one.fromHz === fromHz && one.toHz - fromHz === reading.bandwidthHz);
      const ratioDbm = (reading.densityDbmPerMHz ?? 0) + reading.aclrDb - 45;
      expect(line?.level).toBeCloseTo(Math.max(ratioDbm, -13) + inRbw, 6);
      expect(line?.label).toMatch(/45 dB or .13.0.dBm\/MHz/);
    }
  });
});

// Pitfall P33: four segments scatter by some tenths of a dB; a limit that close is neither met nor missed for certain.
describe('few segments', () => {
  const measurement = { spectrum: { averageCount: 4 } };
  const [free] = run({ measurement, limits: [{ reading: 'aclr', requiredDb: 30 }] }).verdicts;
  const spreadDb = free?.spreadDb ?? 0;

  test('the spread stands beside the verdict', () => {
    expect(spreadDb).toBeGreaterThan(0.02);
    expect(spreadDb).toBeLessThan(1);
  });

  test.each([
    [-2.2, 'pass', 'within'],
    [-1.5, 'marginal', 'within'],
    [1.5, 'marginal', 'misses'],
    [2.2, 'fail', 'misses'],
  ] as const)('a limit %f deviations above the reading: %s', (deviations, state, answer) => {
    const requiredDb = (free?.measured ?? 0) + deviations * spreadDb;
    const report = run({ measurement, limits: [{ reading: 'aclr', requiredDb }] });
    expect(report.verdicts[0]).toMatchObject({ state, spreadDb });
    expect(report.answer).toContain(answer);
  });
});

describe('rules and their carriers', () => {
  test('TS 25.104 does not suit a 10 MHz carrier', () => {
    const [issue, ...rest] = issuesOf({ measurement: { channels: 'ts25104' } });
    expect(rest).toEqual([]);
    expect(issue).toMatchObject({ path: 'measurement.channels', value: 'ts25104' });
    expect(issue?.rule).toMatch(/adjacent channel .* cuts into the carrier/);
  });

  test('a channel that the table lacks is told', () => {
    const codes = (channels: string, carrier: unknown) =>
      run({ carriers: [carrier], measurement: { channels }, waveform: { symbolCount: 4 } }).warnings.filter(
        ({ code }) => code === 'channel-not-in-table',
      );
    expect(codes('ts38104', nr())).toEqual([]);
    const [warning] = codes('ts36104', nr(0, 25, 30e3));
    expect(warning?.message).toMatch(/TS 36.104 has no channel of 25 MHz/);
  });
});

describe('limits without a reading', () => {
  const one = (limit: Record<string, unknown>, change: Parameters<typeof scenario>[0] = {}) =>
    issuesOf({ ...change, limits: [limit] }).map(({ path, rule }) => `${path}: ${rule}`);
  const noise = { kind: 'noise', occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 };
  const samples = { sampleCount: 65536, sampleRateHz: 122.88e6, symbolCount: undefined };
  const pieces = [{ fromHz: 1e6, toHz: 5e6, startLevel: -10, endLevel: -10, measuringBandwidthHz: 1e5 }];
  const pair = { kind: 'twoTone', toneSpacingHz: 1e6 };

  test.each<[string, Record<string, unknown>, Parameters<typeof scenario>[0], RegExp | null]>([
    ['ratio', { reading: 'aclr', requiredDb: 45 }, {}, null],
    ['density with a scale', { reading: 'aclr', requiredDb: 45, absoluteDbmPerMHz: -13 }, {}, null],
    [
      'density without a scale',
      { reading: 'aclr', requiredDb: 45, absoluteDbmPerMHz: -13 },
      { saturatedPowerDbm: null },
      /limits.0: needs the amplifier’s saturated power/,
    ],
    [
      'no such channel',
      { reading: 'aclr', channel: 'utraFirst', requiredDb: 45 },
      {},
      /there are: adjacent, alternate/,
    ],
    [
      'no gap',
      { reading: 'aclr', channel: 'gap', requiredDb: 45 },
      { measurement: { channels: 'ts38104' } },
      /must find slots in a gap/,
    ],
    [
      'channel outside the rate',
      { reading: 'aclr', channel: 'utraSecond', requiredDb: 45 },
      { measurement: { channels: 'ts38104' }, waveform: { sampleRateHz: 15.36e6 } },
      /waveform.sampleRateHz: must be at least 29.50 MHz for the utraSecond channel/,
    ],
    [
      // The skirts of the root-raised-cosine filter reach 1.22·1.92 MHz: 2·(12.5 + 2.3424).
      'rrc channel outside the rate',
      { reading: 'aclr', channel: 'utraSecond', requiredDb: 36 },
      { measurement: { channels: 'ts38101' }, waveform: { sampleRateHz: 15.36e6 } },
      /must be at least 29.68 MHz for the utraSecond channel/,
    ],
    ['EVM of noise', { reading: 'evm', requiredPercent: 5 }, { carriers: [noise] }, /needs a carrier with symbols/],
    [
      'EVM of a single carrier',
      { reading: 'evm', requiredPercent: 5 },
      { carriers: [{ kind: 'singleCarrier', symbolRateHz: 3.84e6 }], waveform: samples },
      null,
    ],
    ['mask', { reading: 'mask', name: 'a', pieces }, { measurement: { spectrum: { segmentLength: 4096 } } }, null],
    ['mask without a scale', { reading: 'mask', name: 'a', pieces }, { saturatedPowerDbm: null }, /saturated power/],
    ['notch', { reading: 'notch', requiredDb: 30 }, {}, /needs a carrier with a notch/],
    [
      'notch there',
      { reading: 'notch', requiredDb: 30 },
      { carriers: [{ ...noise, notch: { bandwidthHz: 3e5 } }], waveform: samples },
      null,
    ],
    ['slot', { reading: 'slot', name: 'a', requiredDb: 30 }, {}, /limits.0.name: needs a slot of that name/],
    [
      'another slot',
      { reading: 'slot', name: 'a', requiredDb: 30 },
      { measurement: { slots: [{ name: 'b', centreHz: 8e6, bandwidthHz: 1e6 }] } },
      /must name a slot; there are: b/,
    ],
    ['intermodulation of OFDM', { reading: 'intermodulation', requiredDb: 30 }, {}, /two-tone carrier alone/],
    [
      'intermodulation of even order',
      { reading: 'intermodulation', order: 4, requiredDb: 30 },
      { carriers: [pair], waveform: samples },
      /limits.0.order: must be 3 or 5/,
    ],
    [
      'intermodulation outside the rate',
      { reading: 'intermodulation', order: 5, requiredDb: 30 },
      { carriers: [{ ...pair, toneSpacingHz: 30e6 }], waveform: samples },
      /they lie 7\d\.\d+ MHz from the centre/,
    ],
    ['intermodulation', { reading: 'intermodulation', requiredDb: 30 }, { carriers: [pair], waveform: samples }, null],
  ])('%s', (_, limit, change, rule) => {
    const issues = one(limit, change);
    if (rule === null) expect(issues).toEqual([]);
    else expect(issues.join('\n')).toMatch(rule);
  });

  test('masks of one name', () => {
    const limits = [0, 1].map(() => ({ reading: 'mask', name: 'a', pieces }));
    expect(issuesOf({ limits }).map(({ path }) => path)).toContain('limits.1.name');
  });
});

describe('slots a scenario cannot have', () => {
  const slot = (change: Record<string, unknown>) => ({ name: 'a', centreHz: 8e6, bandwidthHz: 2e6, ...change });

  test.each<[string, Record<string, unknown>[], string | null, RegExp]>([
    ['beside the carrier', [slot({})], null, /./],
    ['over the carrier', [slot({ centreHz: 5e6 })], 'measurement.slots.0', /cuts into the carrier/],
    ['inside the carrier', [slot({ centreHz: 0 })], 'measurement.slots.0', /cuts into the carrier/],
    ['outside the band', [slot({ centreHz: 61e6 })], 'measurement.slots.0', /must lie inside ±/],
    ['of one name', [slot({}), slot({ centreHz: -8e6 })], 'measurement.slots.1.name', /must differ/],
    ['of no carrier', [slot({ referenceCarriers: [0, 1] })], 'measurement.slots.0.referenceCarriers', /from 0 to 0/],
  ])('%s', (_, slots, path, rule) => {
    const issues = issuesOf({ measurement: { slots }, waveform: { sampleRateHz: 122.88e6 } });
    expect(issues.map((issue) => issue.path)).toEqual(path === null ? [] : [path]);
    for (const issue of issues) expect(issue.rule).toMatch(rule);
  });
});
