// What of the page's band needs no browser: how points are added, sorted and kept round the channel, and what the pictures
// show of a report's rows.
import { describe, expect, test } from 'vitest';
import { curveCondition, curvePoints, outputsOf } from '../../shared/figures/amplifierCurveParts.ts';
import type { OverBandReport, OverBandRow } from '../../shared/schema/overBand.ts';
import { overBandFiguresAt } from '../../shared/schema/overBand.ts';
import type { OverBandSettings } from '../../shared/schema/scenario.ts';
import { overBandCursorText, overBandModel } from '../../src/app/charts/overBandModels.ts';
import { overBandStart, withNewPoint, withPoints } from '../../src/app/state/overBandEdits.ts';
import { smallReport } from './smallReport.ts';

const FLAT = { gainDb: 0, phaseDeg: 0, saturatedPowerDb: 0, model: null };

const band: OverBandSettings = {
  channelHz: 310e6,
  points: [
    { frequencyHz: 300e6, ...FLAT },
    { frequencyHz: 310e6, ...FLAT, gainDb: 1 },
    { frequencyHz: 350e6, ...FLAT, gainDb: -3, phaseDeg: 40, saturatedPowerDb: -1 },
  ],
};

describe('edits of the points', () => {
  test('a band begins round the carrier frequency, whole', () => {
    const start = overBandStart(3.46e9);
    expect(start.channelHz).toBe(3.46e9);
    expect(start.points.map(({ frequencyHz }) => frequencyHz)).toEqual([3.287e9, 3.46e9, 3.633e9]);
    expect(overBandStart(null).channelHz).toBe(1e9);
  });

  test('a new point halves the widest gap and changes nothing', () => {
    const { points } = withNewPoint(band);
    expect(points.map(({ frequencyHz }) => frequencyHz)).toEqual([300e6, 310e6, 330e6, 350e6]);
    for (const hz of [305e6, 320e6, 330e6, 341e6]) {
      const [before, after] = [overBandFiguresAt(band.points, hz), overBandFiguresAt(points, hz)];
      expect(after.gainDb).toBeCloseTo(before.gainDb, 12);
      expect(after.phaseDeg).toBeCloseTo(before.phaseDeg, 12);
      expect(after.saturatedPowerDb).toBeCloseTo(before.saturatedPowerDb, 12);
    }
  });

  test('points are sorted, and a channel left outside moves to the nearer end', () => {
    const moved = withPoints(band, [
      { frequencyHz: 400e6, ...FLAT },
      { frequencyHz: 320e6, ...FLAT },
    ]);
    expect(moved.points.map(({ frequencyHz }) => frequencyHz)).toEqual([320e6, 400e6]);
    expect(moved.channelHz).toBe(320e6);
    expect(withPoints({ ...band, channelHz: 500e6 }, band.points).channelHz).toBe(350e6);
    expect(withPoints(band, band.points).channelHz).toBe(310e6);
    // Half-typed text in the channel's control.
    expect(withPoints({ ...band, channelHz: 'x' as never }, band.points).channelHz).toBe(300e6);
  });
});

describe('the pictures', () => {
  const row = (mhz: number, rest: Partial<OverBandRow>): OverBandRow => ({
    frequencyHz: mhz * 1e6,
    gainDb: 40,
    phaseDeg: 0,
    saturatedPowerDb: 0,
    saturatedPowerDbm: 47,
    outputAtOneDbCompressionDb: -2,
    outputAtOneDbCompressionDbm: 45,
    amPmDeg: -4,
    isChannel: false,
    ...rest,
  });
  const report: OverBandReport = {
    channelHz: 312.5e6,
    rows: [
      row(225, {}),
      row(312.5, { gainDb: 38.5, isChannel: true }),
      row(400, { gainDb: 37, saturatedPowerDbm: 46 }),
    ],
  };
  const carriers = [-5e6, 5e6].map((offsetHz) => ({ offsetHz, occupiedBandwidthHz: 9e6 })) as never;

  test('gain over frequency, the channel marked, the occupied band of all carriers shaded', () => {
    const model = overBandModel({ overBand: report, carriers }, 'gain');
    expect(model.stops).toEqual([225, 312.5, 400]);
    expect(Array.from(model.curves[0]?.y ?? [])).toEqual([40, 38.5, 37]);
    expect(model.marks).toMatchObject([{ x: 312.5, y: 38.5 }]);
    expect(model.regions).toMatchObject([{ fromX: 303, toX: 322 }]);
    expect(model.y.minimum).toBeLessThanOrEqual(37);
    expect(model.y.maximum).toBeGreaterThanOrEqual(40);
  });

  test('powers are two lines; without 1 dB compression at every point one is left', () => {
    const power = (overBand: OverBandReport) => overBandModel({ overBand, carriers }, 'power');
    expect(power(report).curves.map(({ y }) => Array.from(y))).toEqual([
      [47, 47, 46],
      [45, 45, 45],
    ]);
    const [first, ...rest] = report.rows;
    const linear = { ...(first as OverBandRow), outputAtOneDbCompressionDb: null, outputAtOneDbCompressionDbm: null };
    expect(power({ ...report, rows: [linear, ...rest] }).curves).toHaveLength(1);
  });

  test('without a power scale levels are in dB', () => {
    const rows = report.rows.map((one) => ({
      ...one,
      saturatedPowerDbm: null,
      outputAtOneDbCompressionDbm: null,
    }));
    const model = overBandModel({ overBand: { ...report, rows }, carriers }, 'power');
    expect(model.y.label).toMatch(/dB$/);
    expect(Array.from(model.curves[1]?.y ?? [])).toEqual([-2, -2, -2]);
  });

  test('the cursor reads a row in words', () => {
    const text = overBandCursorText(report, 312.5).replaceAll('\u2009', ' ');
    expect(text).toBe('312.5 MHz, the channel: gain 38.50 dB, saturated 47.00 dBm, 1 dB compression 45.00 dBm');
    expect(overBandCursorText(report, null)).toBe('');
    expect(overBandCursorText(report, 300)).toBe('');
  });
});

describe('the curve of the channel', () => {
  const measured = [
    { inputDbm: -20, outputDbm: 20 },
    { inputDbm: 0, outputDbm: 38 },
    { inputDbm: 5, outputDbm: 40 },
  ];
  const pictureAt = (channelHz: number, model: unknown = null) => {
    const points = [
      { frequencyHz: 300e6, model },
      { frequencyHz: 400e6, gainDb: 1, saturatedPowerDb: -2 },
    ] as never;
    const { amplifier, scenario, traces } = smallReport({
      amplifier: {
        model: { kind: 'envelopePoints', points: measured },
        saturatedPowerDbm: 40,
        gainDb: 40,
        overBand: { channelHz, points },
      },
    });
    const { label, readBack } = amplifier;
    return { title: '', label, curve: traces.amplifierCurve, readBack, settings: scenario.amplifier };
  };

  test('measured points and gain move with it', () => {
    const picture = pictureAt(400e6);
    expect(curvePoints(picture)?.output.map((dbm) => Number(dbm.toFixed(9)))).toEqual([18, 36, 38]);
    expect(Math.max(...outputsOf(picture.curve))).toBeCloseTo(38, 6);
    expect(curveCondition(picture).join('; ').replaceAll('\u2009', ' ')).toContain('small-signal gain 41.00 dB');
  });

  test('points of the section’s model are not drawn beside another model’s curve', () => {
    expect(curvePoints(pictureAt(300e6, { kind: 'rapp', kneeSharpness: 2 }))).toBeNull();
  });
});
