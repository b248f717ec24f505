// EVM of one carrier: constellations of both outputs, EVM over subcarriers and over symbols.
import { css, html, LitElement, nothing } from 'lit';
import { evmCondition } from '../../../shared/format/measurementWords.ts';
import { formatFixed, formatQuantity, NO_READING } from '../../../shared/format/numbers.ts';
import type { EvmReading, Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { type EvmView, evmCarriers, evmModel, evmSeries, evmTraceOf } from '../charts/evmModels.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { constellationModel } from '../charts/xyModels.ts';
import type { XyModel } from '../charts/xyPlot.ts';
import { baseStyles, controlStyles, tableStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import '../charts/xyPlot.ts';
import './swatch.ts';
import './warnings.ts';

type Shown = 'uncorrected' | 'corrected';
const SHOWN: readonly Shown[] = ['uncorrected', 'corrected'];
const VIEW_TITLES: Readonly<Record<EvmView, string>> = { subcarrier: 'Over subcarriers', symbol: 'Over symbols' };
const VIEWS: readonly EvmView[] = ['subcarrier', 'symbol'];
/** Rows of a table twin, spread over the points. */
const TABLE_ROWS = 64;

export class Constellations extends LitElement {
  static override properties = {
    report: { attribute: false },
    detail: {},
    chosen: { state: true },
    openView: { state: true },
  };
  declare report: Report | null;
  declare detail: RunDetail;
  /** The carrier looked at; null for the worst one. */
  declare chosen: number | null;
  /** The view whose table is open. */
  declare openView: EvmView | null;
  #constellations: Record<Shown, XyModel | null> = { uncorrected: null, corrected: null };
  #views: Record<EvmView, XyModel | null> = { subcarrier: null, symbol: null };

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
    this.chosen = null;
    this.openView = null;
  }

  get #carrier(): number {
    const { report, chosen } = this;
    const isThere = report !== null && evmCarriers(report).some(({ index }) => index === chosen);
    return isThere && chosen !== null ? chosen : (report?.uncorrected.evm?.carrierIndex ?? 0);
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    const { report } = this;
    if (report === null || !(changed.has('report') || changed.has('chosen'))) return;
    const carrier = this.#carrier;
    const constellation = (of: Shown) => {
      const trace = report.traces.constellations[of]?.find(({ carrierIndex }) => carrierIndex === carrier);
      return trace === undefined ? null : constellationModel(trace, of);
    };
    this.#constellations = { uncorrected: constellation('uncorrected'), corrected: constellation('corrected') };
    this.#views = {
      subcarrier: evmModel(report, carrier, 'subcarrier'),
      symbol: evmModel(report, carrier, 'symbol'),
    };
  }

  #reading(of: Shown): EvmReading | null {
    return this.report?.[of]?.evmPerCarrier.find(({ carrierIndex }) => carrierIndex === this.#carrier) ?? null;
  }

  #chooser(report: Report) {
    const carriers = evmCarriers(report);
    if (carriers.length < 2) return nothing;
    return html`<label class="chooser">
      Carrier
      <select
        @change=${(event: Event) => {
          this.chosen = Number((event.target as HTMLSelectElement).value);
        }}
      >
        ${carriers.map(
          ({ index, label }) =>
            html`<option value=${index} ?selected=${index === this.#carrier}>${index + 1}: ${label}</option>`,
        )}
      </select>
    </label>`;
  }

  #constellation(of: Shown) {
    const [model, evm] = [this.#constellations[of], this.#reading(of)];
    if (model === null || evm === null) return nothing;
    return html`<figure>
      <figcaption>
        <kp-swatch .trace=${TRACE_STYLES[of]}></kp-swatch>${TRACE_STYLES[of].name}
        <span class="evm figure">EVM ${formatQuantity(evm.rmsPercent, '%', 2)}</span>
        <span class="muted figure">peak ${formatQuantity(evm.peakPercent, '%', 1)}</span>
      </figcaption>
      <kp-xy-plot class="square" .model=${model}></kp-xy-plot>
    </figure>`;
  }

  #view(view: EvmView) {
    const model = this.#views[view];
    if (model === null) return nothing;
    return html`<h3>${VIEW_TITLES[view]}</h3>
      <kp-xy-plot class="flat" .model=${model}></kp-xy-plot>
      <details
        @toggle=${(event: Event) => {
          if ((event.target as HTMLDetailsElement).open) this.openView = view;
        }}
      >
        <summary>${VIEW_TITLES[view]}, as a table</summary>
        ${this.openView === view ? this.#table(view) : nothing}
      </details>`;
  }

  #table(view: EvmView) {
    const { report } = this;
    if (report === null) return nothing;
    const traces = SHOWN.flatMap((of) => {
      const trace = evmTraceOf(report, of, this.#carrier);
      return trace === null ? [] : [{ of, ...evmSeries(trace, view) }];
    });
    const places = traces[0]?.x ?? [];
    const step = Math.max(1, Math.ceil(places.length / TABLE_ROWS));
    const shown = places.map((_, i) => i).filter((i) => i % step === 0);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="EVM ${VIEW_TITLES[view].toLowerCase()}">
      <table>
        <thead>
          <tr>
            <th scope="col">${view === 'subcarrier' ? 'Subcarrier, MHz' : 'Symbol'}</th>
            ${traces.map(({ of }) => html`<th scope="col">${TRACE_STYLES[of].name}, %</th>`)}
          </tr>
        </thead>
        <tbody>
          ${shown.map(
            (i) => html`<tr>
              <th scope="row">${formatFixed(places[i] ?? 0, view === 'subcarrier' ? 3 : 0)}</th>
              ${traces.map(({ y }) => html`<td>${y[i] === undefined ? NO_READING : formatFixed(y[i], 2)}</td>`)}
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const evm = this.#reading('uncorrected');
    return html`
      <div class="head"><h2>Error vector</h2>${this.#chooser(report)}</div>
      ${
        evm === null
          ? html`<p class="muted">No carrier of this scenario carries known symbols.</p>`
          : html`<div class="pair">${SHOWN.map((of) => this.#constellation(of))}</div>
              ${VIEWS.map((view) => this.#view(view))}
              <p class="condition">${evmCondition(evm)}${
                report.waveform.carriers.length > 1 ? `; carrier ${evm.carrierIndex + 1}` : ''
              }</p>`
      }
      <kp-warnings .warnings=${warningsAt('evm', report.warnings, this.detail)}></kp-warnings>
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
        justify-content: space-between;
        gap: 0.25rem 1rem;
      }
      .chooser {
        display: inline-flex;
        align-items: center;
        gap: 0.5rem;
        min-width: 0;
        font-size: var(--small);
      }
      .chooser select {
        min-width: 0;
        max-width: 16rem;
      }
      .pair {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(13.5rem, 1fr));
        gap: 0.5rem 1.5rem;
      }
      figcaption {
        display: flex;
        flex-wrap: wrap;
        align-items: baseline;
        gap: 0 0.5rem;
        margin: 0.25rem 0;
        font-size: var(--small);
      }
      kp-swatch {
        align-self: center;
      }
      .evm {
        font-weight: 600;
      }
      h3 {
        margin: 0.75rem 0 0;
      }
      .square {
        width: 100%;
        max-width: 24rem;
        aspect-ratio: 1 / 1.02;
      }
      .flat {
        height: 12rem;
      }
      .scroll {
        max-height: 20rem;
        overflow: auto;
      }
      .condition {
        margin-top: 0.5rem;
      }
    `,
  ];
}

customElements.define('kp-constellations', Constellations);

declare global {
  interface HTMLElementTagNameMap {
    'kp-constellations': Constellations;
  }
}
