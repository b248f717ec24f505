// What the page makes of readings, limits, sets, EVM and tones: chosen and worded, never computed.
import { describe, expect, test } from 'vitest';
import { formatFixed } from '../../shared/format/numbers.ts';
import { parseScenario } from '../../shared/schema/parse.ts';
import type { LimitSettings } from '../../shared/schema/scenario.ts';
import type { TonePoint, TonesResult } from '../../shared/schema/studyReport.ts';
import { limitSetFor, limitSetIds } from '../../shared/tables/limitSets.ts';
import { limitSubjectOf } from '../../shared/tables/limitSubject.ts';
import { evmModel, evmSeries, evmTraceOf } from '../../src/app/charts/evmModels.ts';
import { spectrumModel } from '../../src/app/charts/spectrumModel.ts';
import { toneLevelModel, toneSpacingModel } from '../../src/app/charts/toneModels.ts';
import { columnsOf, readingGroups } from '../../src/app/format/readingRows.ts';
import { DEFINITIONS } from '../../src/app/format/terms.ts';
import { limitGroups } from '../../src/app/format/verdicts.ts';
import { preset, smallReport } from './smallReport.ts';

const OWN = { source: 'test', status: 'own' } as const;

/** 43 dBm of a 10 MHz LTE carrier at 2.14 GHz with limits of many kinds. */
const limits: LimitSettings[] = [
  { reading: 'aclr', channel: 'adjacent', requiredDb: 45, absoluteDbmPerMHz: null, ...OWN },
  { reading: 'aclr', channel: 'alternate', requiredDb: 110, absoluteDbmPerMHz: 55, ...OWN },
  { reading: 'evm', requiredPercent: 8, ...OWN },
  {
    reading: 'mask',
    name: 'flat',
    unit: 'dBm',
    measuredFrom: 'channelEdge',
    ratedPowerDbm: null,
    pieces: [
      {
        fromHz: 1e6,
        toHz: 'end',
        startLevel: -13,
        endLevel: -13,
        measuringBandwidthHz: 1e6,
        atMostDbm: null,
        atLeastDbm: null,
      },
    ],
    ...OWN,
  },
  { reading: 'occupiedBandwidth', requiredHz: 10e6, ...OWN },
];
const report = smallReport({ limits });

describe('limits', () => {
  const groups = limitGroups(report);

  test('one group a limit, in the scenario’s order, with a row for each output that has the reading', () => {
    expect(groups.map(({ title }) => title)).toEqual([
      'ACLR, adjacent',
      'ACLR, alternate',
      'EVM',
      'Mask, flat',
      'Occupied bandwidth',
    ]);
    expect(groups.map(({ rows }) => rows.length)).toEqual([2, 2, 2, 2, 2]);
    const unread = limitGroups({ ...report, verdicts: report.verdicts.filter(({ limit }) => limit !== 'evm') });
    expect(unread.map(({ rows }) => rows.length)).toEqual([2, 2, 0, 2, 2]);
  });

  test('a limit met by its density says so, with the density’s unit', () => {
    const [row] = groups[1].rows;
    expect(row.verdict.metBy).toBe('absolute');
    expect(row.reading).toContain('dBm/MHz');
    expect(row.place).toContain('by its density');
  });

  test('a mask names its worst point: limit, bandwidth, place', () => {
    for (const { verdict, place } of groups[3].rows) {
      const mask = report[verdict.of]!.masks[0];
      expect(place).toContain(formatFixed(mask.limitDbm, 1));
      expect(place).toContain('in 1\u2009MHz');
      expect(place).toContain(formatFixed(mask.atHz / 1e6, 2).replace(/^(?=\d)/, '+'));
    }
  });

  test('the worst points stand on the plot at the mask’s line less the margin', () => {
    const { worstPoints } = spectrumModel(report, 'comparison');
    const [line] = report.traces.limitLines.filter(({ kind }) => kind === 'mask');
    const margins = [report.uncorrected, report.corrected!].map(({ masks }) => masks[0].worstMarginDb);
    expect(worstPoints.map(({ level }) => line.level - level)).toEqual(
      margins.map((margin) => expect.closeTo(margin, 9)),
    );
  });
});

describe('readings', () => {
  const groups = readingGroups(report);

  test('every row has a unit and a cell for every output, every group a definition', () => {
    expect(groups.length).toBeGreaterThan(5);
    for (const { name, rows } of groups) {
      expect(DEFINITIONS[name].length).toBeGreaterThan(40);
      for (const { unit, cells } of rows) {
        expect(unit).not.toBe('');
        expect(cells).toHaveLength(columnsOf(report).length);
      }
    }
  });

  test('figures are the report’s, to one decimal, with their spread', () => {
    const { rows } = groups.find(({ name }) => name === 'aclr')!;
    expect(rows).toHaveLength(report.uncorrected.aclr.length);
    rows.forEach(({ cells: [uncorrected, corrected] }, i) => {
      const [bare, better] = [report.uncorrected.aclr[i], report.corrected!.aclr[i]];
      expect(uncorrected.text).toBe(formatFixed(bare.aclrDb, 1));
      expect(uncorrected.note).toContain(`±${formatFixed(bare.spreadDb!, 2)}`);
      expect(corrected.text).toBe(formatFixed(better.aclrDb, 1));
    });
  });

  test('without a predistorter there is no corrected column', () => {
    const bare = smallReport({ predistorter: null });
    expect(columnsOf(bare)).toEqual(['uncorrected', 'ideal', 'waveform']);
    for (const { cells } of readingGroups(bare).flatMap(({ rows }) => rows)) expect(cells).toHaveLength(3);
  });
});

describe('sets of limits', () => {
  const scenario = report.scenario;
  const subject = limitSubjectOf(scenario, report.waveform.carriers);

  test('what a set writes is a valid scenario', () => {
    const fitting = limitSetIds.map((id) => limitSetFor(id, subject)).filter((one) => one.kind === 'limits');
    expect(fitting.length).toBeGreaterThan(0);
    for (const made of fitting) {
      const changed = {
        ...scenario,
        limits: made.limits,
        measurement: { ...scenario.measurement, channels: made.channels },
      };
      expect(parseScenario(changed).kind).toBe('scenario');
    }
  });

  test('an LTE carrier fits no set of NR', () => {
    const outcomes = limitSetIds.filter((id) => id.startsWith('nr-')).map((id) => limitSetFor(id, subject).kind);
    expect(new Set(outcomes)).toEqual(new Set(['invalid']));
  });
});

describe('EVM of a carrier', () => {
  test('subcarriers lie in MHz, symbols are counted from one', () => {
    const trace = evmTraceOf(report, 'uncorrected', 0)!;
    // 600 occupied subcarriers of 15 kHz: TS 36.104 Table 5.6-1, 50 resource blocks.
    const { x } = evmSeries(trace, 'subcarrier');
    expect(x).toHaveLength(600);
    expect(x.at(-1)! - x[0]).toBeCloseTo(600 * 0.015, 6);
    const symbols = evmSeries(trace, 'symbol');
    expect(symbols.x[0]).toBe(1);
    expect(symbols.x).toHaveLength(symbols.y.length);
  });

  test('both outputs are drawn, and a limit that is near as a rule', () => {
    const model = evmModel(report, 0, 'subcarrier')!;
    expect(model.curves.map(({ name }) => name)).toEqual(['Uncorrected', 'Corrected']);
    expect(model.rule).toBe(8);
  });

  test('a single carrier has symbols and no subcarriers', () => {
    const outcome = smallReport(preset('long-horizon-qpsk'));
    expect(evmModel(outcome, 0, 'subcarrier')).toBeNull();
    expect(evmModel(outcome, 0, 'symbol')).not.toBeNull();
  });
});

describe('tones', () => {
  /** Products of a pure third-order amplifier: 3 dB per dB, crossing at 10 dB over saturation. */
  const point = (toneBackoffDb: number, toneSpacingHz = 1e6): TonePoint => {
    const im3Dbc = -2 * (toneBackoffDb + 10);
    const side = (name: 'lower' | 'upper') => ({
      side: name,
      tonePowerDbm: 45 - toneBackoffDb,
      toneLevelDb: -toneBackoffDb,
      im3Dbc,
      im5Dbc: 2 * im3Dbc,
      im7Dbc: null,
      im3Dbm: null,
      im5Dbm: null,
      im3Slope: 3,
      oip3Dbm: 55,
      oip3OverSaturationDb: 10,
    });
    return {
      toneBackoffDb,
      toneSpacingHz,
      tonePowerDbm: 45 - toneBackoffDb,
      bothTonesDbm: null,
      peakEnvelopeDbm: null,
      compressionDb: null,
      uncorrected: [side('lower'), side('upper')],
      corrected: null,
      correctionUsed: false,
    };
  };
  const result: TonesResult = {
    kind: 'tones',
    levels: [10, 20, 30].map((level) => point(level)),
    spacings: [1e5, 1e6, 1e7].map((hz) => point(13, hz)),
    outOfReachDb: [],
    intercept: {
      side: 'lower',
      oip3Dbm: 55,
      oip3OverSaturationDb: 10,
      sides: [],
      fromToneBackoffDb: 10,
      toToneBackoffDb: 30,
      levelCount: 3,
      slopeLeast: 3,
      slopeMost: 3,
    },
    refusal: null,
    limits: [],
    asymmetry: null,
  };

  test('third-order products lie on the reference of slope three through the intercept', () => {
    const { model } = toneLevelModel(result);
    const reference = model.curves.find(({ name }) => name === '3 dB per dB')!;
    const third = model.curves.find(({ name }) => name === 'IM3 upper')!;
    const slope = (reference.y[1] - reference.y[0]) / (reference.x[1] - reference.x[0]);
    expect(slope).toBeCloseTo(3, 9);
    for (let i = 0; i < third.x.length; i++) expect(third.y[i]).toBeCloseTo(55 + 3 * (third.x[i] - 55), 9);
    expect(model.marks).toMatchObject([{ x: 55, y: 55 }]);
  });

  test('without an intercept there is neither mark nor reference', () => {
    const { model } = toneLevelModel({ ...result, intercept: null, refusal: 'no level follows the third power' });
    expect(model.marks).toEqual([]);
    expect(model.curves.some(({ name }) => name === '3 dB per dB')).toBe(false);
  });

  test('lower sides are dashed, and decades of spacing are named', () => {
    const { curves, x } = toneSpacingModel(result);
    for (const { name, dash } of curves) expect(dash.length > 0).toBe(name.endsWith('lower'));
    expect(x.splits!.map((place) => x.format(place))).toEqual(['100\u2009kHz', '1\u2009MHz', '10\u2009MHz']);
  });
});
