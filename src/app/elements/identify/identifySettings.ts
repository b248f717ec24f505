// What an identification is told beside the records: the power scale, the sample rate of text records, how far the search
// goes. Faults of a field stand beneath it.
import { css, html, LitElement, nothing } from 'lit';
import type { Issue } from '../../../../shared/schema/issue.ts';
import type { IdentifySettings } from '../../state/identifyState.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellRate, tellSettings } from './identifyEvents.ts';

interface NumberRow {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  readonly value: number | null;
  readonly issue: Issue | null;
  /** An empty field means null where that is allowed. */
  readonly isOptional: boolean;
  readonly onValue: (target: EventTarget, value: number | null) => void;
}

const SCALE: readonly (readonly [keyof IdentifySettings, string, string])[] = [
  ['outputPowerDbm', 'Mean output power', 'dBm'],
  ['saturatedPowerDbm', 'Saturated power', 'dBm'],
  ['outputBackoffDb', 'Output back-off', 'dB'],
];

const SEARCH: readonly (readonly [keyof IdentifySettings, string, string])[] = [
  ['highestOrder', 'Highest order', ''],
  ['memoryDepth', 'Memory depth', 'samples'],
  ['crossReachSamples', 'Reach of cross terms', 'samples'],
];

export class IdentifySettingsElement extends LitElement {
  static override properties = {
    settings: { attribute: false },
    sampleRateHz: { attribute: false },
    hasTextRecord: { type: Boolean },
    issues: { attribute: false },
  };
  declare settings: IdentifySettings | null;
  declare sampleRateHz: number | null;
  /** A CSV record is among those placed. */
  declare hasTextRecord: boolean;
  declare issues: readonly Issue[];

  constructor() {
    super();
    this.settings = null;
    this.sampleRateHz = null;
    this.hasTextRecord = false;
    this.issues = [];
  }

  #row(row: NumberRow) {
    const onChange = (event: Event) => {
      const input = event.target as HTMLInputElement;
      const isEmpty = input.value.trim() === '' && !input.validity.badInput;
      const number = Number(input.value);
      if (isEmpty ? row.isOptional : Number.isFinite(number) && !input.validity.badInput) {
        row.onValue(input, isEmpty ? null : number);
      } else {
        input.value = row.value === null ? '' : String(row.value);
      }
    };
    return html`<div class="row">
        <label for=${row.name}>${row.label}</label>
        <input
          id=${row.name}
          type="number"
          step="any"
          inputmode="decimal"
          placeholder=${row.isOptional ? 'unknown' : nothing}
          aria-invalid=${row.issue === null ? 'false' : 'true'}
          aria-describedby=${row.issue === null ? nothing : `${row.name}-issue`}
          .value=${row.value === null ? '' : String(row.value)}
          @change=${onChange}
        />
        <span class="unit">${row.unit}</span>
      </div>
      ${
        row.issue === null
          ? nothing
          : html`<p id="${row.name}-issue" class="issue">
              <span aria-hidden="true">✕</span> ${row.issue.rule}, got ${row.issue.value}; ${row.issue.remedy}.
            </p>`
      }`;
  }

  #rows(fields: typeof SCALE, settings: IdentifySettings, isOptional: boolean) {
    return fields.map(([name, label, unit]) =>
      this.#row({
        name,
        label,
        unit,
        value: settings[name],
        issue: this.issues.find(({ path }) => path === name) ?? null,
        isOptional,
        onValue: (target, value) => tellSettings(target, { [name]: value }),
      }),
    );
  }

  #rateRow() {
    if (!this.hasTextRecord) return nothing;
    const { sampleRateHz } = this;
    return this.#row({
      name: 'sampleRate',
      label: 'Sample rate of CSV',
      unit: 'MHz',
      value: sampleRateHz === null ? null : sampleRateHz / 1e6,
      issue: null,
      isOptional: true,
      onValue: (target, value) => tellRate(target, value === null ? null : Number((value * 1e6).toPrecision(12))),
    });
  }

  protected override render() {
    const { settings } = this;
    if (settings === null) return nothing;
    const hasSearchIssue = this.issues.some(({ path }) => SEARCH.some(([name]) => name === path));
    return html`${this.#rateRow()}
      <h3>Power scale</h3>
      <p class="condition">
        Records do not say what power they stand for. Two of these three give the scale; without them dBm and output
        back-off stay unknown.
      </p>
      ${this.#rows(SCALE, settings, true)}
      <details ?open=${hasSearchIssue}>
        <summary>Limits of the search</summary>
        ${this.#rows(SEARCH, settings, false)}
      </details>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    css`
      h3 {
        margin-top: 0.75rem;
      }
      .row {
        display: grid;
        grid-template-columns: minmax(0, 1fr) 5.5rem 3.5rem;
        align-items: center;
        gap: 0.375rem;
        margin-top: 0.25rem;
        max-width: 22rem;
        font-size: var(--small);
      }
      input {
        width: 100%;
        min-height: 1.75rem;
        appearance: textfield;
      }
      input::-webkit-inner-spin-button {
        display: none;
      }
      .unit {
        color: var(--muted);
      }
      .issue {
        max-width: 30rem;
        margin-top: 0.25rem;
        color: var(--over);
        font-size: var(--small);
      }
      details {
        margin-top: 0.75rem;
      }
    `,
  ];
}

customElements.define('kp-identify-settings', IdentifySettingsElement);

declare global {
  interface HTMLElementTagNameMap {
    'kp-identify-settings': IdentifySettingsElement;
  }
}
