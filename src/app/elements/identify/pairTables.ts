// The figures of an identification beneath its pictures: alignment, model, shares of the error, structures, second pair.
import { css, html, LitElement, nothing } from 'lit';
import { outsideCount, structureModel } from '../../charts/identifyModels.ts';
import type { XyModel } from '../../charts/xyPlot.ts';
import type { Identified } from '../../state/identifyState.ts';
import { baseStyles, tableStyles } from '../../styles/shared.ts';
import { pictureStyles } from '../pictureStyles.ts';
import '../../charts/xyPlot.ts';
import './errorShares.ts';
import { alignmentTable, modelTable, secondPairTables, structureTables } from './reportTables.ts';

export class PairTables extends LitElement {
  static override properties = { identified: { attribute: false } };
  declare identified: Identified | null;
  #structures: XyModel | null = null;

  constructor() {
    super();
    this.identified = null;
  }

  protected override willUpdate(): void {
    this.#structures = this.identified && structureModel(this.identified.report);
  }

  protected override render() {
    if (this.identified === null) return nothing;
    const { report } = this.identified;
    const outside = outsideCount(report);
    return html`<div class="column">
        <section>
          <h2>Alignment</h2>
          ${alignmentTable(report)}
        </section>
        <section>
          <h2>Second pair</h2>
          ${secondPairTables(report)}
        </section>
      </div>
      <div class="column">
        <section>
          <h2>Model</h2>
          ${modelTable(report)}
        </section>
        <section>
          <h2>What the error is</h2>
          <kp-error-shares .report=${report}></kp-error-shares>
        </section>
      </div>
      <section class="wide">
        <h2>Structures tried</h2>
        <p class="legend">
          <span><i class="held"></i>Held-out samples</span> <span><i class="training"></i>Training samples</span>
          <span><i class="taken"></i>Taken</span>
        </p>
        <div class="structures">
          <div>
            <kp-xy-plot .model=${this.#structures}></kp-xy-plot>
            ${outside === 0 ? nothing : html`<p class="condition">${outside} structures with larger errors lie above the picture.</p>`}
          </div>
          <div>${structureTables(report)}</div>
        </div>
      </section>`;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    pictureStyles,
    css`
      :host {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(24rem, 100%), 1fr));
        gap: 2rem 2.5rem;
      }
      section,
      .column {
        min-width: 0;
      }
      .column {
        display: grid;
        gap: 2rem;
        align-content: start;
      }
      .wide {
        grid-column: 1 / -1;
      }
      .structures {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(22rem, 100%), 1fr));
        gap: 1rem 2rem;
      }
      .structures > * {
        min-width: 0;
      }
      .rows th {
        white-space: normal;
      }
      .rows td {
        vertical-align: top;
      }
      @media (max-width: 640px) {
        .rows .condition {
          display: block;
        }
      }
      .chosen :is(td, th) {
        background: var(--action-wash);
        font-weight: 600;
      }
      .scroll {
        max-height: none;
      }
      .long .scroll {
        max-height: 24rem;
        overflow: auto;
      }
      .scroll + .scroll,
      details {
        margin-top: 0.75rem;
      }
      .legend i {
        width: 0.5rem;
        height: 0.5rem;
        background: var(--action);
      }
      .legend .training {
        height: 0.1875rem;
        background: var(--muted);
      }
      .legend .taken {
        border-radius: 50%;
        background: var(--trace-seventh);
      }
    `,
  ];
}

customElements.define('kp-pair-tables', PairTables);

declare global {
  interface HTMLElementTagNameMap {
    'kp-pair-tables': PairTables;
  }
}
