// The pictures that prove an identification: what the model leaves of the spectrum, and the loops of gain and phase before
// and after alignment.
import { css, html, LitElement, nothing } from 'lit';
import { formatCount, formatEngineering, formatOffset, formatQuantity } from '../../../../shared/format/numbers.ts';
import type { IdentificationReport, LoopWidthReading } from '../../../../shared/schema/identificationReport.ts';
import { loopModel, PAIR_STYLES, PAIR_TRACES, residualModel } from '../../charts/identifyModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import type { XyModel } from '../../charts/xyPlot.ts';
import type { Identified } from '../../state/identifyState.ts';
import { baseStyles, tableStyles } from '../../styles/shared.ts';
import { pictureStyles } from '../pictureStyles.ts';
import '../../charts/linePlot.ts';
import '../../charts/xyPlot.ts';
import '../swatch.ts';
import { channelTable } from './reportTables.ts';

interface Loops {
  readonly gain: readonly [XyModel, XyModel];
  readonly phase: readonly [XyModel, XyModel];
}

export class PairPictures extends LitElement {
  static override properties = { identified: { attribute: false }, cursorMHz: { state: true } };
  declare identified: Identified | null;
  declare cursorMHz: number | null;
  #residual: LineModel | null = null;
  #loops: Loops | null = null;

  constructor() {
    super();
    this.identified = null;
    this.cursorMHz = null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('identified')) return;
    const traces = this.identified?.traces ?? null;
    this.cursorMHz = null;
    this.#residual = this.identified && residualModel(this.identified.traces, this.identified.report);
    this.#loops = traces && {
      gain: [loopModel(traces, 'gain', 'asRecorded'), loopModel(traces, 'gain', 'aligned')],
      phase: [loopModel(traces, 'phase', 'asRecorded'), loopModel(traces, 'phase', 'aligned')],
    };
  }

  /** Levels under the cursor, in the order of the legend. */
  #levels(): readonly (number | null)[] {
    const { cursorMHz } = this;
    const bin = cursorMHz === null ? -1 : (this.#residual?.stops.indexOf(cursorMHz) ?? -1);
    const spectra = this.identified?.traces.spectra;
    return PAIR_TRACES.map((name) => spectra?.[name].level[bin] ?? null);
  }

  #spectrum(report: IdentificationReport) {
    const levels = this.#levels();
    const at = this.cursorMHz === null ? '' : formatOffset(this.cursorMHz * 1e6);
    const text =
      at === ''
        ? ''
        : `${at}: ${PAIR_TRACES.map((name, i) => `${PAIR_STYLES[name].name.toLowerCase()} ${formatQuantity(levels[i] ?? null, 'dB')}`).join(', ')}`;
    return html`<h2>What the model leaves</h2>
      <p class="legend figure">
        <span class="at muted">${at === '' ? 'point to read' : at}</span>
        ${PAIR_TRACES.map(
          (name, i) => html`<span
            ><kp-swatch .trace=${PAIR_STYLES[name]}></kp-swatch>${PAIR_STYLES[name].name}
            <b>${at === '' ? nothing : formatQuantity(levels[i] ?? null, 'dB')}</b></span
          >`,
        )}
      </p>
      <kp-line-plot
        .model=${this.#residual}
        .cursorX=${this.cursorMHz}
        .cursorText=${text}
        @cursor-placed=${({ detail }: CursorPlaced) => {
          this.cursorMHz = detail.x;
        }}
      ></kp-line-plot>
      <p class="condition">
        Aligned, the receiver’s carrier leak and image taken out; ${formatCount(report.sampleCount)} samples at
        ${formatEngineering(report.sampleRateHz, 'Hz', 6)}. Residual: observed minus predicted. Columns: neighbouring
        channels with their observed ACLR.
      </p>
      ${channelTable(report.aclr, report)}`;
  }

  #loop(title: string, models: readonly [XyModel, XyModel], width: (loop: LoopWidthReading) => string) {
    const { report } = this.identified as Identified;
    const { asRecorded, wholeSamples, aligned } = report.loops;
    const [before, after] = models;
    return html`<figure>
        <kp-xy-plot .model=${before}></kp-xy-plot>
        <figcaption><strong>${title} as recorded:</strong> loop ${width(asRecorded)} wide</figcaption>
      </figure>
      <figure>
        <kp-xy-plot .model=${after}></kp-xy-plot>
        <figcaption>
          <strong>Aligned:</strong> ${width(aligned)} wide
          <span class="muted">(by whole samples ${width(wholeSamples)})</span>
        </figcaption>
      </figure>`;
  }

  protected override render() {
    const { identified } = this;
    if (identified === null || this.#loops === null) return nothing;
    const { gain, phase } = this.#loops;
    return html`${this.#spectrum(identified.report)}
      <h2>Loops before and after alignment</h2>
      <p class="legend">
        <span><kp-swatch .trace=${PAIR_STYLES.observed}></kp-swatch>Observed samples</span>
        <span><kp-swatch .trace=${{ ...PAIR_STYLES.predicted, dash: [] }}></kp-swatch>The model’s samples and mean curve</span>
      </p>
      <div class="loops figure">
        ${this.#loop('Gain', gain, ({ gainDb }) => formatQuantity(gainDb, 'dB', 3))}
        ${this.#loop('Phase', phase, ({ phaseDeg }) => formatQuantity(phaseDeg, '°', 2))}
      </div>
      <p class="condition">
        Width: one standard deviation of single samples round the mean curve. Each picture has its own scale; one complex
        gain is taken out.
      </p>`;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    pictureStyles,
    css`
      kp-line-plot {
        height: clamp(15rem, 38vh, 26rem);
      }
      h2 + .legend {
        min-height: 1.5rem;
      }
      /* Room for the figures under the cursor, so that nothing moves when they come. */
      .legend b {
        min-width: 4.5rem;
        font-weight: 600;
      }
      .legend .at {
        min-width: 5.5rem;
      }
      .scroll {
        max-width: 34rem;
        margin-top: 0.75rem;
      }
      h2:not(:first-of-type) {
        margin-top: 2rem;
      }
      .loops {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(17rem, 100%), 1fr));
        gap: 1rem 1.5rem;
      }
      figcaption {
        font-size: var(--small);
      }
      kp-xy-plot {
        height: 16rem;
      }
    `,
  ];
}

customElements.define('kp-pair-pictures', PairPictures);

declare global {
  interface HTMLElementTagNameMap {
    'kp-pair-pictures': PairPictures;
  }
}
