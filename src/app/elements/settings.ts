// The settings column: the operating point, always, and the chosen block of the chain.
import { css, html, LitElement, nothing } from 'lit';
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { RecordFacts } from '../../worker/client.ts';
import type { BlockName } from '../state/appState.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import type { SettingsContext } from './settings/context.ts';
import { operatingPointSettings } from './settings/operatingPointSettings.ts';

const TITLES: Readonly<Record<BlockName, string>> = {
  data: 'Data',
  crest: 'Crest factor',
  predistorter: 'Predistorter',
  amplifier: 'Amplifier',
  antenna: 'Antenna port',
  observation: 'Observation',
};

export class Settings extends LitElement {
  static override properties = {
    draft: { attribute: false },
    report: { attribute: false },
    issues: { attribute: false },
    block: {},
    records: { attribute: false },
    carrier: { attribute: false },
    further: { state: true },
  };
  declare draft: Scenario | null;
  declare report: Report | null;
  declare issues: readonly Issue[];
  declare block: BlockName;
  declare records: readonly RecordFacts[];
  declare carrier: number | null;
  declare further: typeof import('./settings/furtherSettings.ts') | null;

  constructor() {
    super();
    this.draft = null;
    this.report = null;
    this.issues = [];
    this.block = 'amplifier';
    this.records = [];
    this.carrier = null;
    this.further = null;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void import('./settings/furtherSettings.ts').then((further) => {
      this.further = further;
    });
  }

  #blockSettings(context: SettingsContext) {
    switch (this.block) {
      case 'data':
        return this.further?.dataSettings(context);
      case 'crest':
        return this.further?.crestSettings(context);
      case 'predistorter':
        return this.further?.predistorterSettings(context);
      case 'amplifier':
        return this.further?.amplifierSettings(context);
      case 'antenna':
        return this.further?.antennaSettings(context);
      case 'observation':
        return this.further?.observationSettings(context);
    }
  }

  protected override render() {
    if (this.draft === null) return nothing;
    const context: SettingsContext = {
      draft: this.draft,
      resolved: this.report?.scenario ?? null,
      issues: this.issues,
      report: this.report,
      amplifier: this.report?.amplifier ?? null,
      placed: this.report?.waveform.carriers ?? null,
      records: this.records,
      carrier: this.carrier,
    };
    return html`
      <section class="point" aria-label="Operating point">
        ${operatingPointSettings(context, this.report?.uncorrected ?? null)}
      </section>
      <section class="block" aria-label="${TITLES[this.block]} settings">
        <h2>${TITLES[this.block]}</h2>
        ${this.#blockSettings(context)}
      </section>
    `;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .block {
        margin-top: 1rem;
        padding-top: 1rem;
        border-top: 1px solid var(--rule);
      }
      h2 {
        margin-bottom: 0.25rem;
      }
      h3 {
        margin: 1rem 0 0.25rem;
      }
      .pair {
        display: flex;
        align-items: center;
        justify-content: space-between;
        gap: 0.5rem;
        min-height: 2rem;
        padding: 0.1875rem 0;
      }
      .pair label {
        flex: none;
      }
      .pair select {
        min-width: 0;
      }
      .pair output {
        min-width: 1.5rem;
        text-align: right;
      }
      .pair .aside {
        margin-left: auto;
        color: var(--muted);
        font-size: var(--small);
      }
      .aside input {
        margin: 0 0.25rem 0 0;
        vertical-align: -1px;
      }
      .stack {
        padding: 0.1875rem 0;
      }
      .stack select {
        width: 100%;
        margin-top: 0.125rem;
      }
      .switch {
        display: flex;
        align-items: center;
        gap: 0.5rem;
        min-height: 2rem;
      }
      .switch input {
        margin: 0;
      }
      .row {
        position: relative;
        min-width: 0;
        margin: 0.5rem 0;
        padding: 0.25rem 0 0.25rem 0.75rem;
        border-left: 2px solid var(--rule);
      }
      .row h3 {
        margin: 0;
        padding: 0.25rem 4rem 0.25rem 0;
        line-height: 1.5rem;
      }
      .remove {
        position: absolute;
        top: 0.25rem;
        right: 0;
        font-size: var(--small);
      }
      .pair .text {
        flex: 1;
        min-width: 0;
      }
      .issue {
        color: var(--over);
        font-size: var(--small);
      }
      .row summary {
        width: fit-content;
        color: var(--action);
        cursor: pointer;
        font-size: var(--small);
      }
      .wide {
        width: 100%;
        margin-top: 0.5rem;
      }
      .effects {
        width: 100%;
        margin-top: 1rem;
        border-collapse: collapse;
        font-size: var(--small);
        font-variant-numeric: tabular-nums;
      }
      .effects caption {
        padding-bottom: 0.25rem;
        font-weight: 600;
        text-align: left;
      }
      .effects :is(th, td) {
        padding: 0.125rem 0 0.125rem 0.5rem;
        font-weight: 400;
        text-align: right;
        vertical-align: baseline;
      }
      .effects :is(th, td):first-child {
        padding-left: 0;
        text-align: left;
      }
      .effects thead th {
        border-bottom: 1px solid var(--rule);
        color: var(--muted);
      }
      .cost {
        margin-top: 0.375rem;
      }
      .buttons {
        display: flex;
        flex-wrap: wrap;
        gap: 0.5rem;
        margin-top: 0.25rem;
      }
    `,
  ];
}

customElements.define('kp-settings', Settings);

declare global {
  interface HTMLElementTagNameMap {
    'kp-settings': Settings;
  }
}
