// The picture that proves the answer: the emission plot with its switches, legend, read-out, condition and table.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering, formatFixed, formatOffset, formatQuantity } from '../../../shared/format/numbers.ts';
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { RunDetail } from '../../worker/client.ts';
import { type SpectrumModel, type SpectrumSpan, type SpectrumView, spectrumModel } from '../charts/spectrumModel.ts';
import type { CursorMoved, PlotArea, PlotDrawn } from '../charts/spectrumPlot.ts';
import { spectrumCondition } from '../format/conditions.ts';
import { baseStyles, controlStyles, tableStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import './swatch.ts';
import './warnings.ts';

/** Rows of the table twin, spread over the bins. */
const TABLE_ROWS = 64;

export class SpectrumPanel extends LitElement {
  static override properties = {
    report: { attribute: false },
    detail: {},
    draft: { attribute: false },
    issues: { attribute: false },
    carrier: { attribute: false },
    isHeld: { state: true },
    view: { state: true },
    span: { state: true },
    off: { state: true },
    bin: { state: true },
    isTableOpen: { state: true },
  };
  declare report: Report | null;
  declare detail: RunDetail;
  /** The scenario whose carriers can be moved on the plot, or null when they cannot. */
  declare draft: Scenario | null;
  declare issues: readonly Issue[];
  declare carrier: number | null;
  declare isHeld: boolean;
  declare view: SpectrumView;
  declare span: SpectrumSpan;
  declare off: ReadonlySet<string>;
  declare bin: number | null;
  declare isTableOpen: boolean;
  #model: SpectrumModel | null = null;
  /** Where the axes lay when the plot was last drawn. */
  #area: PlotArea | null = null;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
    this.draft = null;
    this.issues = [];
    this.carrier = null;
    this.isHeld = false;
    this.view = 'comparison';
    this.span = 'near';
    this.off = new Set();
    this.bin = null;
    this.isTableOpen = false;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    // The words of the first screen do not wait for the plot, which has its data only after the first run.
    void import('../charts/spectrumPlot.ts');
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has('draft') && this.draft !== null) void import('./waveform/carrierHandles.ts');
    if (changed.has('report') || changed.has('view')) {
      this.#model = this.report === null ? null : spectrumModel(this.report, this.view);
    }
  }

  #toggle(key: string): void {
    const next = new Set(this.off);
    if (!next.delete(key)) next.add(key);
    this.off = next;
  }

  #switch<T extends string>(
    label: string,
    now: T,
    options: readonly (readonly [T, string])[],
    set: (value: T) => void,
  ) {
    return html`<div class="switch" role="group" aria-label=${label}>
      ${options.map(
        ([value, text]) => html`<button aria-pressed=${value === now} @click=${() => set(value)}>${text}</button>`,
      )}
    </div>`;
  }

  #onDrawn(area: PlotArea): void {
    const isNew = JSON.stringify(area) !== JSON.stringify(this.#area);
    this.#area = area;
    if (isNew && this.draft !== null) this.requestUpdate();
  }

  #handles() {
    if (this.draft === null) return nothing;
    return html`<kp-carrier-handles
      .carriers=${this.draft.waveform.carriers}
      .widthsHz=${this.report?.waveform.carriers.map(({ channelBandwidthHz }) => channelBandwidthHz) ?? []}
      .issues=${this.issues}
      .chosen=${this.carrier}
      .area=${this.#area}
      @drag-changed=${({ detail }: CustomEvent<boolean>) => {
        this.isHeld = detail;
      }}
    ></kp-carrier-handles>`;
  }

  #legend(model: SpectrumModel) {
    return html`<div class="legend" role="group" aria-label="Traces shown">
      ${model.traces.map(
        ({ key, style }) => html`<button aria-pressed=${!this.off.has(key)} @click=${() => this.#toggle(key)}>
          <kp-swatch .trace=${style}></kp-swatch>${style.name}
        </button>`,
      )}
    </div>`;
  }

  #readOut(model: SpectrumModel) {
    const { bin } = this;
    if (bin === null) {
      return html`<p class="read-out condition">Point at the plot, or focus it and use the arrow keys, to read it.</p>`;
    }
    return html`<p class="read-out figure small">
      <span class="at">${formatOffset(model.frequencyHz[bin] ?? 0)}</span>
      ${model.traces
        .filter(({ key }) => !this.off.has(key))
        .map(
          ({ style, level }) => html`<span class="level">
            <kp-swatch .trace=${style}></kp-swatch>${formatFixed(level[bin] ?? 0, 1)}
          </span>`,
        )}
      <span class="muted">${model.unitLabel}</span>
    </p>`;
  }

  #orderPowers(report: Report) {
    if (this.view !== 'orders') return nothing;
    const { orders, powerDb } = report.traces.orderSplit;
    return html`<p class="condition figure">
      Share of the uncorrected output:
      ${orders.map((order, i) => `${order === 1 ? 'linear' : `order ${order}`} ${formatQuantity(powerDb[i] ?? null, 'dB')}`).join(', ')}.
      The parts are orthogonal for Gaussian drive; their powers add.
    </p>`;
  }

  #table(model: SpectrumModel) {
    const step = Math.max(1, Math.round(model.frequencyHz.length / TABLE_ROWS));
    const bins = Array.from({ length: Math.ceil(model.frequencyHz.length / step) }, (_, i) => i * step);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Emission plot as a table">
      <table>
        <caption>Every ${step}th bin, ${model.unitLabel} in the resolution bandwidth</caption>
        <thead>
          <tr>
            <th scope="col">Offset, MHz</th>
            ${model.traces.map(({ style }) => html`<th scope="col">${style.name}</th>`)}
          </tr>
        </thead>
        <tbody>
          ${bins.map(
            (bin) => html`<tr>
              <th scope="row">${formatFixed((model.frequencyHz[bin] ?? 0) / 1e6, 3)}</th>
              ${model.traces.map(({ level }) => html`<td>${formatFixed(level[bin] ?? 0, 1)}</td>`)}
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  protected override render() {
    const { report } = this;
    const model = this.#model;
    return html`
      <div class="head">
        <h2>Emission plot</h2>
        ${this.#switch(
          'Traces',
          this.view,
          [
            ['comparison', 'before and after'],
            ['orders', 'by order'],
          ],
          (view) => {
            this.view = view;
          },
        )}
        ${this.#switch(
          'Span',
          this.span,
          [
            ['near', 'near'],
            ['whole', 'whole'],
          ],
          (span) => {
            this.span = span;
          },
        )}
      </div>
      ${model === null ? html`<div class="legend"></div>` : this.#legend(model)}
      <div class="frame">
      <kp-spectrum-plot
        .model=${model}
        .span=${this.span}
        .hiddenTraces=${this.off}
        .resolutionLabel=${report === null ? '' : formatEngineering(report.traces.conditions.resolutionBandwidthHz, 'Hz')}
        @cursor-moved=${(event: CursorMoved) => {
          this.bin = event.detail.bin;
        }}
        .isHeld=${this.isHeld}
        @plot-drawn=${(event: PlotDrawn) => this.#onDrawn(event.detail)}
      ></kp-spectrum-plot>
      ${this.#handles()}
      </div>
      ${
        model === null || report === null
          ? nothing
          : html`${this.#readOut(model)}
              <p class="condition">${spectrumCondition(report, this.detail)}</p>
              ${this.#orderPowers(report)}
              <kp-warnings .warnings=${warningsAt('spectrum', report.warnings, this.detail)}></kp-warnings>
              <details
                @toggle=${(event: Event) => {
                  this.isTableOpen = (event.target as HTMLDetailsElement).open;
                }}
              >
                <summary>Emission plot as a table</summary>
                ${this.isTableOpen ? this.#table(model) : nothing}
              </details>`
      }
    `;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    css`
      .head {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.5rem 1rem;
      }
      h2 {
        margin-right: auto;
      }
      .switch {
        display: inline-flex;
      }
      .switch button {
        min-height: 1.75rem;
        padding: 0.125rem 0.625rem;
        border-radius: 0;
        font-size: var(--small);
      }
      .switch button:first-child {
        border-radius: 4px 0 0 4px;
      }
      .switch button:last-child {
        border-left: 0;
        border-radius: 0 4px 4px 0;
      }
      .switch button[aria-pressed="true"] {
        border-color: var(--action);
        background: var(--action-wash);
        color: var(--action);
        font-weight: 600;
      }
      .legend {
        display: flex;
        flex-wrap: wrap;
        min-height: 1.75rem;
        gap: 0 1.25rem;
        margin: 0.375rem 0 0;
      }
      .legend button {
        display: inline-flex;
        align-items: center;
        gap: 0.5rem;
        min-height: 1.75rem;
        padding: 0;
        border: 0;
        background: none;
        font-size: var(--small);
      }
      .legend button[aria-pressed="false"] {
        color: var(--muted);
        text-decoration: line-through;
      }
      .legend button[aria-pressed="false"] kp-swatch {
        opacity: 0.35;
      }
      .frame {
        position: relative;
      }
      kp-spectrum-plot {
        height: clamp(18rem, 50vh, 38rem);
      }
      .read-out {
        display: flex;
        flex-wrap: wrap;
        gap: 0 1rem;
        min-height: 1.375rem;
        align-items: center;
      }
      .at {
        min-width: 5.5rem;
        font-weight: 600;
      }
      .level {
        display: inline-flex;
        align-items: center;
        gap: 0.375rem;
        min-width: 4.75rem;
      }
      .scroll {
        max-height: 20rem;
        overflow: auto;
      }
      details {
        margin-top: 0.25rem;
      }
    `,
  ];
}

customElements.define('kp-spectrum-panel', SpectrumPanel);

declare global {
  interface HTMLElementTagNameMap {
    'kp-spectrum-panel': SpectrumPanel;
  }
}
