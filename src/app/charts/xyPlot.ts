// A plot of one quantity over another: densities beneath, then dots, then curves. Draws the trails, the exceedance curve
// and the constellation. Properties in only.
import { css, html, LitElement, unsafeCSS } from 'lit';
import type uPlot from 'uplot';
import type { Density } from '../../../shared/schema/report.ts';
import { baseStyles } from '../styles/shared.ts';
import { type AxisText, bottomAxis, drawTopLabel, leftAxis } from './axes.ts';
import { drawCurve, type XyCurve } from './curves.ts';
import { densityPicture } from './density.ts';
import { drawEndLabels } from './endLabels.ts';
import { PlotController, uplotCss } from './plotController.ts';
import { channelsOf, colorOf, fadedColorOf, remPixels } from './theme.ts';

export interface XyDots {
  readonly variable: string;
  readonly opacity: number;
  /** Side of a dot, or length of a cross' arm, in CSS pixels. */
  readonly size: number;
  readonly shape: 'dot' | 'cross';
  readonly x: Float64Array;
  readonly y: Float64Array;
}

export interface XyLayer {
  readonly variable: string;
  readonly density: Density;
}

export interface XyAxis extends AxisText {
  readonly minimum: number;
  readonly maximum: number;
  readonly isLogarithmic?: boolean;
}

export interface XyModel {
  readonly x: XyAxis;
  readonly y: XyAxis;
  readonly layers: readonly XyLayer[];
  readonly dots: readonly XyDots[];
  readonly curves: readonly XyCurve[];
  /** Room for the curves' names on the right, in rem; zero leaves them to the legend. */
  readonly nameWidth: number;
  readonly description: string;
  /** A faint rule across the plot at this ordinate. */
  readonly rule?: number;
  /** Points that readings are taken at. */
  readonly marks?: readonly { readonly variable: string; readonly x: number; readonly y: number }[];
}

interface Picture {
  readonly density: Density;
  readonly color: string;
  readonly canvas: OffscreenCanvas;
}

export class XyPlot extends LitElement {
  static override properties = { model: { attribute: false } };
  declare model: XyModel | null;
  readonly #pictures = new Map<string, Picture>();

  constructor() {
    super();
    this.model = null;
    new PlotController(this, {
      container: '.plot',
      structure: () => this.#structure(),
      options: () => this.#options(),
      data: () => [
        [0, 1],
        [null, null],
      ],
    });
  }

  #structure(): string {
    const { model } = this;
    return model === null ? '' : `${model.x.label}|${model.y.label}|${model.nameWidth}`;
  }

  #options(): Omit<uPlot.Options, 'width' | 'height'> {
    const range = (axis: 'x' | 'y') => (): [number, number] => {
      const { minimum, maximum } = this.model?.[axis] ?? { minimum: 0, maximum: 1 };
      return [minimum, maximum];
    };
    const x = this.model?.x;
    const y = this.model?.y;
    return {
      legend: { show: false },
      padding: [remPixels(1.75), remPixels(Math.max(0.75, this.model?.nameWidth ?? 0)), 0, 0],
      scales: {
        x: { time: false, range: range('x') },
        y: { range: range('y'), ...(y?.isLogarithmic ? { distr: 3 as const, log: 10 as const } : {}) },
      },
      axes: [
        bottomAxis({ label: x?.label ?? '', format: (value) => this.model?.x.format(value) ?? '' }),
        leftAxis({ format: (value) => this.model?.y.format(value) ?? '' }, y?.isLogarithmic ? decades : undefined),
      ],
      series: [{}, { points: { show: false } }],
      cursor: { show: false },
      hooks: {
        drawAxes: [(plot) => this.#clipped(plot, () => this.#drawData(plot))],
        draw: [(plot) => this.#drawWords(plot)],
      },
    };
  }

  #clipped(plot: uPlot, draw: () => void): void {
    const { ctx, bbox } = plot;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    draw();
    ctx.restore();
  }

  #drawData(plot: uPlot): void {
    for (const layer of this.model?.layers ?? []) this.#drawLayer(plot, layer);
    for (const dots of this.model?.dots ?? []) drawDots(plot, dots);
    if (this.model?.rule !== undefined) drawRule(plot, this.model.rule);
    for (const curve of this.model?.curves ?? []) drawCurve(plot, curve);
    for (const mark of this.model?.marks ?? []) drawMark(plot, mark);
  }

  #drawLayer(plot: uPlot, { density, variable }: XyLayer): void {
    const color = colorOf(variable);
    let picture = this.#pictures.get(variable);
    if (picture?.density !== density || picture.color !== color) {
      picture = { density, color, canvas: densityPicture(density, channelsOf(variable)) };
      this.#pictures.set(variable, picture);
    }
    const left = plot.valToPos(density.xMinimum, 'x', true);
    const right = plot.valToPos(density.xMaximum, 'x', true);
    const top = plot.valToPos(density.yMaximum, 'y', true);
    const bottom = plot.valToPos(density.yMinimum, 'y', true);
    plot.ctx.imageSmoothingEnabled = false;
    plot.ctx.drawImage(picture.canvas, left, top, right - left, bottom - top);
  }

  #drawWords(plot: uPlot): void {
    const { model } = this;
    if (model === null) return;
    drawTopLabel(plot, model.y.label);
    if (model.nameWidth === 0) return;
    const labels = model.curves.flatMap(({ name, variable, x, y }) => {
      const i = lastInside(x, y, model);
      return i === null ? [] : [{ text: name, variable, y: plot.valToPos(y[i] ?? 0, 'y', true) }];
    });
    drawEndLabels(plot, labels);
  }

  protected override render() {
    return html`<div class="plot" role="img" aria-label=${this.model?.description ?? ''}></div>`;
  }

  static override styles = [
    unsafeCSS(uplotCss),
    baseStyles,
    css`
      .plot {
        height: 100%;
        overflow: hidden;
      }
    `,
  ];
}

/** Whole powers of ten between the ends of a logarithmic axis. */
function decades(_plot: uPlot, _axis: number, minimum: number, maximum: number): number[] {
  const splits: number[] = [];
  for (let exponent = Math.ceil(Math.log10(minimum) - 1e-9); 10 ** exponent <= maximum * (1 + 1e-9); exponent++) {
    splits.push(10 ** exponent);
  }
  return splits;
}

function lastInside(x: ArrayLike<number>, y: ArrayLike<number>, { x: axis, y: ordinate }: XyModel): number | null {
  for (let i = x.length - 1; i >= 0; i--) {
    const [across, up] = [x[i] ?? Number.NaN, y[i] ?? Number.NaN];
    if (across <= axis.maximum && up >= ordinate.minimum && up <= ordinate.maximum) return i;
  }
  return null;
}

function drawRule(plot: uPlot, at: number): void {
  const { ctx, bbox } = plot;
  const y = Math.round(plot.valToPos(at, 'y', true)) + 0.5;
  ctx.strokeStyle = colorOf('--muted');
  ctx.lineWidth = devicePixelRatio;
  ctx.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
  ctx.beginPath();
  ctx.moveTo(bbox.left, y);
  ctx.lineTo(bbox.left + bbox.width, y);
  ctx.stroke();
  ctx.setLineDash([]);
}

/** A disc in the trace's colour, ringed in the paper's so that it stands off the curves. */
function drawMark(plot: uPlot, { variable, x, y }: { variable: string; x: number; y: number }): void {
  const { ctx } = plot;
  ctx.beginPath();
  ctx.arc(plot.valToPos(x, 'x', true), plot.valToPos(y, 'y', true), 3.5 * devicePixelRatio, 0, 2 * Math.PI);
  ctx.fillStyle = colorOf(variable);
  ctx.strokeStyle = colorOf('--paper');
  ctx.lineWidth = 1.5 * devicePixelRatio;
  ctx.fill();
  ctx.stroke();
}

function drawDots(plot: uPlot, { variable, opacity, size, shape, x, y }: XyDots): void {
  const { ctx } = plot;
  const side = size * devicePixelRatio;
  ctx.fillStyle = fadedColorOf(variable, opacity);
  const line = devicePixelRatio;
  for (let i = 0; i < x.length; i++) {
    const px = plot.valToPos(x[i] ?? 0, 'x', true);
    const py = plot.valToPos(y[i] ?? 0, 'y', true);
    if (shape === 'dot') {
      ctx.fillRect(px - side / 2, py - side / 2, side, side);
    } else {
      ctx.fillRect(px - side, py - line / 2, 2 * side, line);
      ctx.fillRect(px - line / 2, py - side, line, 2 * side);
    }
  }
}

customElements.define('kp-xy-plot', XyPlot);

declare global {
  interface HTMLElementTagNameMap {
    'kp-xy-plot': XyPlot;
  }
}
