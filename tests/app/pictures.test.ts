// What the pictures show of a real report: chosen and placed, never computed.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Density } from '../../shared/schema/report.ts';
import { densityPixels } from '../../src/app/charts/density.ts';
import { spread } from '../../src/app/charts/endLabels.ts';
import { spectrumModel } from '../../src/app/charts/spectrumModel.ts';
import { warningsAt } from '../../src/app/elements/warningPlaces.ts';
import { limitGroups } from '../../src/app/format/verdicts.ts';
import { fileStem, readingsText, scenarioText, spectrumTable } from '../../src/app/state/downloads.ts';
import { parsed, smallReport } from './smallReport.ts';

const report = smallReport();
const twoCarriers = smallReport({
  waveform: {
    carriers: [-15e6, 15e6].map((offsetHz) => ({ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6, offsetHz })),
    sampleRateHz: 245.76e6,
  },
  amplifier: {
    model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.1 },
    saturatedPowerDbm: 45.5,
  },
});

describe('emission plot', () => {
  test('corrected lies on top, and every level is the report’s own array', () => {
    const { traces } = spectrumModel(report, 'comparison');
    expect(traces.map(({ key }) => key)).toEqual(['waveform', 'ideal', 'uncorrected', 'corrected']);
    expect(traces.at(-1)!.level).toBe(report.traces.spectra.corrected!.level);
  });

  test('columns stand where the report measured, beside the outer carriers', () => {
    const columns = spectrumModel(twoCarriers, 'comparison').columns.map(({ title, fromHz, toHz }) => [
      title,
      fromHz,
      toHz,
    ]);
    // Outer carriers at ±15 MHz (moved to whole cycles by less than 10 kHz), channels 9 MHz wide at 10 and 20 MHz.
    const expected = [
      ['adjacent', -29.5e6, -20.5e6],
      ['adjacent', 20.5e6, 29.5e6],
      ['alternate', -39.5e6, -30.5e6],
      ['alternate', 30.5e6, 39.5e6],
    ] as const;
    expect(columns).toHaveLength(4);
    expected.forEach(([title, fromHz, toHz], i) => {
      expect(columns[i][0]).toBe(title);
      expect(Math.abs((columns[i][1] as number) - fromHz)).toBeLessThan(10e3);
      expect(Math.abs((columns[i][2] as number) - toHz)).toBeLessThan(10e3);
    });
  });

  test('readings in the columns are those of the report, to one decimal', () => {
    const [column] = spectrumModel(report, 'comparison').columns;
    const outputs = [report.uncorrected, report.corrected!, report.ideal];
    expect(column.readings.map(({ text }) => text)).toEqual(outputs.map(({ aclr }) => aclr[0].aclrDb.toFixed(1)));
  });

  test('the near span holds every column and lies inside the whole', () => {
    for (const model of [report, twoCarriers].map((each) => spectrumModel(each, 'comparison'))) {
      const [from, to] = model.nearHz;
      expect(from).toBeGreaterThanOrEqual(model.wholeHz[0]);
      expect(to).toBeLessThanOrEqual(model.wholeHz[1]);
      for (const { fromHz, toHz } of model.columns) {
        expect(fromHz).toBeGreaterThan(from);
        expect(toHz).toBeLessThan(to);
      }
    }
  });

  test('by order: the uncorrected output first, then its parts; limits do not apply to parts', () => {
    const { traces, limitLines } = spectrumModel(report, 'orders');
    expect(traces.map(({ style }) => style.name)).toEqual([
      'Uncorrected',
      'Linear part',
      'Third order',
      'Fifth order',
      'Seventh order',
    ]);
    expect(limitLines).toEqual([]);
  });

  test('no two traces of one view share colour and dash', () => {
    for (const view of ['comparison', 'orders'] as const) {
      const looks = spectrumModel(report, view).traces.map(({ style }) => `${style.variable} ${style.dash.join()}`);
      expect(new Set(looks).size).toBe(looks.length);
    }
  });

  test('the level axis ends on whole tens and spans at most 110 dB', () => {
    const [bottom, top] = spectrumModel(report, 'comparison').levelRange;
    expect([bottom % 10, top % 10].map(Math.abs)).toEqual([0, 0]);
    expect(top - bottom).toBeLessThanOrEqual(110);
    expect(top).toBeGreaterThan(Math.max(...report.traces.spectra.uncorrected.level));
  });
});

describe('limits', () => {
  test('one group a limit, corrected first, the worse side speaking', () => {
    const groups = limitGroups(report);
    expect(groups.map(({ title }) => title).sort()).toEqual(['ACLR, adjacent', 'EVM']);
    for (const { rows } of groups) expect(rows.map(({ verdict }) => verdict.of)).toEqual(['corrected', 'uncorrected']);
    const aclr = groups.find(({ title }) => title.startsWith('ACLR'))!;
    const readings = report.uncorrected.aclr
      .filter(({ channel }) => channel === 'adjacent')
      .map(({ aclrDb }) => aclrDb);
    expect(aclr.rows[1].verdict.measured).toBe(Math.min(...readings));
  });
});

describe('density', () => {
  const density: Density = {
    counts: Uint32Array.of(0, 1, 100, 0),
    columnCount: 2,
    rowCount: 2,
    xMinimum: 0,
    xMaximum: 1,
    yMinimum: 0,
    yMaximum: 1,
  };

  test('row 0 is at the bottom, empty cells are clear, fuller cells are more opaque', () => {
    const pixels = densityPixels(density, [10, 20, 30]);
    const opacity = [3, 7, 11, 15].map((i) => pixels[i]);
    // Rows from the top: [100, 0], [0, 1].
    expect(opacity[1]).toBe(0);
    expect(opacity[2]).toBe(0);
    expect(opacity[0]).toBeGreaterThan(opacity[3]);
    expect(opacity[3]).toBeGreaterThan(0);
    expect([...pixels.slice(0, 3)]).toEqual([10, 20, 30]);
  });
});

describe('names at line ends', () => {
  test('keep their order, their distance and the plot’s edges', () => {
    expect(spread([50, 52, 10], 10, 0, 100)).toEqual([50, 60, 10]);
    expect(spread([98, 99, 100], 10, 0, 100)).toEqual([80, 90, 100]);
    expect(spread([-5], 10, 0, 100)).toEqual([0]);
  });
});

describe('warnings', () => {
  test('each code of the engine has a place of its own choosing, or stands under the answer', () => {
    const root = join(import.meta.dirname, '../../src/engine');
    const texts = readdirSync(root, { recursive: true, encoding: 'utf8' })
      .filter((name) => /(waveform|simulation).*\.ts$/.test(name))
      .map((name) => readFileSync(join(root, name), 'utf8'));
    const codes = new Set(texts.flatMap((text) => [...text.matchAll(/code: '([a-z-]+)'/g)].map((match) => match[1])));
    expect(codes.size).toBeGreaterThan(10);
    const places = ['answer', 'spectrum', 'limits', 'evm', 'learning', 'peaks'] as const;
    for (const code of codes) {
      const shown = places.filter((place) => warningsAt(place, [{ code, message: '' }], 'full').length > 0);
      const isBanner = code === 'unequal-power' || code === 'correction-rejected';
      expect(shown, code).toHaveLength(isBanner ? 0 : 1);
    }
  });

  test('what is true of any short record is not said of one', () => {
    const warning = [{ code: 'few-symbols', message: '' }];
    expect(warningsAt('evm', warning, 'full')).toHaveLength(1);
    expect(warningsAt('evm', warning, 'coarse')).toHaveLength(0);
  });
});

describe('exports', () => {
  test('readings are the report without its traces, at full precision', () => {
    const { traces: _traces, ...readings } = report;
    const plain = JSON.parse(
      JSON.stringify(readings, (_key, value) => (ArrayBuffer.isView(value) ? [...(value as Float64Array)] : value)),
    );
    expect(JSON.parse(readingsText(report))).toEqual(plain);
  });

  test('the spectrum table has one row a bin, and every figure comes back', () => {
    const lines = spectrumTable(report).trimEnd().split('\r\n');
    const { spectra } = report.traces;
    expect(lines[0]).toBe('offsetHz,waveformDbm,uncorrectedDbm,correctedDbm,idealDbm');
    expect(lines).toHaveLength(1 + spectra.waveform.frequencyHz.length);
    const row = lines[101].split(',').map(Number);
    expect(row).toEqual([
      spectra.waveform.frequencyHz[100],
      spectra.waveform.level[100],
      spectra.uncorrected.level[100],
      spectra.corrected!.level[100],
      spectra.ideal.level[100],
    ]);
  });

  test('the scenario’s text is a scenario', () => {
    expect(parsed(JSON.parse(scenarioText(report.scenario)))).toEqual(report.scenario);
  });

  test.each([
    ['Quarry Link', 'quarry-link'],
    ['  Überweg / 3.5 GHz ', 'uberweg-3-5-ghz'],
    ['…', 'scenario'],
  ])('file name of "%s"', (title, stem) => {
    expect(fileStem(title)).toBe(stem);
  });
});
