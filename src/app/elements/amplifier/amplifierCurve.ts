// The amplifier by itself, while it is being set up: gain and phase of a constant carrier against output power, and what
// a data sheet would say of the model, read from the model.
import { css, html, LitElement, nothing } from 'lit';
import { type AmplifierPicture, curveCondition } from '../../../../shared/figures/amplifierCurveParts.ts';
import { driveRangeText, outputBoundText } from '../../../../shared/format/amplifierText.ts';
import { formatQuantity, formatSigned } from '../../../../shared/format/numbers.ts';
import { READ_BACK_HEADINGS, readBackRows } from '../../../../shared/reports/readBackRows.ts';
import type { SheetReading } from '../../../../shared/schema/readBack.ts';
import type { Report } from '../../../../shared/schema/report.ts';
import { amplifierModel, cursorText } from '../../charts/amplifierModels.ts';
import type { LineModel } from '../../charts/lineModel.ts';
import type { CursorPlaced } from '../../charts/linePlot.ts';
import { baseStyles, tableStyles } from '../../styles/shared.ts';
import { missText } from './missText.ts';
import '../../charts/linePlot.ts';
import './overBandView.ts';

/** Shares of samples are shown to this many decimals of a per cent. */
const SHARE_DECIMALS = 3;

export class AmplifierCurveView extends LitElement {
  static override properties = { report: { attribute: false }, cursorX: { state: true } };
  declare report: Report | null;
  declare cursorX: number | null;
  #picture: AmplifierPicture | null = null;
  #gain: LineModel | null = null;
  #phase: LineModel | null = null;

  constructor() {
    super();
    this.report = null;
    this.cursorX = null;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('report')) return;
    this.#picture = this.report && pictureOf(this.report);
    this.#gain = this.#picture && amplifierModel(this.#picture, 'gain');
    this.#phase = this.#picture && amplifierModel(this.#picture, 'phase');
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

  #readings({ amplifier: { readBack } }: Report) {
    return html`<table class="cw">
      <caption>By a constant carrier and by two tones</caption>
      <thead>
        <tr>
          ${READ_BACK_HEADINGS.map((heading) => html`<th scope="col">${heading === '' ? 'Reading' : heading}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${readBackRows(readBack).map(([name, output, ...rest]) => {
          const reason = rest.at(-1) ?? '';
          const isWordy = rest.slice(0, -1).every((cell) => cell === '');
          return html`<tr>
            <th scope="row">${name}</th>
            <td>${output}</td>
            ${isWordy ? html`<td class="reason" colspan="3">${reason}</td>` : rest.map((cell) => html`<td>${cell}</td>`)}
          </tr>`;
        })}
      </tbody>
    </table>`;
  }

  #facts({ amplifier, uncorrected, corrected }: Report) {
    const { readBack, driveRange, outputBoundDb, modelRateHz } = amplifier;
    const share = (ratio: number) => formatQuantity(100 * ratio, '%', SHARE_DECIMALS);
    const held = [
      `${share(uncorrected.heldSampleRatio)} uncorrected`,
      ...(corrected === null ? [] : [`${share(corrected.heldSampleRatio)} corrected`]),
    ];
    const rows: readonly (readonly [string, string])[] = [
      ['Small-signal gain', formatQuantity(readBack.gainDb, 'dB', 2)],
      ['Highest gain', `${formatSigned(readBack.highestGainDb, 'dB', 2)} over it`],
      ['Drive range', driveRangeText(driveRange)],
      ['Samples held there', held.join(', ')],
      ['Output', outputBoundText(outputBoundDb)],
      ...(modelRateHz === null ? [] : [['Taps at', formatQuantity(modelRateHz / 1e6, 'MHz', 2)] as const]),
    ];
    return html`<dl>
      ${rows.map(([name, text]) => html`<div><dt>${name}</dt><dd>${text}</dd></div>`)}
    </dl>`;
  }

  #sheet(rows: readonly SheetReading[]) {
    if (rows.length === 0) return nothing;
    return html`<table class="sheet">
      <caption>The data sheet beside what the model reads</caption>
      <thead>
        <tr>
          <th scope="col">Figure</th>
          <th scope="col">stated</th>
          <th scope="col">the model reads</th>
          <th scope="col">met</th>
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          ({ name, unit, stated, read, isMet }) => html`<tr>
            <th scope="row">${name}</th>
            <td>${formatQuantity(stated, unit, 2)}</td>
            <td>${formatQuantity(read, unit, 2)}</td>
            <td class=${isMet ? 'met' : 'missed'}>${isMet ? '✓ met' : missText(read, stated, unit)}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  protected override render() {
    const { report } = this;
    if (report === null || this.#picture === null) return nothing;
    const text = cursorText(this.#picture, this.cursorX);
    const { source } = report.amplifier;
    return html`
      <h2>The amplifier by itself</h2>
      <div class="halves">
        <div class="plots">
          ${this.#plot(this.#gain, 'gain', text)} ${this.#plot(this.#phase, 'phase', text)}
          <p class="read-out figure">${text === '' ? 'Point at the curve, or use the arrow keys, to read it.' : text}</p>
          <p class="condition">
            ${curveCondition(this.#picture).join('; ')}${source === null ? '' : `. Source: ${source}`}
          </p>
        </div>
        <div class="readings">
          <div class="scroll" tabindex="0" role="region" aria-label="Readings of the amplifier">
            ${this.#sheet(report.amplifier.readBack.sheet)} ${this.#readings(report)}
          </div>
          ${this.#facts(report)}
        </div>
      </div>
      <kp-over-band-view .report=${report}></kp-over-band-view>
    `;
  }

  static override styles = [
    baseStyles,
    tableStyles,
    css`
      .halves {
        display: grid;
        grid-template-columns: minmax(0, 1fr) minmax(0, 29rem);
        gap: 1rem 2.5rem;
        margin-top: 0.5rem;
      }
      .gain {
        height: 14rem;
      }
      .phase {
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
      tbody th {
        font-size: var(--small);
        vertical-align: middle;
      }
      td,
      tbody th {
        padding-block: 0.1875rem;
      }
      @media (min-width: 641px) {
        .cw th {
          white-space: nowrap;
        }
      }
      .sheet {
        margin-bottom: 1rem;
      }
      .reason {
        color: var(--muted);
        white-space: normal;
      }
      .met {
        color: var(--within);
      }
      .missed {
        color: var(--over);
      }
      dl {
        margin-top: 0.75rem;
        font-size: var(--small);
        font-variant-numeric: tabular-nums;
      }
      dl div {
        display: flex;
        justify-content: space-between;
        gap: 1rem;
        padding: 0.125rem 0;
      }
      dt {
        flex: none;
        color: var(--muted);
      }
      dd {
        text-align: right;
      }
      @media (max-width: 1180px) {
        .halves {
          grid-template-columns: minmax(0, 1fr);
        }
      }
    `,
  ];
}

function pictureOf({ amplifier, scenario, traces }: Report): AmplifierPicture {
  return {
    title: scenario.title,
    label: amplifier.label,
    curve: traces.amplifierCurve,
    readBack: amplifier.readBack,
    settings: scenario.amplifier,
  };
}

customElements.define('kp-amplifier-curve', AmplifierCurveView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-amplifier-curve': AmplifierCurveView;
  }
}
