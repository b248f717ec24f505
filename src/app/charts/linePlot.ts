// A picture of a study: curves over one axis, limits that can be dragged or moved by keyboard, marks, a cursor. Properties
// in; events out: `cursor-placed` with the stop under the cursor, `limit-moved` with a path, a level and whether the hand
// is still on it, `plot-drawn` after each drawing.
import { css, html, LitElement, nothing, unsafeCSS } from 'lit';
import type uPlot from 'uplot';
import { withUnit } from '../../../shared/format/numbers.ts';
import { baseStyles } from '../styles/shared.ts';
import { bottomAxis, drawTopLabel, leftAxis } from './axes.ts';
import { drawCurve } from './curves.ts';
import { drawEndLabels } from './endLabels.ts';
import { drawArrows, drawCursor, drawLimits, drawMarks, drawPoints, drawRegions } from './lineLayers.ts';
import type { LineCurve, LineLimit, LineModel } from './lineModel.ts';
import { PlotController, uplotCss } from './plotController.ts';
import { remPixels } from './theme.ts';

export type CursorPlaced = CustomEvent<{ readonly x: number | null }>;
export type LimitMoved = CustomEvent<{ readonly path: string; readonly level: number; readonly live: boolean }>;

/** Names at line ends need this much width beside the plot, in rem, and a plot at least this wide. */
const NAME_WIDTH = 6.25;
const LEAST_WIDTH_FOR_NAMES = 38;

/** Levels are told from where the hand began: answer and axis may change their size under it. */
interface Drag {
  readonly startY: number;
  readonly startLevel: number;
  readonly perPixel: number;
}

export class LinePlot extends LitElement {
  static override properties = {
    model: { attribute: false },
    cursorX: { attribute: false },
    cursorText: {},
  };
  declare model: LineModel | null;
  declare cursorX: number | null;
  /** What a screen reader says at the cursor. */
  declare cursorText: string;
  readonly #plot: PlotController;
  #drag: Drag | null = null;

  constructor() {
    super();
    this.model = null;
    this.cursorX = null;
    this.cursorText = '';
    this.#plot = new PlotController(this, {
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
    if (model === null) return '';
    return [model.x.label, model.y.label, model.isUpper, model.hasNames, model.x.splits?.length].join('|');
  }

  #options(): Omit<uPlot.Options, 'width' | 'height'> {
    const range = (axis: 'x' | 'y') => (): [number, number] => {
      const { minimum, maximum } = this.model?.[axis] ?? { minimum: 0, maximum: 1 };
      return [minimum, maximum];
    };
    return {
      legend: { show: false },
      padding: [remPixels(1.75), (plot) => this.#rightPadding(plot), 0, 0],
      scales: { x: { time: false, range: range('x') }, y: { range: range('y') } },
      axes: [this.#xAxis(), leftAxis({ format: (value) => this.model?.y.format(value) ?? '' })],
      series: [{}, { points: { show: false } }],
      cursor: { show: false },
      hooks: {
        drawClear: [(plot) => drawRegions(plot, this.model?.regions ?? [])],
        drawAxes: [(plot) => this.#clipped(plot, () => this.#drawData(plot))],
        draw: [(plot) => this.#drawOver(plot)],
      },
    };
  }

  #xAxis(): uPlot.Axis {
    const { model } = this;
    const splits = model?.x.splits;
    const axis = bottomAxis(
      { label: model?.x.label ?? '', format: (value) => this.model?.x.format(value) ?? '' },
      splits === undefined ? undefined : () => [...(this.model?.x.splits ?? [])],
    );
    if (model?.isUpper) {
      const { label: _label, ...rest } = axis;
      return { ...rest, labelSize: 0, size: remPixels(0.75), values: (_plot, values) => values.map(() => '') };
    }
    return model?.x.hasTwoLines ? { ...axis, size: remPixels(3) } : axis;
  }

  #showsNames(width: number): boolean {
    return this.model?.hasNames === true && width >= remPixels(LEAST_WIDTH_FOR_NAMES);
  }

  #rightPadding(plot: uPlot): number {
    return this.#showsNames(plot.width) ? remPixels(NAME_WIDTH) : remPixels(1);
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
    const { model } = this;
    if (model === null) return;
    drawCursor(plot, this.cursorX);
    for (const curve of model.curves) drawCurve(plot, curve);
    drawPoints(plot, model.curves);
    const names = drawLimits(plot, model.limits);
    const labels = drawArrows(plot, model.arrows);
    drawMarks(plot, model.marks, [...names, ...labels]);
  }

  #drawOver(plot: uPlot): void {
    const { model } = this;
    if (model === null) return;
    drawTopLabel(plot, model.y.label);
    if (this.#showsNames(plot.width))
      drawEndLabels(
        plot,
        model.curves.flatMap((curve) => endOf(plot, curve, model)),
      );
    this.#placeHandles(plot);
    this.dispatchEvent(new CustomEvent('plot-drawn', { bubbles: true, composed: true }));
  }

  /** Lays the handles over their lines. Style attributes are forbidden by the page's policy; properties may be set. */
  #placeHandles(plot: uPlot): void {
    const { offsetLeft, offsetTop, clientWidth, clientHeight } = plot.over;
    for (const handle of this.renderRoot.querySelectorAll<HTMLElement>('.handle')) {
      const limit = this.model?.limits.find(({ path }) => path === handle.dataset['path']);
      const y = limit === undefined ? -1 : plot.valToPos(limit.level, 'y');
      handle.hidden = y < 0 || y > clientHeight;
      handle.style.left = `${offsetLeft}px`;
      handle.style.top = `${offsetTop + y}px`;
      handle.style.width = `${clientWidth}px`;
    }
  }

  #nearestStop(x: number): number | null {
    const stops = this.model?.stops ?? [];
    return stops.reduce<number | null>(
      (best, stop) => (best === null || Math.abs(stop - x) < Math.abs(best - x) ? stop : best),
      null,
    );
  }

  #place(x: number | null): void {
    if (x === this.cursorX) return;
    this.dispatchEvent(new CustomEvent('cursor-placed', { detail: { x } }) satisfies CursorPlaced);
  }

  #onPointer(event: PointerEvent): void {
    const { plot } = this.#plot;
    if (plot === null || this.#drag !== null) return;
    const { left, width } = plot.over.getBoundingClientRect();
    const at = event.clientX - left;
    if (at >= 0 && at <= width) this.#place(this.#nearestStop(plot.posToVal(at, 'x')));
  }

  #onKey(event: KeyboardEvent): void {
    const stops = this.model?.stops ?? [];
    const last = stops.length - 1;
    if (last < 0) return;
    const now = this.cursorX === null ? -1 : stops.indexOf(this.#nearestStop(this.cursorX) ?? Number.NaN);
    const targets: Readonly<Record<string, number>> = {
      ArrowLeft: now - 1,
      ArrowDown: now - 1,
      ArrowRight: now + 1,
      ArrowUp: now + 1,
      Home: 0,
      End: last,
    };
    if (event.key === 'Escape') this.#place(null);
    const target = targets[event.key];
    if (target === undefined) return;
    event.preventDefault();
    this.#place(stops[Math.min(last, Math.max(0, target))] ?? null);
  }

  #move(limit: LineLimit, level: number, live: boolean): void {
    const { range } = limit;
    if (range === null) return;
    const held = Math.min(range.maximum, Math.max(range.minimum, level));
    const rounded = Number((range.step * Math.round(held / range.step)).toPrecision(12));
    if (live && rounded === limit.level) return;
    this.dispatchEvent(
      new CustomEvent('limit-moved', {
        detail: { path: limit.path, level: rounded, live },
        bubbles: true,
        composed: true,
      }) satisfies LimitMoved,
    );
  }

  #onDragStart(event: PointerEvent, limit: LineLimit): void {
    const { plot } = this.#plot;
    if (plot === null) return;
    const perPixel = plot.posToVal(1, 'y') - plot.posToVal(0, 'y');
    this.#drag = { startY: event.clientY, startLevel: limit.level, perPixel };
    (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
  }

  #onDrag(event: PointerEvent, limit: LineLimit, live: boolean): void {
    if (this.#drag === null) return;
    const { startY, startLevel, perPixel } = this.#drag;
    if (!live) this.#drag = null;
    this.#move(limit, startLevel + (event.clientY - startY) * perPixel, live);
  }

  #onHandleKey(event: KeyboardEvent, limit: LineLimit): void {
    if (limit.range === null) return;
    const { step, minimum, maximum } = limit.range;
    const levels: Readonly<Record<string, number>> = {
      ArrowUp: limit.level + step,
      ArrowRight: limit.level + step,
      ArrowDown: limit.level - step,
      ArrowLeft: limit.level - step,
      PageUp: limit.level + 10 * step,
      PageDown: limit.level - 10 * step,
      Home: minimum,
      End: maximum,
    };
    const level = levels[event.key];
    if (level === undefined) return;
    event.preventDefault();
    this.#move(limit, level, false);
  }

  #handle(limit: LineLimit) {
    if (limit.range === null) return '';
    return html`<div
      class="handle"
      data-path=${limit.path}
      role="slider"
      tabindex="0"
      aria-orientation="vertical"
      aria-label="Limit: ${limit.name}"
      aria-valuemin=${limit.range.minimum}
      aria-valuemax=${limit.range.maximum}
      aria-valuenow=${limit.level}
      aria-valuetext=${withUnit(String(limit.level), limit.unit)}
      @keydown=${(event: KeyboardEvent) => this.#onHandleKey(event, limit)}
      @pointerdown=${(event: PointerEvent) => this.#onDragStart(event, limit)}
      @pointermove=${(event: PointerEvent) => this.#onDrag(event, limit, true)}
      @pointerup=${(event: PointerEvent) => this.#onDrag(event, limit, false)}
      @pointercancel=${(event: PointerEvent) => this.#onDrag(event, limit, false)}
    >
      <span class="grip" aria-hidden="true"></span>
    </div>`;
  }

  protected override render() {
    const { model } = this;
    const isReadable = (model?.stops.length ?? 0) > 0;
    const ifReadable = (value: unknown) => (isReadable ? value : nothing);
    // One element whatever the model: the plot lives inside it.
    return html`<div
        class="plot"
        role=${isReadable ? 'slider' : 'img'}
        tabindex=${ifReadable(0)}
        aria-label=${model?.description ?? 'No figures yet'}
        aria-orientation=${ifReadable('horizontal')}
        aria-valuemin=${ifReadable(model?.x.minimum)}
        aria-valuemax=${ifReadable(model?.x.maximum)}
        aria-valuenow=${ifReadable(this.cursorX ?? model?.x.minimum)}
        aria-valuetext=${ifReadable(this.cursorText === '' ? 'nothing chosen' : this.cursorText)}
        @keydown=${this.#onKey}
        @pointermove=${this.#onPointer}
        @pointerleave=${() => this.#place(null)}
      ></div>
      ${model?.limits.map((limit) => this.#handle(limit))}`;
  }

  static override styles = [
    unsafeCSS(uplotCss),
    baseStyles,
    css`
      :host {
        position: relative;
      }
      .plot {
        height: 100%;
        overflow: hidden;
      }
      .plot:focus-visible {
        outline-offset: -2px;
      }
      .uplot {
        font-family: inherit;
      }
      .handle {
        position: absolute;
        height: 1.25rem;
        margin-top: -0.625rem;
        cursor: ns-resize;
        touch-action: none;
      }
      .grip {
        position: absolute;
        top: 50%;
        left: 0.25rem;
        width: 0.625rem;
        height: 0.875rem;
        margin-top: -0.4375rem;
        border: 1px solid var(--ink);
        border-radius: 3px;
        background: repeating-linear-gradient(var(--panel) 0 2px, var(--edge) 2px 3px);
      }
      .handle:hover .grip,
      .handle:focus-visible .grip {
        border-color: var(--action);
        background: var(--action);
      }
    `,
  ];
}

/** The last point of a curve inside the picture, where its name stands. */
function endOf(plot: uPlot, { name, variable, x, y }: LineCurve, model: LineModel) {
  for (let i = x.length - 1; i >= 0; i--) {
    const [across, up] = [x[i] ?? Number.NaN, y[i] ?? Number.NaN];
    if (across > model.x.maximum || !(up >= model.y.minimum)) continue;
    const held = Math.min(up, model.y.maximum);
    return [{ text: name, variable, y: plot.valToPos(held, 'y', true) }];
  }
  return [];
}

customElements.define('kp-line-plot', LinePlot);

declare global {
  interface HTMLElementTagNameMap {
    'kp-line-plot': LinePlot;
  }
}
