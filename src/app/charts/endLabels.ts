// Names at the ends of lines, pushed apart so that they never overlap.
import type uPlot from 'uplot';
import { canvasFont } from './axes.ts';
import { chartFont, colorOf, remPixels } from './theme.ts';

export interface EndLabel {
  readonly text: string;
  readonly variable: string;
  /** Canvas pixels. */
  readonly y: number;
}

/** Moves labels apart to the least distance, keeps their order and keeps them between top and bottom. */
export function spread(positions: readonly number[], distance: number, top: number, bottom: number): number[] {
  const order = positions.map((_, i) => i).sort((a, b) => (positions[a] ?? 0) - (positions[b] ?? 0));
  const placed = [...positions];
  let least = top;
  for (const i of order) {
    placed[i] = Math.max(placed[i] ?? 0, least);
    least = (placed[i] ?? 0) + distance;
  }
  let most = bottom;
  for (const i of order.reverse()) {
    placed[i] = Math.min(placed[i] ?? 0, most);
    most = (placed[i] ?? 0) - distance;
  }
  return placed;
}

/** Draws names to the right of the plot, each at its line's end. */
export function drawEndLabels(plot: uPlot, labels: readonly EndLabel[]): void {
  const { ctx, bbox } = plot;
  const line = remPixels(1.0625) * devicePixelRatio;
  const positions = spread(
    labels.map(({ y }) => y),
    line,
    bbox.top + line / 2,
    bbox.top + bbox.height - line / 2,
  );
  ctx.save();
  ctx.font = canvasFont(chartFont());
  ctx.textAlign = 'left';
  ctx.textBaseline = 'middle';
  labels.forEach(({ text, variable }, i) => {
    ctx.fillStyle = colorOf(variable);
    ctx.fillText(text, bbox.left + bbox.width + 6 * devicePixelRatio, positions[i] ?? 0);
  });
  ctx.restore();
}
