// The lower views, loaded after the first screen: readings, learning, powers, trails, exceedance, constellation.
import { css, html, LitElement, nothing } from 'lit';
import type { Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';
import { baseStyles } from '../styles/shared.ts';
import './constellations.ts';
import './exceedance.ts';
import './learning.ts';
import './powers.ts';
import './readings.ts';
import './trails.ts';

export class Detail extends LitElement {
  static override properties = { report: { attribute: false }, detail: {} };
  declare report: Report | null;
  declare detail: RunDetail;

  constructor() {
    super();
    this.report = null;
    this.detail = 'full';
  }

  protected override render() {
    const { report, detail } = this;
    if (report === null) return nothing;
    return html`
      <kp-readings class="wide" .report=${report}></kp-readings>
      <div class="column">
        <kp-learning .report=${report} .detail=${detail}></kp-learning>
        <kp-trails .report=${report}></kp-trails>
        <kp-powers .report=${report}></kp-powers>
      </div>
      <div class="column">
        <kp-exceedance .report=${report} .detail=${detail}></kp-exceedance>
        <kp-constellations .report=${report} .detail=${detail}></kp-constellations>
      </div>
    `;
  }

  static override styles = [
    baseStyles,
    css`
      :host {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(27rem, 100%), 1fr));
        gap: 2.5rem;
      }
      .column {
        display: grid;
        gap: 2.5rem;
        align-content: start;
        min-width: 0;
      }
      .wide {
        grid-column: 1 / -1;
        min-width: 0;
      }
      .column > * {
        min-width: 0;
      }
    `,
  ];
}

customElements.define('kp-detail', Detail);

declare global {
  interface HTMLElementTagNameMap {
    'kp-detail': Detail;
  }
}
