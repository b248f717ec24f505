// Two tones: products against the power of one tone, with the third-order line they should follow, and both sides of the
// products against the spacing on a logarithmic axis.
import { formatEngineering, formatQuantity } from '../format/numbers.ts';
import type { Side } from '../schema/report.ts';
import type { StudyReport, ToneIntercept, TonePoint, ToneSide, TonesResult } from '../schema/studyReport.ts';
import type { ChartPoint } from './chartMarks.ts';
import { axisNumber, rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { type ChartAxis, type ChartTrace, drawLineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES, type TraceStyle } from './palette.ts';

type Pick = (side: ToneSide) => number | null;

/** Lower sides dashed, upper sides solid: colour is never the only cue. */
const STYLES = {
  tone: { name: 'One tone', colour: PALETTE.ink, dash: [] },
  im3: {
    lower: { name: 'IM3 lower', colour: TRACE_STYLES.uncorrected.colour, dash: [6, 4] },
    upper: { name: 'IM3 upper', colour: TRACE_STYLES.uncorrected.colour, dash: [] },
  },
  im5: {
    lower: { name: 'IM5 lower', colour: TRACE_STYLES.shaped.colour, dash: [6, 4] },
    upper: { name: 'IM5 upper', colour: TRACE_STYLES.shaped.colour, dash: [] },
  },
  corrected: {
    lower: { name: 'IM3 lower, corr.', colour: TRACE_STYLES.corrected.colour, dash: [6, 4] },
    upper: { name: 'IM3 upper, corr.', colour: TRACE_STYLES.corrected.colour, dash: [] },
  },
  reference: { name: '3 dB per dB', colour: TRACE_STYLES.ideal.colour, dash: [9, 5] },
} as const satisfies Readonly<Record<string, TraceStyle | Readonly<Record<Side, TraceStyle>>>>;

const SIDES: readonly Side[] = ['lower', 'upper'];

function trace(
  style: TraceStyle,
  points: readonly TonePoint[],
  x: (point: TonePoint) => number,
  y: (point: TonePoint) => number | null,
): ChartTrace[] {
  const read = points.filter((point) => y(point) !== null);
  if (read.length === 0) return [];
  return [{ style, dots: true, x: read.map(x), y: read.map((point) => y(point) as number) }];
}

function sideOf(readings: readonly ToneSide[] | null, side: Side): ToneSide | undefined {
  return readings?.find((one) => one.side === side);
}

/** Tone and products in dBm against one tone's dBm; in dB re saturation without a power scale. */
export function drawToneLevels(report: StudyReport, result: TonesResult): string {
  const points = [...result.levels].reverse();
  const shift = scaleShift(points);
  const x = (point: TonePoint) => toneLevel(point) + (shift ?? 0);
  const level =
    (side: Side, pick: Pick, corrected = false) =>
    (point: TonePoint) => {
      const reading = sideOf(corrected ? point.corrected : point.uncorrected, side);
      const dbc = reading === undefined ? null : pick(reading);
      return reading === undefined || dbc === null ? null : reading.toneLevelDb + dbc + (shift ?? 0);
    };
  const measured = [
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.im5[side],
        points,
        x,
        level(side, ({ im5Dbc }) => im5Dbc),
      ),
    ),
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.im3[side],
        points,
        x,
        level(side, ({ im3Dbc }) => im3Dbc),
      ),
    ),
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.corrected[side],
        points,
        x,
        level(side, ({ im3Dbc }) => im3Dbc, true),
      ),
    ),
    ...trace(STYLES.tone, points, x, x),
  ];
  const unit = shift === null ? 'dB re saturation' : 'dBm';
  const values = [...measured.filter(({ style }) => style !== STYLES.im5.lower && style !== STYLES.im5.upper)].flatMap(
    ({ y }) => Array.from(y),
  );
  const intercept = result.intercept;
  const cross = intercept === null ? null : intercept.oip3OverSaturationDb + (shift ?? 0);
  const xs = points.map(x);
  const [left, right] = rangeAround([...xs, ...(cross === null ? [] : [cross])], 8);
  const [bottom, top] = rangeAround([...values, ...(cross === null ? [] : [cross])], 6);
  const lines = cross === null ? [] : referenceLine(cross, left, right, bottom);
  return drawLineChart({
    title: `${report.study.title}: level`,
    description: `Products of order 3 and 5 against the power of one tone. ${report.answer}`,
    x: axis(`Power of one tone, ${unit}`, left, right, 'linear'),
    y: axis(`Power of one line, ${unit}`, bottom, top, 'linear'),
    traces: [...lines, ...measured],
    points: crossPoint(intercept, cross, shift),
    condition: conditionLines(report.conditions),
  });
}

/** What turns dB re saturation into dBm at the antenna port; null without a power scale. */
function scaleShift(points: readonly TonePoint[]): number | null {
  const [side] = points[0]?.uncorrected ?? [];
  return side === undefined || side.tonePowerDbm === null ? null : side.tonePowerDbm - side.toneLevelDb;
}

/** Mean power of the two tones, each. */
function toneLevel({ uncorrected }: TonePoint): number {
  const sum = uncorrected.reduce((total, { toneLevelDb }) => total + 10 ** (toneLevelDb / 10), 0);
  return 10 * Math.log10(sum / uncorrected.length);
}

function axis(label: string, minimum: number, maximum: number, scale: ChartAxis['scale']): ChartAxis {
  return { label, minimum, maximum, scale, format: axisNumber };
}

/** P₃ = OIP3 + 3·(P − OIP3), as far as it lies inside the picture. */
function referenceLine(cross: number, left: number, right: number, bottom: number): ChartTrace[] {
  const from = Math.max(left, cross + (bottom - cross) / 3);
  const to = Math.min(right, cross);
  return [{ style: STYLES.reference, x: [from, to], y: [from, to].map((at) => cross + 3 * (at - cross)) }];
}

function crossPoint(intercept: ToneIntercept | null, cross: number | null, shift: number | null): ChartPoint[] {
  if (intercept === null || cross === null) return [];
  const label = `OIP3 ${formatQuantity(cross, shift === null ? 'dB re saturation' : 'dBm')}`;
  return [{ x: cross, y: cross, colour: PALETTE.ink, shape: 'ring', label, labelAt: 'left' }];
}

/** Both sides of IM3 and IM5 in dBc against the spacing. */
export function drawToneSpacings(report: StudyReport, result: TonesResult): string {
  const points = result.spacings;
  const x = ({ toneSpacingHz }: TonePoint) => toneSpacingHz;
  const value =
    (side: Side, pick: Pick, corrected = false) =>
    (point: TonePoint) => {
      const reading = sideOf(corrected ? point.corrected : point.uncorrected, side);
      return reading === undefined ? null : pick(reading);
    };
  const traces = [
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.im5[side],
        points,
        x,
        value(side, ({ im5Dbc }) => im5Dbc),
      ),
    ),
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.corrected[side],
        points,
        x,
        value(side, ({ im3Dbc }) => im3Dbc, true),
      ),
    ),
    ...SIDES.flatMap((side) =>
      trace(
        STYLES.im3[side],
        points,
        x,
        value(side, ({ im3Dbc }) => im3Dbc),
      ),
    ),
  ];
  const [bottom, top] = rangeAround(
    traces.flatMap(({ y }) => Array.from(y)),
    6,
  );
  const places = points.map(x);
  const level = formatQuantity(points[0]?.toneBackoffDb ?? null, 'dB');
  return drawLineChart({
    title: `${report.study.title}: spacing`,
    description: `Products of order 3 and 5, lower and upper, against the spacing. ${report.answer}`,
    x: {
      label: 'Tone spacing',
      minimum: decadeBelow(Math.min(...places)),
      maximum: decadeAbove(Math.max(...places)),
      scale: 'log',
      format: (hz) => formatEngineering(hz, 'Hz'),
    },
    y: axis(`Product over one tone, dBc, one tone ${level} below saturated power`, bottom, top, 'linear'),
    traces,
    condition: conditionLines(report.conditions),
  });
}

const decadeBelow = (value: number) => 10 ** Math.floor(Math.log10(value) + 1e-2);
const decadeAbove = (value: number) => 10 ** Math.ceil(Math.log10(value) - 1e-2);
