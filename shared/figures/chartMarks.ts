// Marks inside a line chart: dots of computed points, single labelled points, and the arrow that shows a gap.
import type { ChartTrace, Scales } from './lineChart.ts';
import { PALETTE } from './palette.ts';
import { tag, textTag } from './svgText.ts';

/** A single point. `ring` is hollow and larger: the one that answers the question. */
export interface ChartPoint {
  readonly x: number;
  readonly y: number;
  readonly colour: string;
  readonly shape: 'dot' | 'ring' | 'square';
  readonly label?: string;
  /** Where the label stands; default: above. */
  readonly labelAt?: 'above' | 'below' | 'left' | 'right';
}

/** A horizontal arrow with its label above the middle. */
export interface ChartArrow {
  readonly fromX: number;
  readonly toX: number;
  readonly y: number;
  readonly label: string;
}

const DOT_RADIUS = 2.5;
const RING_RADIUS = 6;
const GAP = 10;
const HEAD = 6;

/** Keeps a label readable where a line passes behind it. */
export const LABEL_HALO = { stroke: PALETTE.paper, 'stroke-width': 4, 'paint-order': 'stroke' } as const;

export function drawDots(trace: ChartTrace, scales: Scales): string {
  const dots: string[] = [];
  for (let i = 0; i < trace.x.length; i++) {
    const [cx, cy] = [scales.x(trace.x[i] as number), scales.y(trace.y[i] as number)];
    if (!Number.isFinite(cx) || !Number.isFinite(cy)) continue;
    dots.push(tag('circle', { cx, cy, r: DOT_RADIUS, fill: trace.style.colour }));
  }
  return dots.join('');
}

export function drawPoint(point: ChartPoint, scales: Scales): string {
  const [x, y] = [scales.x(point.x), scales.y(point.y)];
  if (!Number.isFinite(x) || !Number.isFinite(y)) return '';
  const { colour, label } = point;
  return drawShape(point.shape, x, y, colour) + (label === undefined ? '' : drawLabel(point, label, x, y, scales));
}

function drawShape(shape: ChartPoint['shape'], cx: number, cy: number, colour: string): string {
  if (shape === 'square') return tag('rect', { x: cx - 4, y: cy - 4, width: 8, height: 8, fill: colour });
  if (shape === 'dot') return tag('circle', { cx, cy, r: DOT_RADIUS + 1, fill: colour });
  return tag('circle', { cx, cy, r: RING_RADIUS, fill: PALETTE.paper, stroke: colour, 'stroke-width': 2 });
}

/** Pixels a character of the small type takes, to keep labels inside the plot. */
const CHARACTER_WIDTH = 6.6;

function drawLabel(point: ChartPoint, label: string, x: number, y: number, scales: Scales): string {
  const at = point.labelAt ?? 'above';
  const half = (label.length * CHARACTER_WIDTH) / 2;
  const style = { ...LABEL_HALO, fill: point.colour };
  if (at === 'left') return textTag({ ...style, x: x - GAP, y: y + 4, 'text-anchor': 'end' }, label);
  if (at === 'right') return textTag({ ...style, x: x + GAP, y: y + 4 }, label);
  const middle = Math.min(scales.width - half, Math.max(half, x));
  return textTag(
    { ...style, x: middle, y: at === 'above' ? y - GAP - 2 : y + GAP + 11, 'text-anchor': 'middle' },
    label,
  );
}

export function drawArrow(arrow: ChartArrow, scales: Scales): string {
  const [from, to, y] = [scales.x(arrow.fromX), scales.x(arrow.toX), scales.y(arrow.y)];
  const side = Math.sign(to - from);
  if (side === 0 || !Number.isFinite(from + to + y)) return '';
  const head = `M${(to - side * HEAD).toFixed(1)} ${(y - HEAD / 2).toFixed(1)}L${to.toFixed(1)} ${y.toFixed(1)}L${(to - side * HEAD).toFixed(1)} ${(y + HEAD / 2).toFixed(1)}`;
  const line = { d: `M${from.toFixed(1)} ${y.toFixed(1)}H${to.toFixed(1)}${head}`, fill: 'none', stroke: PALETTE.ink };
  const text = { x: (from + to) / 2, y: y - 7, 'text-anchor': 'middle', 'font-weight': 600, fill: PALETTE.ink };
  return tag('path', { ...line, 'stroke-width': 1.5 }) + textTag({ ...text, ...LABEL_HALO }, arrow.label);
}
