// The emission plot itself. Properties in: a model, a span, which traces are hidden. Events out: `cursor-moved` with the
// bin under the cursor, `plot-drawn` after each drawing with the place of the axes.
import { css, html, LitElement, unsafeCSS } from 'lit';
import type uPlot from 'uplot';
import { formatFixed, formatOffset } from '../../../shared/format/numbers.ts';
import { baseStyles } from '../styles/shared.ts';
import { bottomAxis, drawTopLabel, leftAxis } from './axes.ts';
import { PlotController, uplotCss } from './plotController.ts';
import { drawColumnReadings, drawColumns, drawLimitLines, drawTraceNames, drawWorstPoints } from './spectrumLayers.ts';
import type { NamedSpectrum, SpectrumModel, SpectrumSpan } from './spectrumModel.ts';
import { colorOf, remPixels } from './theme.ts';

export type CursorMoved = CustomEvent<{ readonly bin: number | null }>;

/** Where the axes lie inside the element, in CSS pixels, and what they span. */
export interface PlotArea {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly fromHz: number;
  readonly toHz: number;
}
export type PlotDrawn = CustomEvent<PlotArea>;

/** Names at line ends need this much width beside the plot, in rem, and a plot at least this wide. */
const NAME_WIDTH = 6.25;
const LEAST_WIDTH_FOR_NAMES = 38;
const SHIFT_BINS = 64;

export class SpectrumPlot extends LitElement {
  static override properties = {
    model: { attribute: false },
    span: {},
    hiddenTraces: { attribute: false },
    resolutionLabel: {},
    isHeld: { type: Boolean },
    bin: { state: true },
  };
  declare model: SpectrumModel | null;
  declare span: SpectrumSpan;
  /** Keys of the traces that are switched off. */
  declare hiddenTraces: ReadonlySet<string>;
  /** Such as "30.1 kHz": what the level is the power in. */
  declare resolutionLabel: string;
  /** The frequency axis stands still although the model changes: something is being dragged along it. */
  declare isHeld: boolean;
  declare bin: number | null;
  readonly #plot: PlotController;
  #shownHz: [number, number] = [0, 1];

  constructor() {
    super();
    this.model = null;
    this.span = 'near';
    this.hiddenTraces = new Set();
    this.resolutionLabel = '';
    this.isHeld = false;
    this.bin = null;
    this.#plot = new PlotController(this, {
      container: '.plot',
      structure: () => this.#structure(),
      options: () => this.#options(),
      data: () => this.#data(),
    });
  }

  #structure(): string {
    if (this.model === null) return '';
    return this.model.traces.map(({ key, style }) => `${key}:${style.variable}`).join(' ');
  }

  get #visible(): readonly NamedSpectrum[] {
    return this.model?.traces.filter(({ key }) => !this.hiddenTraces.has(key)) ?? [];
  }

  #data(): uPlot.AlignedData {
    const model = this.model;
    if (model === null) return [[0, 1]];
    const absent = new Float64Array(0);
    const levels = model.traces.map(({ key, level }) => (this.hiddenTraces.has(key) ? absent : level));
    return [model.frequencyHz, ...levels];
  }

  #options(): Omit<uPlot.Options, 'width' | 'height'> {
    const traces = this.model?.traces ?? [];
    return {
      legend: { show: false },
      padding: [remPixels(1.75), (plot) => this.#rightPadding(plot), 0, 0],
      scales: {
        x: { time: false, range: () => this.#xRange() },
        y: { range: () => [...(this.model?.levelRange ?? [-100, 0])] as [number, number] },
      },
      axes: [
        bottomAxis({
          label: 'offset from the carrier frequency, MHz',
          format: (hz) => formatFixed(hz / 1e6, Number.isInteger(hz / 1e6) ? 0 : 1),
        }),
        leftAxis({ format: (level) => formatFixed(level, 0) }),
      ],
      series: [
        {},
        ...traces.map(({ style }) => ({
          stroke: () => colorOf(style.variable),
          width: 1,
          dash: [...style.dash],
          points: { show: false },
        })),
      ],
      cursor: { y: false, points: { show: false }, drag: { x: false, y: false } },
      hooks: {
        drawClear: [(plot) => drawColumns(plot, this.model?.columns ?? [])],
        draw: [(plot) => this.#drawOver(plot)],
        setCursor: [(plot) => this.#moveCursor(plot.cursor.idx ?? null)],
      },
    };
  }

  #xRange(): [number, number] {
    if (this.isHeld) return this.#shownHz;
    const range = this.span === 'near' ? this.model?.nearHz : this.model?.wholeHz;
    this.#shownHz = range === undefined ? [0, 1] : [range[0], range[1]];
    return this.#shownHz;
  }

  #showsNames(width: number): boolean {
    return width >= remPixels(LEAST_WIDTH_FOR_NAMES);
  }

  #rightPadding(plot: uPlot): number {
    return this.#showsNames(plot.width) ? remPixels(NAME_WIDTH) : remPixels(1);
  }

  #drawOver(plot: uPlot): void {
    const model = this.model;
    if (model === null) return;
    drawLimitLines(plot, model.limitLines);
    drawColumnReadings(plot, model.columns);
    drawWorstPoints(plot, model.worstPoints);
    drawTopLabel(plot, `${model.unitLabel} in ${this.resolutionLabel}`);
    if (this.#showsNames(plot.width)) drawTraceNames(plot, this.#visible);
    const detail = this.#area(plot);
    this.dispatchEvent(new CustomEvent('plot-drawn', { detail, bubbles: true, composed: true }) satisfies PlotDrawn);
  }

  #area({ over }: uPlot): PlotArea {
    const [fromHz, toHz] = this.#shownHz;
    const { offsetLeft: left, offsetTop: top, clientWidth: width, clientHeight: height } = over;
    return { left, top, width, height, fromHz, toHz };
  }

  #moveCursor(bin: number | null): void {
    if (bin === this.bin) return;
    this.bin = bin;
    this.dispatchEvent(new CustomEvent('cursor-moved', { detail: { bin } }) satisfies CursorMoved);
  }

  #onKey(event: KeyboardEvent): void {
    const { model } = this;
    const plot = this.#plot.plot;
    if (model === null || plot === null) return;
    const [from, to] = this.#xRange();
    const least = plot.valToIdx(from);
    const most = plot.valToIdx(to);
    const now = this.bin ?? Math.round((least + most) / 2);
    const step = event.shiftKey ? SHIFT_BINS : 1;
    const targets: Readonly<Record<string, number>> = {
      ArrowLeft: now - step,
      ArrowDown: now - step,
      ArrowRight: now + step,
      ArrowUp: now + step,
      PageDown: now - SHIFT_BINS,
      PageUp: now + SHIFT_BINS,
      Home: least,
      End: most,
    };
    const target = event.key === 'Escape' ? null : targets[event.key];
    if (target === undefined) return;
    event.preventDefault();
    if (target === null) {
      plot.setCursor({ left: -10, top: -10 });
      return;
    }
    const bin = Math.min(most, Math.max(least, target));
    plot.setCursor({ left: plot.valToPos(model.frequencyHz[bin] ?? 0, 'x'), top: plot.over.clientHeight / 2 });
    this.#moveCursor(bin);
  }

  /** Read by screen readers at each step of the cursor. */
  #valueText(): string {
    const { model, bin } = this;
    if (model === null || bin === null) return 'no bin chosen';
    const levels = this.#visible.map(({ style, level }) => `${style.name} ${formatFixed(level[bin] ?? 0, 1)}`);
    return `${formatOffset(model.frequencyHz[bin] ?? 0)}: ${levels.join(', ')} ${model.unitLabel}`;
  }

  protected override render() {
    const [from, to] = this.#xRange();
    const at = this.bin === null ? 0 : (this.model?.frequencyHz[this.bin] ?? 0);
    return html`<div
      class="plot"
      role="slider"
      tabindex="0"
      aria-label="Cursor on the emission plot, in MHz of offset; the same figures follow as a table"
      aria-orientation="horizontal"
      aria-valuemin=${from / 1e6}
      aria-valuemax=${to / 1e6}
      aria-valuenow=${at / 1e6}
      aria-valuetext=${this.#valueText()}
      @keydown=${this.#onKey}
    ></div>`;
  }

  static override styles = [
    unsafeCSS(uplotCss),
    baseStyles,
    css`
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
      .u-cursor-x {
        border-right: 1px solid var(--muted);
      }
    `,
  ];
}

customElements.define('kp-spectrum-plot', SpectrumPlot);

declare global {
  interface HTMLElementTagNameMap {
    'kp-spectrum-plot': SpectrumPlot;
  }
}
