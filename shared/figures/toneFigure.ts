// Two tones: products against the power of one tone, with the third-order line they should follow, and both sides of the
// products against the spacing on a logarithmic axis.
import { formatEngineering, formatQuantity } from '../format/numbers.ts';
import type { Side } from '../schema/report.ts';
import type { StudyReport, TonePoint, ToneSide, TonesResult } from '../schema/studyReport.ts';
import type { ChartPoint } from './chartMarks.ts';
import { axisNumber, rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { type ChartAxis, type ChartTrace, drawLineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES, type TraceStyle } from './palette.ts';
import { decadeTicks } from './ticks.ts';

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

const IM3: Pick = ({ im3Dbc }) => im3Dbc;
const IM5: Pick = ({ im5Dbc }) => im5Dbc;

type Place = (point: TonePoint) => number;
type Height = (point: TonePoint) => number | null;

function trace(style: TraceStyle, points: readonly TonePoint[], x: Place, y: Height): ChartTrace[] {
  const read = points.filter((point) => y(point) !== null);
  if (read.length === 0) return [];
  return [{ style, dots: true, x: read.map(x), y: read.map((point) => y(point) as number) }];
}

/** The products of one order, fifth order first so that the third lies on top. */
function productTraces(
  points: readonly TonePoint[],
  x: Place,
  height: (side: Side, pick: Pick, of: 'uncorrected' | 'corrected') => Height,
): ChartTrace[] {
  return [
    ...SIDES.flatMap((side) => trace(STYLES.im5[side], points, x, height(side, IM5, 'uncorrected'))),
    ...SIDES.flatMap((side) => trace(STYLES.im3[side], points, x, height(side, IM3, 'uncorrected'))),
    ...SIDES.flatMap((side) => trace(STYLES.corrected[side], points, x, height(side, IM3, 'corrected'))),
  ];
}

function sideOf(point: TonePoint, side: Side, of: 'uncorrected' | 'corrected'): ToneSide | null {
  return point[of]?.find((one) => one.side === side) ?? null;
}

/** Tone and products in dBm against one tone's dBm; in dB re saturation without a power scale. */
export function drawToneLevels(report: StudyReport, result: TonesResult): string {
  const points = [...result.levels].reverse();
  const shift = scaleShift(points);
  const x: Place = (point) => toneLevel(point) + (shift ?? 0);
  const products = productTraces(points, x, (side, pick, of) => (point) => {
    const reading = sideOf(point, side, of);
    const dbc = reading && pick(reading);
    return reading === null || dbc === null ? null : reading.toneLevelDb + dbc + (shift ?? 0);
  });
  const measured = [...products, ...trace(STYLES.tone, points, x, x)];
  const { intercept } = result;
  const cross = intercept === null ? null : intercept.oip3OverSaturationDb + (shift ?? 0);
  const [left, right] = rangeAround([...points.map(x), cross], 8);
  // The fifth-order products fall out of the picture below: the axis ends where the third-order ones do.
  const isFifth = (style: TraceStyle) => style === STYLES.im5.lower || style === STYLES.im5.upper;
  const heights = measured.filter(({ style }) => !isFifth(style)).flatMap(({ y }) => Array.from(y));
  const [bottom, top] = rangeAround([...heights, cross], 6);
  const unit = shift === null ? 'dB re saturation' : 'dBm';
  return drawLineChart({
    title: `${report.study.title}, against level`,
    description: `Products of order 3 and 5 against the power of one tone. ${report.answer}`,
    x: axis(`Power of one tone, ${unit}`, left, right),
    y: axis(`Power of one line, ${unit}`, bottom, top),
    traces: [...(cross === null ? [] : [referenceLine(cross, left, right, bottom)]), ...measured],
    points: cross === null ? [] : [crossPoint(cross, unit)],
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

function axis(label: string, minimum: number, maximum: number): ChartAxis {
  return { label, minimum, maximum, scale: 'linear', format: axisNumber };
}

/** P₃ = OIP3 + 3·(P − OIP3), as far as it lies inside the picture. */
function referenceLine(cross: number, left: number, right: number, bottom: number): ChartTrace {
  const from = Math.max(left, cross + (bottom - cross) / 3);
  const to = Math.min(right, cross);
  return { style: STYLES.reference, x: [from, to], y: [from, to].map((at) => cross + 3 * (at - cross)) };
}

function crossPoint(cross: number, unit: string): ChartPoint {
  const label = `OIP3 ${formatQuantity(cross, unit, 1)}`;
  return { x: cross, y: cross, colour: PALETTE.ink, shape: 'ring', label, labelAt: 'left' };
}

/** Both sides of IM3 and IM5 in dBc against the spacing. */
export function drawToneSpacings(report: StudyReport, result: TonesResult): string {
  const points = result.spacings;
  const x: Place = ({ toneSpacingHz }) => toneSpacingHz;
  const traces = productTraces(points, x, (side, pick, of) => (point) => {
    const reading = sideOf(point, side, of);
    return reading && pick(reading);
  });
  const heights = traces.flatMap(({ y }) => Array.from(y));
  const [bottom, top] = rangeAround(heights, 6);
  const [minimum, maximum] = spacingRange(points.map(x));
  const level = formatQuantity(points[0]?.toneBackoffDb ?? null, 'dB');
  return drawLineChart({
    title: `${report.study.title}, against spacing`,
    description: `Products of order 3 and 5, lower and upper, against the spacing. ${report.answer}`,
    x: {
      label: 'Tone spacing',
      minimum,
      maximum,
      scale: 'log',
      format: (hz) => formatEngineering(hz, 'Hz'),
    },
    y: axis(`Product over one tone, dBc, one tone ${level} below saturated power`, bottom, top),
    traces,
    condition: conditionLines(report.conditions),
  });
}

/** A little beyond the spacings, or whole decades where less than two marks would show. */
function spacingRange(places: readonly number[]): readonly [number, number] {
  const [least, most] = [Math.min(...places) / 1.2, Math.max(...places) * 1.2];
  if (decadeTicks(least, most).length >= 2) return [least, most];
  return [10 ** Math.floor(Math.log10(least)), 10 ** Math.ceil(Math.log10(most))];
}
