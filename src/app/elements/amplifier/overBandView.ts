// The amplifier over its band: gain, saturated power and compression against frequency, the channel marked, and every
// point as a row.
import { css, html, LitElement, nothing } from 'lit';
import { OVER_BAND_TITLE, overBandTable } from '../../../../shared/reports/overBandTable.ts';
import type { OverBandReport } from '../../../../shared/schema/overBand.ts';
import type { Report } from '../../../../shared/schema/report.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { overBandCursorText, overBandModel } from '../../charts/overBandModels.ts';
import { baseStyles, tableStyles } from '../../styles/shared.ts';
import '../../charts/linePlot.ts';

export class OverBandView extends LitElement {
  static override properties = { report: { attribute: false }, cursorX: { state: true } };
  declare report: Report | null;
  declare cursorX: number | null;
  #gain: LineModel | null = null;
  #power: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.cursorX = null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    const overBand = this.report?.amplifier.overBand ?? null;
    const picture = overBand && { overBand, carriers: this.report?.waveform.carriers ?? [] };
    this.#gain = picture && overBandModel(picture, 'gain');
    this.#power = picture && overBandModel(picture, 'power');
    this.cursorX = null;
  }

  #plot(model: LineModel | null, name: string, text: string) {
    return html`<kp-line-plot
      class=${name}
      .model=${model}
      .cursorX=${this.cursorX}
      .cursorText=${text}
      @cursor-placed=${({ detail }: CursorPlaced) => {
        this.cursorX = detail.x;
      }}
    ></kp-line-plot>`;
  }

  #table(overBand: OverBandReport) {
    const { headings, rows } = overBandTable(overBand);
    return html`<table>
      <caption>
        Read from each point’s model by a constant carrier
      </caption>
      <thead>
        <tr>
          <th scope="col">frequency</th>
          ${headings.map((heading) => html`<th scope="col">${heading}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          ({ label, cells, isChannel }) => html`<tr class=${isChannel ? 'channel' : ''}>
            <th scope="row">${label}</th>
            ${cells.map((cell) => html`<td>${cell}</td>`)}
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  protected override render() {
    const overBand = this.report?.amplifier.overBand ?? null;
    if (overBand === null) return nothing;
    const text = overBandCursorText(overBand, this.cursorX);
    return html`
      <h2>The amplifier over its band</h2>
      <div class="halves">
        <div>
          ${this.#plot(this.#gain, 'gain', text)} ${this.#plot(this.#power, 'power', text)}
          <p class="read-out figure">${text === '' ? 'Point at a line, or use the arrow keys, to read it.' : text}</p>
          <p class="condition">
            Straight lines between the points. Shaded: the occupied band. Gain and phase follow the frequency inside the
            record; the knee is that of the channel.
          </p>
        </div>
        <div class="scroll" tabindex="0" role="region" aria-label=${OVER_BAND_TITLE}>${this.#table(overBand)}</div>
      </div>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      :host {
        margin-top: 1.5rem;
      }
      .halves {
        display: grid;
        grid-template-columns: minmax(0, 1fr) minmax(0, 29rem);
        gap: 1rem 2.5rem;
        margin-top: 0.5rem;
      }
      .gain {
        height: 11rem;
      }
      .power {
        height: 12.5rem;
      }
      .read-out {
        min-height: 1.25rem;
        color: var(--muted);
        font-size: var(--small);
      }
      .condition {
        margin-top: 0.25rem;
      }
      table {
        font-size: var(--small);
      }
      thead th {
        white-space: normal;
      }
      tbody th {
        font-size: var(--small);
        white-space: nowrap;
      }
      td,
      tbody th {
        padding-block: 0.1875rem;
      }
      .channel > * {
        font-weight: 600;
      }
      @media (max-width: 1180px) {
        .halves {
          grid-template-columns: minmax(0, 1fr);
        }
      }
    `,
  ];
}

customElements.define('kp-over-band-view', OverBandView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-over-band-view': OverBandView;
  }
}
