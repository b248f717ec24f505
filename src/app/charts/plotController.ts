// Life of one uPlot inside an element: made when there is room, resized with it, redrawn on a change of theme, removed
// with the element.
import type { LitElement, ReactiveController } from 'lit';
import uPlot from 'uplot';
import uplotCss from 'uplot/dist/uPlot.min.css?inline';
import { onThemeChange } from './theme.ts';

export { uplotCss };

export interface PlotSource {
  /** Selector of the element the plot fills. */
  readonly container: string;
  /** A plot is made anew when this changes: the number and style of its series, its axes. */
  structure(): string;
  options(): Omit<uPlot.Options, 'width' | 'height'>;
  data(): uPlot.AlignedData;
}

export class PlotController implements ReactiveController {
  readonly #host: LitElement;
  readonly #source: PlotSource;
  readonly #observer: ResizeObserver;
  #container: HTMLElement | null = null;
  #plot: uPlot | null = null;
  #structure = '';
  #endThemeWatch: (() => void) | null = null;

  constructor(host: LitElement, source: PlotSource) {
    this.#host = host;
    this.#source = source;
    this.#observer = new ResizeObserver(() => this.#resize());
    host.addController(this);
  }

  get plot(): uPlot | null {
    return this.#plot;
  }

  hostConnected(): void {
    this.#endThemeWatch = onThemeChange(() => this.#plot?.redraw(false, true));
    if (this.#container !== null) this.#observer.observe(this.#container);
  }

  hostDisconnected(): void {
    this.#endThemeWatch?.();
    this.#observer.disconnect();
    this.#remove();
  }

  hostUpdated(): void {
    const container = this.#host.renderRoot.querySelector<HTMLElement>(this.#source.container);
    if (container !== this.#container) {
      this.#observer.disconnect();
      this.#container = container;
      if (container !== null) this.#observer.observe(container);
    }
    this.#show();
  }

  #show(): void {
    const structure = this.#source.structure();
    if (this.#plot !== null && structure === this.#structure) {
      // Scales are ranged again: their range functions answer from the element's properties.
      this.#plot.setData(this.#source.data(), true);
      return;
    }
    this.#remove();
    const container = this.#container;
    if (container === null || structure === '' || container.clientWidth === 0 || container.clientHeight === 0) return;
    const size = { width: container.clientWidth, height: container.clientHeight };
    this.#structure = structure;
    this.#plot = new uPlot({ ...this.#source.options(), ...size }, this.#source.data(), container);
  }

  #resize(): void {
    const container = this.#container;
    if (container === null || container.clientWidth === 0) return;
    if (this.#plot === null) this.#show();
    else this.#plot.setSize({ width: container.clientWidth, height: container.clientHeight });
  }

  #remove(): void {
    this.#plot?.destroy();
    this.#plot = null;
  }
}
