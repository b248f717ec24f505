// One curve on a plot, drawn by hand: each has points of its own, which aligned series could not have.
import type uPlot from 'uplot';
import { colorOf } from './theme.ts';

export interface XyCurve {
  readonly name: string;
  readonly variable: string;
  readonly dash: readonly number[];
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
}

/** Draws inside a draw hook; canvas pixels. */
export function drawCurve(plot: uPlot, { variable, dash, x, y }: XyCurve): void {
  const { ctx } = plot;
  ctx.strokeStyle = colorOf(variable);
  ctx.lineWidth = 1.5 * devicePixelRatio;
  ctx.setLineDash(dash.map((length) => length * devicePixelRatio));
  ctx.beginPath();
  let isDown = false;
  const isLogarithmic = plot.scales['y']?.distr === 3;
  for (let i = 0; i < x.length; i++) {
    const up = y[i] ?? 0;
    if (isLogarithmic && up <= 0) {
      // Nothing of the record lies above this level: the curve ends here, straight down.
      if (isDown) ctx.lineTo(plot.valToPos(x[i] ?? 0, 'x', true), plot.bbox.top + plot.bbox.height);
      break;
    }
    const [px, py] = [plot.valToPos(x[i] ?? 0, 'x', true), plot.valToPos(up, 'y', true)];
    if (isDown) ctx.lineTo(px, py);
    else ctx.moveTo(px, py);
    isDown = true;
  }
  ctx.stroke();
  ctx.setLineDash([]);
}
