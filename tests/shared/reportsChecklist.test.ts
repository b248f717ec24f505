// The lab check list (F40). Levels are checked against their closed forms.
import { describe, expect, test } from 'vitest';
import {
  attenuationFor,
  averagesFor,
  checkList,
  floorNeededDbc,
  roundBandwidth,
  wattsOf,
} from '../../shared/reports/checklist.ts';
import { checklistPage } from '../../shared/reports/checklistPage.ts';
import type { Report } from '../../shared/schema/report.ts';
import { checklistText } from '../../src/cli/output/checklistText.ts';
import { runScenario } from '../../src/engine/index.ts';
import { SMALL_BENCH } from '../cli/smallStudies.ts';
import { htmlFault } from './wellFormed.ts';

function reportOf(change: object = {}): Report {
  const outcome = runScenario({ ...SMALL_BENCH, ...change });
  if (outcome.kind !== 'report') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const settings = (report: Report) =>
  new Map(checkList(report).groups.flatMap(({ items }) => items.map(({ what, setting }) => [what, setting] as const)));

/** The run with its corrected adjacent readings replaced. */
function predicting(aclrDb: number): Report {
  const report = reportOf();
  const corrected = report.corrected;
  if (corrected === null) throw new Error('must be corrected');
  const aclr = corrected.aclr.map((reading) => (reading.channel === 'adjacent' ? { ...reading, aclrDb } : reading));
  return { ...report, corrected: { ...corrected, aclr } };
}

describe('the numbers', () => {
  test('a predicted −52 dBc asks for an analyser floor of −62 dBc or less (F40)', () => {
    expect(floorNeededDbc(52)).toBe(-62);
    expect(settings(predicting(52)).get('Floor in the adjacent channel')).toMatch(
      /^at most −62\.0\u2009dBc in 4\.5\u2009MHz/,
    );
  });

  test('a floor of another density than the reading is stated at the instrument’s input', () => {
    // 30 dBm at the antenna port, 30 dB of attenuation: 0 dBm; −62 dBc over 4.5 MHz is −62 − 66.53 dB.
    expect(settings(predicting(52)).get('Floor in the adjacent channel')).toContain(
      '−129\u2009dBm/Hz with 0.0\u2009dBm at its input',
    );
  });

  test('rms detector, power averaging, 1 to 4 % of the channel (F40)', () => {
    const set = settings(reportOf());
    expect(set.get('Detector')).toBe('rms');
    expect(set.get('Averaging')).toBe('of power, not of dB');
    expect(set.get('Resolution bandwidth')).toBe(
      '50\u2009kHz to 200\u2009kHz (1 to 4 % of the channel), such as 100\u2009kHz',
    );
  });

  test('averaging in dB reads 2.51 dB low: the mean of 10·log10 of an exponential power is −10·log10(e)·γ', () => {
    // Trapezoid over ln p of an exponential density, an independent way to the same number.
    let mean = 0;
    const step = 1e-3;
    for (let t = -40; t < 6; t += step) mean += (10 / Math.LN10) * t * Math.exp(t - Math.exp(t)) * step;
    expect(mean).toBeCloseTo(-2.507, 3); // the rule's own error at this step is below 1e-6
    const item = checkList(reportOf())
      .groups.flatMap(({ items }) => items)
      .find(({ what }) => what === 'Averaging');
    expect(item?.why).toContain('2.51\u2009dB low');
  });

  test('the number of averages brings 10/ln 10 dB over the root of the readings down to 0.1 dB', () => {
    // 1886.1 independent readings; 4.5 MHz holds 45 of 100 kHz.
    expect(averagesFor(4.5e6, 100e3)).toBe(42);
    expect(averagesFor(100e6, 10e3)).toBe(10); // never fewer than ten
  });

  test.each([
    [36.5, 44.5, 40],
    [30, 37, 30],
    [-5, 2, 0],
    [0, 25, 10], // the peak decides
    [10, 18, 10],
  ])('%d dBm mean, %d dBm peak: %d dB of attenuation', (mean, peak, attenuation) => {
    expect(attenuationFor(mean, peak)).toBe(attenuation);
  });

  test('dBm and W belong together: 36.5 dBm is 4.467 W (F41)', () => {
    expect(wattsOf(36.5)).toBeCloseTo(4.467, 3);
  });

  test('bandwidths come in steps of 1, 3, 10', () => {
    expect([50e3, 100e3, 200e3, 1e6].map((low) => roundBandwidth(low, 4 * low))).toEqual([100e3, 300e3, 300e3, 3e6]);
  });
});

describe('the list', () => {
  test('sizes load, attenuator and power meter from mean and peak power, in dBm and W', () => {
    const report = reportOf();
    const set = settings(report);
    const mean = report.corrected?.antennaMeanDbm ?? 0;
    expect(mean).toBeCloseTo(30, 1);
    expect(set.get('Load and first attenuator')).toMatch(
      /^rated at least 33\.0\u2009dBm \(2\u2009W\) mean and \d\d\.\d\u2009dBm \([\d.]+\u2009W\) peak$/,
    );
    expect(set.get('Attenuation before instruments')).toMatch(/^(30|40)\u2009dB$/);
    expect(set.get('Power meter')).toContain('thermal or peak sensor');
  });

  test('expects every reading of both outputs, each with unit and tolerance and room for the measured one', () => {
    const report = reportOf();
    const { expected } = checkList(report);
    expect(expected.columns.map(({ heading }) => heading)).toEqual([
      'reading',
      'uncorrected',
      'corrected',
      'tolerance',
      'unit',
      'measured',
    ]);
    const row = expected.rows.find(({ texts }) => texts[0]?.startsWith('adjacent channel, lower'));
    expect(row?.values.slice(1, 3)).toEqual([
      -(report.uncorrected.aclr[0]?.aclrDb ?? 0),
      -(report.corrected?.aclr[0]?.aclrDb ?? 0),
    ]);
    expect(row?.texts.slice(3, 5)).toEqual(['± 1.5', 'dBc']);
    expect(expected.rows.some(({ texts }) => texts[0] === 'EVM, rms')).toBe(true);
  });

  test('says of every rule where it comes from', () => {
    for (const { items } of checkList(reportOf()).groups) {
      for (const { source } of items)
        expect(source).toMatch(/common practice, no source|closed form|of this run|this tool/);
    }
  });

  test('is about the output that is used, and about power only where there is a scale', () => {
    expect(checkList(reportOf({ predistorter: null })).subject).toContain('uncorrected output');
    const amplifier = { ...SMALL_BENCH.amplifier, saturatedPowerDbm: null };
    const unscaled = reportOf({ amplifier });
    expect([...settings(unscaled).keys()]).toContain('Power scale');
    expect(checklistText(unscaled)).not.toMatch(/dBm\/Hz|NaN|null|undefined/);
  });

  test('as a page loads nothing and is well-formed; as text is at most 78 wide beside its table', () => {
    const report = reportOf();
    const page = checklistPage(report);
    expect(htmlFault(page)).toBeNull();
    expect(page.match(/class="tick"/g)?.length).toBeGreaterThan(12);
    const lines = checklistText(report).split('\n');
    const table = lines.findIndex((line) => line.startsWith('reading '));
    for (const line of lines.slice(0, table - 1)) expect([...line].length, line).toBeLessThanOrEqual(78);
  });
});
