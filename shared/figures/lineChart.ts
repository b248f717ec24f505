// A line chart as SVG text, without a document: for the command line, reports, export and print. Horizontal rules only,
// names at the ends of the lines, measured channels as faint columns with their readings inside, the condition below.
import { type ChartArrow, type ChartPoint, drawArrow, drawDots, drawPoint } from './chartMarks.ts';
import { PALETTE, SANS, type TraceStyle } from './palette.ts';
import { reduceLine } from './reduceLine.ts';
import { escapeXml, pathOf, tag, textTag } from './svgText.ts';
import { decadeTicks, linearTicks, spreadLabels } from './ticks.ts';

export interface ChartAxis {
  /** What is along the axis, with its unit; empty where another chart below says it. */
  readonly label: string;
  readonly minimum: number;
  readonly maximum: number;
  readonly scale: 'linear' | 'log';
  readonly format: (value: number) => string;
  /** A second, muted line under each mark of the x axis, such as the power that belongs to a back-off. */
  readonly under?: (value: number) => string;
}

export interface ChartTrace {
  readonly style: TraceStyle;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  /** A dot at each point: lines of few points show where they were computed. */
  readonly dots?: boolean;
}

/** A limit, level or sloped; the hatch is on the forbidden side. */
export interface ChartLimit {
  /** Empty: none. */
  readonly label: string;
  readonly fromX: number;
  readonly toX: number;
  readonly level: number;
  /** At `toX`, straight in between; default: level. */
  readonly toLevel?: number;
  /** Default: above. */
  readonly forbidden?: 'above' | 'below';
  /** Where the label stands along the line; default: in the middle. */
  readonly labelAt?: 'start' | 'middle' | 'end';
}

/** A faint column with a heading and readings, each in the colour of its trace. */
export interface ChartColumn {
  readonly fromX: number;
  readonly toX: number;
  readonly heading: string;
  readonly readings: readonly { readonly text: string; readonly colour: string }[];
  /** Default: the neutral column. */
  readonly fill?: string;
}

export interface LineChart {
  readonly title: string;
  /** One sentence for those who cannot see the picture. */
  readonly description: string;
  readonly x: ChartAxis;
  readonly y: ChartAxis;
  /** Drawn in this order: the last lies on top. */
  readonly traces: readonly ChartTrace[];
  readonly limits?: readonly ChartLimit[];
  readonly columns?: readonly ChartColumn[];
  readonly points?: readonly ChartPoint[];
  readonly arrows?: readonly ChartArrow[];
  /** Height of the plot in pixels; default 400. */
  readonly plotHeight?: number;
  /** Under which conditions the figures hold; a muted line each. */
  readonly condition: readonly string[];
}

const WIDTH = 960;
const PLOT = { left: 64, top: 64, width: 752 };
const PLOT_HEIGHT = 400;
const SMALL = 13;
const LINE_HEIGHT = 17;

/** From values to pixels inside the plot. */
export interface Scales {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly width: number;
  readonly height: number;
}

/** The chart as one SVG document, 960 pixels wide. */
export function drawLineChart(chart: LineChart): string {
  const plotHeight = chart.plotHeight ?? PLOT_HEIGHT;
  const height = heightOfChart(chart);
  const scales: Scales = {
    x: scaleOf(chart.x, 0, PLOT.width),
    y: scaleOf(chart.y, plotHeight, 0),
    width: PLOT.width,
    height: plotHeight,
  };
  const inside = [
    ...(chart.columns ?? []).map((column) => drawColumn(column, scales)),
    ...drawRules(chart.y, scales),
    ...chart.traces.map((trace) => drawTrace(trace, scales)),
    ...(chart.limits ?? []).map((limit) => drawLimit(limit, scales)),
    ...chart.traces.filter(({ dots }) => dots).map((trace) => drawDots(trace, scales)),
    ...(chart.arrows ?? []).map((arrow) => drawArrow(arrow, scales)),
    ...(chart.points ?? []).map((point) => drawPoint(point, scales)),
    ...(chart.columns ?? []).map((column) => drawReadings(column, scales)),
  ];
  // A nested svg clips without an id, so that several pictures can share one page.
  const plot = { x: PLOT.left, y: PLOT.top, width: PLOT.width, height: plotHeight, overflow: 'hidden' };
  const parts = [
    `<title>${escapeXml(chart.title)}</title>`,
    `<desc>${escapeXml(chart.description)}</desc>`,
    tag('rect', { width: WIDTH, height, fill: PALETTE.paper }),
    textTag({ x: PLOT.left, y: 26, 'font-size': 15, 'font-weight': 600, fill: PALETTE.ink }, shorten(chart.title)),
    textTag({ x: PLOT.left, y: PLOT.top - 14, fill: PALETTE.muted }, chart.y.label),
    tag('svg', plot, inside.join('')),
    ...drawAxisLabels(chart, scales),
    ...drawEndLabels(chart, scales),
    ...drawCondition(chart),
  ];
  const attributes = {
    xmlns: 'http://www.w3.org/2000/svg',
    viewBox: `0 0 ${WIDTH} ${height}`,
    width: WIDTH,
    height,
    role: 'img',
    'font-family': SANS,
    'font-size': SMALL,
    'font-variant-numeric': 'tabular-nums',
  };
  return `${tag('svg', attributes, parts.join('\n'))}\n`;
}

/** Pixels from the plot's lower edge to the first line of the condition. */
function footOf(chart: LineChart): number {
  if (chart.x.label === '') return 34;
  return chart.x.under === undefined ? 62 : 62 + LINE_HEIGHT;
}

/** Pixels that the whole picture is high. */
export function heightOfChart(chart: LineChart): number {
  return PLOT.top + (chart.plotHeight ?? PLOT_HEIGHT) + footOf(chart) + LINE_HEIGHT * chart.condition.length;
}

/** Pixels that every chart is wide. */
export const CHART_WIDTH = WIDTH;

/** What fits on one line of 15-pixel type; the document's own title keeps the whole. */
const TITLE_CHARACTERS = 90;

function shorten(title: string): string {
  const characters = [...title];
  return characters.length <= TITLE_CHARACTERS ? title : `${characters.slice(0, TITLE_CHARACTERS - 1).join('')}…`;
}

function scaleOf(axis: ChartAxis, from: number, to: number): (value: number) => number {
  const map = axis.scale === 'log' ? (value: number) => (value > 0 ? Math.log10(value) : Number.NaN) : Number;
  const low = map(axis.minimum);
  const span = map(axis.maximum) - low;
  return (value) => from + ((map(value) - low) / span) * (to - from);
}

function ticksOf(axis: ChartAxis, wanted: number): number[] {
  return axis.scale === 'log'
    ? decadeTicks(axis.minimum, axis.maximum)
    : linearTicks(axis.minimum, axis.maximum, wanted);
}

function drawRules(axis: ChartAxis, scales: Scales): string[] {
  return ticksOf(axis, 6).map((value) =>
    tag('line', { x1: 0, x2: PLOT.width, y1: scales.y(value), y2: scales.y(value), stroke: PALETTE.rule }),
  );
}

function drawColumn({ fromX, toX, fill }: ChartColumn, scales: Scales): string {
  const x = scales.x(fromX);
  return tag('rect', { x, y: 0, width: scales.x(toX) - x, height: scales.height, fill: fill ?? PALETTE.column });
}

function drawReadings(column: ChartColumn, scales: Scales): string {
  const x = (scales.x(column.fromX) + scales.x(column.toX)) / 2;
  const style = { x, 'text-anchor': 'middle', ...HALO };
  const heading = textTag({ ...style, y: 16, fill: PALETTE.muted }, column.heading);
  const lines = column.readings.map(({ text, colour }, i) =>
    textTag({ ...style, y: 16 + LINE_HEIGHT * (i + 1), fill: colour }, text),
  );
  return [heading, ...lines].join('');
}

function drawTrace(trace: ChartTrace, scales: Scales): string {
  const points = reduceLine(trace.x, trace.y, scales.x, scales.y, PLOT.width);
  const dash = trace.style.dash.length > 0 ? trace.style.dash.join(' ') : undefined;
  const line = { fill: 'none', stroke: trace.style.colour, 'stroke-dasharray': dash, 'stroke-linejoin': 'round' };
  return points.length === 0 ? '' : tag('path', { d: pathOf(points), ...line });
}

/** Keeps text readable where a line passes behind it. */
const HALO = { stroke: PALETTE.column, 'stroke-width': 3, 'paint-order': 'stroke' } as const;
const HATCH_STEP = 9;
const HATCH_LENGTH = 6;

function drawLimit(limit: ChartLimit, scales: Scales): string {
  const [from, to] = [scales.x(limit.fromX), scales.x(limit.toX)];
  const [fromY, toY] = [scales.y(limit.level), scales.y(limit.toLevel ?? limit.level)];
  const yAt = (x: number) => (to === from ? fromY : fromY + ((x - from) / (to - from)) * (toY - fromY));
  const below = limit.forbidden === 'below';
  const end = fromY === toY ? `H${to.toFixed(1)}` : `L${to.toFixed(1)} ${toY.toFixed(1)}`;
  const strokes = [`M${from.toFixed(1)} ${fromY.toFixed(1)}${end}`];
  for (let x = from; x < to - HATCH_LENGTH / 2; x += HATCH_STEP) {
    strokes.push(`M${x.toFixed(1)} ${yAt(x).toFixed(1)}l${HATCH_LENGTH} ${below ? '' : '-'}${HATCH_LENGTH}`);
  }
  const at = limit.labelAt ?? 'middle';
  const x = { start: from + 8, middle: (from + to) / 2, end: to - 8 }[at];
  // On the allowed side of a limit with its hatch below, so that hatch and label never meet.
  const label = { x, y: yAt(x) - (below ? 5 : HATCH_LENGTH + 4), 'text-anchor': at, 'font-size': 11, ...HALO };
  return [
    tag('path', { d: strokes.join(''), fill: 'none', stroke: PALETTE.ink }),
    limit.label === '' ? '' : textTag({ ...label, fill: PALETTE.ink }, limit.label),
  ].join('');
}

function drawAxisLabels(chart: LineChart, scales: Scales): string[] {
  const bottom = PLOT.top + scales.height;
  const { under } = chart.x;
  const left = ticksOf(chart.y, 6).map((value) =>
    textTag(
      { x: PLOT.left - 8, y: PLOT.top + scales.y(value) + 4, 'text-anchor': 'end', fill: PALETTE.ink },
      chart.y.format(value),
    ),
  );
  const below = ticksOf(chart.x, 9).map((value) =>
    textTag(
      { x: PLOT.left + scales.x(value), y: bottom + 18, 'text-anchor': 'middle', fill: PALETTE.ink },
      chart.x.format(value),
    ),
  );
  const second =
    under === undefined
      ? []
      : ticksOf(chart.x, 9).map((value) =>
          textTag(
            {
              x: PLOT.left + scales.x(value),
              y: bottom + 18 + LINE_HEIGHT,
              'text-anchor': 'middle',
              fill: PALETTE.muted,
            },
            under(value),
          ),
        );
  if (chart.x.label === '') return [...left, ...below];
  const y = bottom + footOf(chart) - 24;
  const axis = { x: PLOT.left + PLOT.width / 2, y, 'text-anchor': 'middle', fill: PALETTE.muted };
  return [...left, ...below, ...second, textTag(axis, chart.x.label)];
}

/** Each name at the height at which its line leaves the plot, with a piece of its dash. */
function drawEndLabels(chart: LineChart, scales: Scales): string[] {
  const right = PLOT.left + PLOT.width;
  const ends = chart.traces.map((trace) => endHeight(trace, chart.x, scales));
  const heights = spreadLabels(ends, LINE_HEIGHT, 8, scales.height - 8);
  return chart.traces.map(({ style }, i) => {
    const y = PLOT.top + (heights[i] as number);
    const dash = style.dash.length > 0 ? style.dash.join(' ') : undefined;
    const line = { x1: right + 6, x2: right + 26, y1: y, y2: y, stroke: style.colour, 'stroke-dasharray': dash };
    return tag('line', line) + textTag({ x: right + 31, y: y + 4, fill: style.colour }, style.name);
  });
}

/** Mean height of the last tenth of the shown line: the end of a noisy line is anywhere. */
function endHeight(trace: ChartTrace, axis: ChartAxis, scales: Scales): number {
  const from = axis.maximum - (axis.maximum - axis.minimum) / 10;
  let [sum, count, last] = [0, 0, scales.height];
  for (let i = 0; i < trace.x.length; i++) {
    const x = trace.x[i] as number;
    const y = scales.y(trace.y[i] as number);
    if (x > axis.maximum || !Number.isFinite(y)) continue;
    last = y;
    if (x < from) continue;
    sum += y;
    count += 1;
  }
  return Math.min(scales.height, Math.max(0, count > 0 ? sum / count : last));
}

function drawCondition(chart: LineChart): string[] {
  const first = heightOfChart(chart) - LINE_HEIGHT * chart.condition.length;
  return chart.condition.map((line, i) =>
    textTag({ x: PLOT.left, y: first + LINE_HEIGHT * i, 'font-size': 12, fill: PALETTE.muted }, line),
  );
}
