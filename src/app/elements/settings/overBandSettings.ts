// Settings of the amplifier over its band: off, or the channel and the points, one row a frequency. Models of points are
// shown by name and edited as text.
import { css, html, LitElement, nothing } from 'lit';
import { formatEngineering } from '../../../../shared/format/numbers.ts';
import type { AmplifierModelSettings, OverBandSettings } from '../../../../shared/schema/scenario.ts';
import { overBandStart, withNewPoint, withPoints } from '../../state/overBandEdits.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellAction, tellEdit } from '../events.ts';
import { rowStyles } from '../waveform/rowStyles.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const PATH = 'amplifier.overBand';

type Point = OverBandSettings['points'][number];

interface Column {
  readonly field: 'frequencyHz' | 'gainDb' | 'phaseDeg' | 'saturatedPowerDb';
  readonly heading: string;
  readonly unit: string;
  readonly label: string;
  readonly factor: number;
}

const COLUMNS: readonly Column[] = [
  { field: 'frequencyHz', heading: 'at', unit: 'MHz', label: 'frequency, MHz', factor: 1e6 },
  { field: 'gainDb', heading: 'gain', unit: 'dB', label: 'gain against the amplifier’s, dB', factor: 1 },
  { field: 'phaseDeg', heading: 'phase', unit: '°', label: 'phase, degrees', factor: 1 },
  {
    field: 'saturatedPowerDb',
    heading: 'power',
    unit: 'dB',
    label: 'saturated power against the amplifier’s, dB',
    factor: 1,
  },
];
/** Removes the noise of the scaling. */
const DIGITS = 12;
const CHANNEL_STEPS = 200;

const KIND_NAMES: Readonly<Record<AmplifierModelSettings['kind'], string>> = {
  filterNonlinearityFilter: 'filters',
  memoryPolynomial: 'polynomial',
  generalizedMemoryPolynomial: 'polynomial',
  published: 'published',
  saleh: 'Saleh',
  rapp: 'Rapp',
  modifiedRapp: 'mod. Rapp',
  ghorbani: 'Ghorbani',
  envelopePoints: 'points',
  dataSheet: 'sheet',
};

export class OverBandSettingsView extends LitElement {
  static override properties = { context: { attribute: false } };
  declare context: SettingsContext | null;

  constructor() {
    super();
    this.context = null;
  }

  #onCell(event: Event, overBand: OverBandSettings, index: number, { field, factor }: Column): void {
    const input = event.target as HTMLInputElement;
    const text = input.value.trim().replace(/[−–]/g, '-');
    const number = Number(text) * factor;
    if (text === '' || !Number.isFinite(number)) {
      input.value = cellText(overBand.points[index], field, factor);
      return;
    }
    const value = Number(number.toPrecision(DIGITS));
    const points = overBand.points.map((point, i) => (i === index ? { ...point, [field]: value } : point));
    tellEdit(this, PATH, withPoints(overBand, points), false);
  }

  #row(overBand: OverBandSettings, point: Point, index: number) {
    const hasModels = overBand.points.some(({ model }) => model !== null);
    const place = `Point ${index + 1}`;
    return html`<tr>
      <td>
        <input
          type="radio"
          name="channel"
          aria-label="${place}: take it as the channel"
          .checked=${point.frequencyHz === overBand.channelHz}
          @change=${() => tellEdit(this, `${PATH}.channelHz`, point.frequencyHz, false)}
        />
      </td>
      ${COLUMNS.map(
        (column) => html`<td>
          <input
            type="text"
            inputmode="decimal"
            class=${column.field}
            aria-label="${place}, ${column.label}"
            .value=${cellText(point, column.field, column.factor)}
            @change=${(event: Event) => this.#onCell(event, overBand, index, column)}
          />
        </td>`,
      )}
      ${hasModels ? html`<td class="model">${point.model === null ? '–' : KIND_NAMES[point.model.kind]}</td>` : nothing}
      <td>
        <button
          class="plain"
          aria-label="Remove point ${index + 1}"
          ?disabled=${overBand.points.length <= 2}
          @click=${() =>
            tellEdit(
              this,
              PATH,
              withPoints(
                overBand,
                overBand.points.filter((_, i) => i !== index),
              ),
              false,
            )}
        >
          ✕
        </button>
      </td>
    </tr>`;
  }

  #points(overBand: OverBandSettings) {
    const hasModels = overBand.points.some(({ model }) => model !== null);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Points over the band">
        <table>
          <thead>
            <tr>
              <th scope="col"><span class="unseen">Channel</span></th>
              ${COLUMNS.map(({ heading, unit }) => html`<th scope="col">${heading}<br />${unit}</th>`)}
              ${hasModels ? html`<th scope="col">model</th>` : nothing}
              <th scope="col"><span class="unseen">Remove</span></th>
            </tr>
          </thead>
          <tbody>
            ${overBand.points.map((point, index) => this.#row(overBand, point, index))}
          </tbody>
        </table>
      </div>
      <button class="plain" @click=${() => tellEdit(this, PATH, withNewPoint(overBand), false)}>Add a point</button>
      ${
        hasModels
          ? html`<p class="condition">
              Models of points are
              <button class="plain" @click=${() => tellAction(this, 'open-text')}>edited as text</button>
            </p>`
          : nothing
      }`;
  }

  /** Faults that no single control shows. */
  #issues({ issues }: SettingsContext) {
    return issues
      .filter(({ path }) => path === PATH || path.startsWith(`${PATH}.points`))
      .map(
        ({ path, rule, value, remedy }) => html`<p class="issue">
          <span aria-hidden="true">✕</span> ${path.slice(PATH.length + 1)} ${rule}, got ${value}; ${remedy}.
        </p>`,
      );
  }

  /** The frequency that figures and records are printed with, where it is another. */
  #printed(carrierFrequencyHz: number | null, channelHz: number) {
    if (carrierFrequencyHz === null || carrierFrequencyHz === channelHz) return nothing;
    return html`<p class="condition">
      Printed with the figures: ${formatEngineering(carrierFrequencyHz, 'Hz', 7)}.
      <button class="plain" @click=${() => tellEdit(this, 'carrierFrequencyHz', channelHz, false)}>
        Print the channel
      </button>
    </p>`;
  }

  protected override render() {
    const { context } = this;
    if (context === null) return nothing;
    const { carrierFrequencyHz, amplifier } = context.draft;
    const { overBand } = amplifier;
    return html`<h3>Over the band</h3>
      <label class="switch">
        <input
          type="checkbox"
          .checked=${overBand !== null}
          @change=${(event: Event) => {
            const { checked } = event.target as HTMLInputElement;
            tellEdit(this, PATH, checked ? overBandStart(carrierFrequencyHz) : null, false);
          }}
        />
        Gain and power change with frequency
      </label>
      ${
        overBand === null
          ? nothing
          : html`${fieldOf(context, `${PATH}.channelHz`, { slider: channelSlider(overBand) })}
            ${this.#printed(carrierFrequencyHz, overBand.channelHz)} ${this.#points(overBand)} ${this.#issues(context)}`
      }`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    rowStyles,
    css`
      h3 {
        margin: 1rem 0 0.25rem;
      }
      th,
      td {
        padding: 0.125rem;
      }
      th,
      th:first-child {
        text-align: right;
      }
      input[type="radio"] {
        margin: 0;
      }
      input[type="text"] {
        width: 2.75rem;
        min-height: 1.75rem;
        padding: 0.125rem 0.25rem;
        font-size: var(--small);
        font-variant-numeric: tabular-nums;
        text-align: right;
      }
      input.frequencyHz {
        width: 4.25rem;
      }
      .model {
        color: var(--muted);
        font-size: var(--small);
      }
    `,
  ];
}

function cellText(point: Point | undefined, field: Column['field'], factor: number): string {
  const value = point?.[field];
  return typeof value === 'number' ? String(Number((value / factor).toPrecision(DIGITS))) : '';
}

/** From the first point to the last, in MHz. */
function channelSlider({ points }: OverBandSettings) {
  const [lowest, highest] = [points[0]?.frequencyHz ?? 0, points.at(-1)?.frequencyHz ?? 1];
  return { minimum: lowest / 1e6, maximum: highest / 1e6, step: (highest - lowest) / 1e6 / CHANNEL_STEPS };
}

customElements.define('kp-over-band-settings', OverBandSettingsView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-over-band-settings': OverBandSettingsView;
  }
}

/** Whether the amplifier changes over a band, where its channel is and what each point says. */
export function overBandSettings(context: SettingsContext) {
  return html`<kp-over-band-settings .context=${context}></kp-over-band-settings>`;
}
