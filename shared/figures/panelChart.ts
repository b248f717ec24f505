// A small chart with a frame of its own, several of which share one picture: a cloud of samples and curves over it.
import type { Density } from '../schema/report.ts';
import { PALETTE, type TraceStyle } from './palette.ts';
import { pathOf, tag, textTag } from './svgText.ts';
import { linearTicks } from './ticks.ts';

export interface PanelAxis {
  readonly label: string;
  readonly minimum: number;
  readonly maximum: number;
  readonly format: (value: number) => string;
}

export interface PanelCurve {
  readonly style: TraceStyle;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
}

export interface Panel {
  readonly heading: string;
  readonly x: PanelAxis;
  readonly y: PanelAxis;
  readonly clouds: readonly { readonly density: Density; readonly colour: string }[];
  readonly curves: readonly PanelCurve[];
}

export interface PanelPlace {
  /** Of the frame, without its labels. */
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

const TICKS = { x: 6, y: 5 };

/** Labels stand 56 pixels to the left of the frame, 42 below and 24 above it. */
export function drawPanel(panel: Panel, place: PanelPlace): string {
  const { left, top, width, height } = place;
  const x = (value: number) => ((value - panel.x.minimum) / (panel.x.maximum - panel.x.minimum)) * width;
  const y = (value: number) => (1 - (value - panel.y.minimum) / (panel.y.maximum - panel.y.minimum)) * height;
  const inside = [
    ...linearTicks(panel.y.minimum, panel.y.maximum, TICKS.y).map((value) =>
      tag('line', { x1: 0, x2: width, y1: y(value), y2: y(value), stroke: PALETTE.rule }),
    ),
    ...panel.clouds.map(({ density, colour }) => drawCloud(density, colour, x, y)),
    ...panel.curves.map((curve) => drawCurve(curve, x, y)),
  ];
  const frame = { x: left, y: top, width, height, overflow: 'hidden' };
  return [
    textTag({ x: left, y: top - 10, fill: PALETTE.ink, 'font-weight': 600 }, panel.heading),
    tag('svg', frame, inside.join('')),
    ...drawLabels(panel, place, x, y),
  ].join('\n');
}

function drawLabels(panel: Panel, { left, top, width, height }: PanelPlace, x: Scale, y: Scale): string[] {
  return [
    ...linearTicks(panel.y.minimum, panel.y.maximum, TICKS.y).map((value) =>
      textTag({ x: left - 8, y: top + y(value) + 4, 'text-anchor': 'end', fill: PALETTE.ink }, panel.y.format(value)),
    ),
    ...linearTicks(panel.x.minimum, panel.x.maximum, TICKS.x).map((value) =>
      textTag(
        { x: left + x(value), y: top + height + 18, 'text-anchor': 'middle', fill: PALETTE.ink },
        panel.x.format(value),
      ),
    ),
    textTag({ x: left + width / 2, y: top + height + 38, 'text-anchor': 'middle', fill: PALETTE.muted }, panel.x.label),
    textTag({ x: left + width, y: top - 10, 'text-anchor': 'end', fill: PALETTE.muted }, panel.y.label),
  ];
}

type Scale = (value: number) => number;

/** Two by two cells of the histogram in one, and the logarithm of the count in this many steps: a picture to mail. */
const CELLS = 2;
const OPACITIES = [0.2, 0.4, 0.62, 0.88];

function drawCloud(density: Density, colour: string, x: Scale, y: Scale): string {
  const { counts, columns, rows, most } = coarse(density);
  const width = (density.xMaximum - density.xMinimum) / columns;
  const height = (density.yMaximum - density.yMinimum) / rows;
  const paths = OPACITIES.map(() => '');
  for (let row = 0; row < rows; row++) {
    const [low, high] = [y(density.yMinimum + row * height), y(density.yMinimum + (row + 1) * height)];
    for (let column = 0; column < columns; ) {
      const level = levelOf(counts[row * columns + column] as number, most);
      let end = column + 1;
      while (end < columns && levelOf(counts[row * columns + end] as number, most) === level) end++;
      if (level >= 0) {
        const [from, to] = [x(density.xMinimum + column * width), x(density.xMinimum + end * width)];
        paths[level] += `M${from.toFixed(1)} ${high.toFixed(1)}H${to.toFixed(1)}V${low.toFixed(1)}H${from.toFixed(1)}z`;
      }
      column = end;
    }
  }
  return paths
    .map((d, i) => (d === '' ? '' : tag('path', { d, fill: colour, 'fill-opacity': String(OPACITIES[i]) })))
    .join('');
}

/** Step of opacity, or −1 where no sample lies. */
function levelOf(count: number, most: number): number {
  if (count === 0) return -1;
  const share = Math.log(1 + count) / Math.log(1 + most);
  return Math.min(OPACITIES.length - 1, Math.floor(OPACITIES.length * share));
}

function coarse({ counts, columnCount, rowCount }: Density) {
  const [columns, rows] = [Math.ceil(columnCount / CELLS), Math.ceil(rowCount / CELLS)];
  const sums = new Uint32Array(columns * rows);
  for (let row = 0; row < rowCount; row++) {
    for (let column = 0; column < columnCount; column++) {
      const at = Math.floor(row / CELLS) * columns + Math.floor(column / CELLS);
      sums[at] = (sums[at] as number) + (counts[row * columnCount + column] as number);
    }
  }
  return { counts: sums, columns, rows, most: sums.reduce((a, b) => Math.max(a, b), 1) };
}

function drawCurve({ style, x: along, y: values }: PanelCurve, x: Scale, y: Scale): string {
  const points = Array.from(along, (value, i) => [x(value), y(values[i] as number)] as const);
  const finite = points.filter(([px, py]) => Number.isFinite(px) && Number.isFinite(py));
  const dash = style.dash.length > 0 ? style.dash.join(' ') : undefined;
  const line = { fill: 'none', stroke: style.colour, 'stroke-width': 1.5, 'stroke-dasharray': dash };
  return finite.length === 0 ? '' : tag('path', { d: pathOf(finite), ...line, 'stroke-linejoin': 'round' });
}
