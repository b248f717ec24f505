// What the error of a model consists of, as bars on one scale of decibels below the output.
import { css, html, LitElement, nothing, svg } from 'lit';
import { formatFixed, formatQuantity, NO_READING, withUnit } from '../../../../shared/format/numbers.ts';
import type { IdentificationReport } from '../../../../shared/schema/identificationReport.ts';
import { baseStyles } from '../../styles/shared.ts';

interface Share {
  readonly label: string;
  readonly levelDb: number | null;
  /** In place of a level that is null. */
  readonly none: string;
  readonly isPart: boolean;
}

const WIDTH = 200;
const HEIGHT = 12;

export class ErrorShares extends LitElement {
  static override properties = { report: { attribute: false } };
  declare report: IdentificationReport | null;

  constructor() {
    super();
    this.report = null;
  }

  #shares({ shares, fitNmseDb }: IdentificationReport): Share[] {
    const none = shares.noiseDb === null ? NO_READING : 'below the noise';
    return [
      { label: 'Best without memory', levelDb: shares.staticNmseDb, none: NO_READING, isPart: false },
      { label: 'memory', levelDb: shares.memoryDb, none: 'none', isPart: true },
      { label: 'The model, all samples', levelDb: fitNmseDb, none: NO_READING, isPart: false },
      { label: 'receiver’s noise', levelDb: shares.noiseDb, none: 'not read', isPart: true },
      { label: 'model error', levelDb: shares.modelErrorDb, none, isPart: true },
    ];
  }

  #row({ label, levelDb, none, isPart }: Share, floorDb: number) {
    const length = levelDb === null ? 0 : WIDTH * Math.max(0, Math.min(1, 1 - levelDb / floorDb));
    return html`<div class="row ${isPart ? 'part' : ''}" role="row">
      <span role="rowheader">${isPart ? html`<span class="muted">of it,</span> ` : nothing}${label}</span>
      <span class="value" role="cell">${levelDb === null ? none : formatQuantity(levelDb, 'dB')}</span>
      <span class="bar" aria-hidden="true">
        <svg viewBox="0 0 ${WIDTH} ${HEIGHT}" preserveAspectRatio="none">
          ${svg`<line x1="0" x2=${WIDTH} y1=${HEIGHT / 2} y2=${HEIGHT / 2} />`}
          ${svg`<rect x="0" y="2" width=${length} height=${HEIGHT - 4} />`}
        </svg>
      </span>
    </div>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null) return nothing;
    const shares = this.#shares(report);
    const lowest = Math.min(...shares.map(({ levelDb }) => levelDb ?? 0));
    const floorDb = 10 * Math.floor(lowest / 10 - 0.5);
    return html`<div class="figure" role="table" aria-label="Shares of the error, dB re the output’s power">
        ${shares.map((share) => this.#row(share, floorDb))}
        <div class="row scale muted" aria-hidden="true">
          <span></span><span></span>
          <span class="ends">
            <span>${withUnit(formatFixed(floorDb, 0), 'dB')}</span><span>${withUnit('0', 'dB')}</span>
          </span>
        </div>
      </div>
      <p class="condition">Re the output’s power; powers add, decibels do not. Noise: ${report.shares.noiseMethod}.</p>`;
  }

  static override styles = [
    baseStyles,
    css`
      .row {
        display: grid;
        grid-template-columns: minmax(9rem, 12rem) 6.5rem minmax(4rem, 1fr);
        align-items: center;
        gap: 0.75rem;
        padding: 0.25rem 0;
        border-bottom: 1px solid var(--rule);
      }
      .part > :first-child {
        padding-left: 0.75rem;
      }
      .value {
        text-align: right;
      }
      .bar {
        height: 0.75rem;
      }
      svg {
        display: block;
        width: 100%;
        height: 100%;
      }
      line {
        stroke: var(--rule);
      }
      rect {
        fill: var(--action);
      }
      .part rect {
        fill: var(--trace-seventh);
      }
      .scale {
        border: 0;
        padding: 0;
        font-size: var(--small);
      }
      .ends {
        display: flex;
        justify-content: space-between;
      }
      .condition {
        margin-top: 0.25rem;
      }
      @media (max-width: 640px) {
        .row {
          grid-template-columns: 1fr auto;
          gap: 0 0.5rem;
        }
        .bar,
        .ends {
          grid-column: 1 / -1;
        }
        .scale > span:not(.ends) {
          display: none;
        }
      }
    `,
  ];
}

customElements.define('kp-error-shares', ErrorShares);

declare global {
  interface HTMLElementTagNameMap {
    'kp-error-shares': ErrorShares;
  }
}
