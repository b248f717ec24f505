// A margin as a bar from the limit's line: to the right is room left, to the left is over.
import { css, html, LitElement, svg } from 'lit';
import { baseStyles } from '../styles/shared.ts';

/** Half the bar's width, in dB of margin; a larger margin ends in an arrow. */
const HALF_WIDTH_DB = 20;
const WIDTH = 120;
const HEIGHT = 14;
const MIDDLE = WIDTH / 2;

export class MarginBar extends LitElement {
  static override properties = { marginDb: { type: Number }, spreadDb: { type: Number } };
  declare marginDb: number;
  /** One standard deviation of the reading; two of them to either side are drawn as a whisker. Zero draws none. */
  declare spreadDb: number;

  constructor() {
    super();
    this.marginDb = 0;
    this.spreadDb = 0;
  }

  protected override render() {
    const isWithin = this.marginDb >= 0;
    const share = Math.min(1, Math.abs(this.marginDb) / HALF_WIDTH_DB);
    const length = Math.max(1, share * MIDDLE);
    const x = isWithin ? MIDDLE : MIDDLE - length;
    const at = (marginDb: number) => MIDDLE + Math.max(-1, Math.min(1, marginDb / HALF_WIDTH_DB)) * MIDDLE;
    const whisker = [this.marginDb - 2 * this.spreadDb, this.marginDb + 2 * this.spreadDb].map(at);
    const tip = isWithin ? `M${WIDTH - 5} 3l5 4-5 4z` : 'M5 3L0 7l5 4z';
    return html`<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
      <line class="axis" x1="0" x2=${WIDTH} y1="7" y2="7" />
      <rect class=${isWithin ? 'within' : 'over'} x=${x} y="3" width=${length} height="8" />
      ${share === 1 ? svg`<path class="tip" d=${tip} />` : ''}
      ${this.spreadDb > 0 ? svg`<line class="whisker" x1=${whisker[0] ?? 0} x2=${whisker[1] ?? 0} y1="7" y2="7" />` : ''}
      <line class="limit" x1=${MIDDLE} x2=${MIDDLE} y1="0" y2=${HEIGHT} />
    </svg>`;
  }

  static override styles = [
    baseStyles,
    css`
      svg {
        display: block;
        width: 100%;
        height: 0.875rem;
      }
      .axis {
        stroke: var(--rule);
      }
      .limit {
        stroke: var(--ink);
        vector-effect: non-scaling-stroke;
      }
      .whisker {
        stroke: var(--ink);
        vector-effect: non-scaling-stroke;
      }
      .within {
        fill: var(--within);
      }
      .over {
        fill: var(--over);
      }
      .tip {
        fill: var(--panel);
      }
    `,
  ];
}

customElements.define('kp-margin-bar', MarginBar);

declare global {
  interface HTMLElementTagNameMap {
    'kp-margin-bar': MarginBar;
  }
}
