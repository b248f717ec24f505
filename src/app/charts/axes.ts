// Axes in the page's manner: horizontal rules only, few and faint; no box around the plot.
import type uPlot from 'uplot';
import { chartFont, colorOf, remPixels } from './theme.ts';

export interface AxisText {
  readonly label: string;
  readonly format: (value: number) => string;
}

/** Steps of 1, 2 and 5 only: thirds and quarters of ten read badly. */
const STEPS = Array.from({ length: 14 }, (_, decade) => [1, 2, 5].map((step) => step * 10 ** (decade - 3))).flat();

function rule(): uPlot.Axis.Grid {
  return { stroke: () => colorOf('--rule'), width: 1 };
}

/** A logarithmic axis without room for all its decades names some only: the others arrive as null. */
function texts(format: AxisText['format']) {
  return (value: number | null) => (value === null ? '' : format(value));
}

/** Bottom axis with its label beneath. */
export function bottomAxis({ label, format }: AxisText, splits?: uPlot.Axis.Splits): uPlot.Axis {
  return {
    label,
    labelFont: chartFont(),
    labelSize: remPixels(1.25),
    labelGap: 2,
    font: chartFont(),
    size: remPixels(1.75),
    space: remPixels(4),
    gap: 4,
    stroke: () => colorOf('--muted'),
    grid: { show: false },
    ticks: { ...rule(), size: 5 },
    border: { show: true, stroke: () => colorOf('--edge'), width: 1 },
    values: (_plot, values) => values.map(texts(format)),
    ...(splits === undefined ? { incrs: STEPS } : { splits }),
  };
}

/** Left axis; its label is written above the plot by `drawTopLabel`, upright. */
export function leftAxis({ format }: Pick<AxisText, 'format'>, splits?: uPlot.Axis.Splits): uPlot.Axis {
  return {
    font: chartFont(),
    size: remPixels(3.25),
    space: remPixels(2.5),
    gap: 6,
    stroke: () => colorOf('--muted'),
    grid: rule(),
    ticks: { show: false },
    values: (_plot, values) => values.map(texts(format)),
    ...(splits === undefined ? { incrs: STEPS } : { splits }),
  };
}

/** Writes the left axis' label above it. */
export function drawTopLabel(plot: uPlot, label: string): void {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.font = canvasFont(chartFont());
  ctx.fillStyle = colorOf('--muted');
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  ctx.fillText(label, 0, bbox.top - devicePixelRatio * remPixels(0.75));
  ctx.restore();
}

/** Inside draw hooks the canvas counts device pixels; fonts are written in CSS pixels. */
export function canvasFont(font: string): string {
  return font.replace(/([\d.]+)px/, (_all, pixels: string) => `${Number(pixels) * devicePixelRatio}px`);
}
