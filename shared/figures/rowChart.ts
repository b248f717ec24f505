// A chart of rows: a name on the left, a point with its whisker on a common axis, a few words on the right.
import { axisNumber } from './chartRange.ts';
import { PALETTE } from './palette.ts';
import { svgDocument } from './stackedCharts.ts';
import { tag, textTag } from './svgText.ts';
import { linearTicks } from './ticks.ts';

export interface ChartRow {
  readonly label: string;
  readonly value: number;
  /** Ends of the whisker. */
  readonly span?: readonly [number, number];
  readonly colour: string;
  readonly isHollow: boolean;
  readonly isChosen: boolean;
  readonly note: string;
}

export interface RowChart {
  readonly title: string;
  readonly description: string;
  readonly axis: { readonly label: string; readonly minimum: number; readonly maximum: number };
  readonly rows: readonly ChartRow[];
  /** Vertical lines with their names above; a hatch on the forbidden side. */
  readonly references: readonly { readonly x: number; readonly label: string; readonly forbidden?: 'left' | 'right' }[];
  readonly condition: readonly string[];
}

const WIDTH = 960;
const PLOT = { left: 268, right: 760, top: 64 };
const ROW = 26;
const LINE = 17;

export function drawRowChart(chart: RowChart): string {
  const { minimum, maximum, label } = chart.axis;
  const bottom = PLOT.top + ROW * chart.rows.length + 8;
  const place = (value: number) =>
    PLOT.left +
    ((Math.min(maximum, Math.max(minimum, value)) - minimum) / (maximum - minimum)) * (PLOT.right - PLOT.left);
  const ticks = linearTicks(minimum, maximum, 7);
  const parts = [
    textTag({ x: 16, y: 26, 'font-size': 15, 'font-weight': 600, fill: PALETTE.ink }, chart.title),
    ...chart.rows.map((row, i) => (row.isChosen ? drawBand(PLOT.top + ROW * i) : '')),
    ...ticks.map((value) => {
      const x = place(value);
      return tag('line', { x1: x, x2: x, y1: PLOT.top, y2: bottom, stroke: PALETTE.rule });
    }),
    ...chart.references.map((reference) => drawReference(reference, place(reference.x), bottom)),
    ...chart.rows.map((row, i) => drawRow(row, place, PLOT.top + ROW * (i + 0.5))),
    ...ticks.map((value) =>
      textTag({ x: place(value), y: bottom + 18, 'text-anchor': 'middle', fill: PALETTE.ink }, axisNumber(value)),
    ),
    textTag({ x: (PLOT.left + PLOT.right) / 2, y: bottom + 38, 'text-anchor': 'middle', fill: PALETTE.muted }, label),
    ...chart.condition.map((text, i) =>
      textTag({ x: 16, y: bottom + 62 + LINE * i, 'font-size': 12, fill: PALETTE.muted }, text),
    ),
  ];
  const height = bottom + 62 + LINE * chart.condition.length;
  return `${svgDocument({ title: chart.title, description: chart.description, width: WIDTH, height }, parts)}\n`;
}

function drawBand(y: number): string {
  return tag('rect', { x: 8, y: y + 1, width: WIDTH - 16, height: ROW - 2, fill: PALETTE.chosen });
}

function drawReference(reference: RowChart['references'][number], x: number, bottom: number): string {
  const strokes = [`M${x.toFixed(1)} ${PLOT.top}V${bottom}`];
  const side = reference.forbidden === 'left' ? -1 : 1;
  if (reference.forbidden !== undefined) {
    for (let y = PLOT.top + 6; y < bottom; y += 9) strokes.push(`M${x.toFixed(1)} ${y}l${6 * side} -6`);
  }
  const text = { x, y: PLOT.top - 8, 'text-anchor': 'middle', 'font-size': 12, fill: PALETTE.ink };
  return tag('path', { d: strokes.join(''), fill: 'none', stroke: PALETTE.ink }) + textTag(text, reference.label);
}

function drawRow(row: ChartRow, place: (value: number) => number, y: number): string {
  const x = place(row.value);
  const fill = row.isHollow ? PALETTE.paper : row.colour;
  const whisker =
    row.span === undefined
      ? ''
      : tag('path', {
          d: `M${place(row.span[0]).toFixed(1)} ${y}H${place(row.span[1]).toFixed(1)}M${place(row.span[0]).toFixed(1)} ${y - 5}v10M${place(row.span[1]).toFixed(1)} ${y - 5}v10`,
          fill: 'none',
          stroke: row.colour,
          'stroke-width': 1.5,
        });
  return [
    textTag({ x: PLOT.left - 14, y: y + 4, 'text-anchor': 'end', fill: PALETTE.ink }, row.label),
    whisker,
    tag('circle', { cx: x, cy: y, r: 4.5, fill, stroke: row.colour, 'stroke-width': 1.5 }),
    textTag({ x: PLOT.right + 14, y: y + 4, fill: PALETTE.muted }, row.note),
  ].join('');
}
