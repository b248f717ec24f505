// Constellations of both outputs with their EVM.
import { css, html, LitElement, nothing } from 'lit';
import { formatQuantity } from '../../../shared/format/numbers.ts';
import type { ConstellationTrace, EvmReading, Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { TRACE_STYLES } from '../charts/traceStyles.ts';
import { constellationModel } from '../charts/xyModels.ts';
import type { XyModel } from '../charts/xyPlot.ts';
import { EQUALIZER_NAMES } from '../format/conditions.ts';
import { baseStyles } from '../styles/shared.ts';
import { warningsAt } from './warningPlaces.ts';
import '../charts/xyPlot.ts';
import './swatch.ts';
import './warnings.ts';

type Shown = 'uncorrected' | 'corrected';

export class Constellations extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;
  readonly #models: Record<Shown, XyModel | null> = { uncorrected: null, corrected: null };

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const model = (name: Shown) => {
      const trace: ConstellationTrace | null = this.report?.traces.constellation[name] ?? null;
      return trace === null ? null : constellationModel(trace, name);
    };
    this.#models.uncorrected = model('uncorrected');
    this.#models.corrected = model('corrected');
  }

  #figure(name: Shown, evm: EvmReading | null) {
    const model = this.#models[name];
    if (model === null || evm === null) return nothing;
    return html`<figure>
      <figcaption>
        <kp-swatch .trace=${TRACE_STYLES[name]}></kp-swatch>${TRACE_STYLES[name].name}
        <span class="evm figure">EVM ${formatQuantity(evm.rmsPercent, '%', 2)}</span>
        <span class="muted figure">peak ${formatQuantity(evm.peakPercent, '%', 1)}</span>
      </figcaption>
      <kp-xy-plot .model=${model}></kp-xy-plot>
    </figure>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const evm = report.uncorrected.evm;
    return html`
      <h2>Constellation</h2>
      ${
        evm === null
          ? html`<p class="muted">No carrier of this scenario carries symbols.</p>`
          : html`<div class="pair">
                ${this.#figure('uncorrected', report.uncorrected.evm)}
                ${this.#figure('corrected', report.corrected?.evm ?? null)}
              </div>
              <p class="condition">
                ${EQUALIZER_NAMES[evm.equalizer]}, ${evm.symbolCount} symbols, against the
                ${evm.reference === 'data' ? 'data before crest-factor reduction' : 'shaped waveform'}; the worst
                carrier, number ${evm.carrierIndex + 1}
              </p>`
      }
      <kp-warnings .warnings=${warningsAt('evm', report.warnings, this.detail)}></kp-warnings>
    `;
  }

  static override styles = [
    baseStyles,
    css`
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
      kp-xy-plot {
        width: 100%;
        max-width: 24rem;
        aspect-ratio: 1 / 1.02;
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
