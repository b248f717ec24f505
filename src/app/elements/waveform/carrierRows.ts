// Carriers as rows: each in words with its place beside it; a row opens to the rest of its fields.
import { css, html, LitElement, nothing } from 'lit';
import { carrierText } from '../../../../shared/format/carrierText.ts';
import type { CarrierSettings } from '../../../../shared/schema/scenario.ts';
import { CARRIER_KINDS, type CarrierKind, startCarrier } from '../../../../shared/schema/starts.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';
import { tellCarrier, tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from '../settings/context.ts';
import { furtherFields, furtherWords, KIND_TEXTS, mainFields } from './carrierFields.ts';
import { offsetAbove, roomHz } from './carrierPlaces.ts';
import { fileButton } from './recordChooser.ts';
import { rowStyles } from './rowStyles.ts';

const PATH = 'waveform.carriers';
/** The schema's. */
const MOST_CARRIERS = 32;

export class CarrierRows extends LitElement {
  static override properties = {
    context: { attribute: false },
    chosen: { attribute: false },
    open: { state: true },
  };
  declare context: SettingsContext | null;
  /** The carrier that is being moved on the picture, or null. */
  declare chosen: number | null;
  declare open: ReadonlySet<number>;

  constructor() {
    super();
    this.context = null;
    this.chosen = null;
    this.open = new Set([0]);
  }

  get #carriers(): readonly CarrierSettings[] {
    return this.context?.draft.waveform.carriers ?? [];
  }

  #toggle(index: number): void {
    const next = new Set(this.open);
    if (!next.delete(index)) next.add(index);
    this.open = next;
  }

  /** The kind changes; place, power and, as near as the kind comes, width stay. */
  #changeKind(event: Event, index: number): void {
    const now = this.#carriers[index];
    if (now === undefined) return;
    const kind = (event.target as HTMLSelectElement).value as CarrierKind;
    const { offsetHz, relativePowerDb, crestShareRatio } = now;
    const next = { ...startCarrier(kind, roomHz(now)), offsetHz, relativePowerDb, crestShareRatio };
    tellEdit(this, `${PATH}.${index}`, next, false);
  }

  /** One more like the given one, above all others. */
  #addLike(carrier: CarrierSettings): void {
    const next = { ...carrier, offsetHz: offsetAbove(this.#carriers, roomHz(carrier)) };
    this.open = new Set([this.#carriers.length]);
    tellEdit(this, PATH, [...this.#carriers, next], false);
  }

  #remove(index: number): void {
    this.open = new Set(
      [...this.open].filter((each) => each !== index).map((each) => (each > index ? each - 1 : each)),
    );
    tellEdit(
      this,
      PATH,
      this.#carriers.filter((_, i) => i !== index),
      false,
    );
  }

  #hasIssue(path: string): boolean {
    return this.context?.issues.some((issue) => issue.path === path || issue.path.startsWith(`${path}.`)) ?? false;
  }

  #kindChoice(carrier: CarrierSettings, index: number) {
    return html`<div class="pair">
      <label for="kind-${index}">Kind</label>
      <select id="kind-${index}" @change=${(event: Event) => this.#changeKind(event, index)}>
        ${CARRIER_KINDS.map(
          (kind) => html`<option value=${kind} ?selected=${kind === carrier.kind}>${KIND_TEXTS[kind]}</option>`,
        )}
      </select>
    </div>`;
  }

  #body(context: SettingsContext, carrier: CarrierSettings, index: number) {
    const path = `${PATH}.${index}`;
    const name = `carrier ${index + 1}`;
    return html`<div class="body">
      ${this.#kindChoice(carrier, index)} ${mainFields(context, carrier, path)}
      <details>
        <summary>Further: ${furtherWords(carrier)}</summary>
        ${furtherFields(context, carrier, path)}
      </details>
      <div class="actions">
        <button
          class="plain"
          aria-label="Duplicate ${name}"
          ?disabled=${this.#carriers.length >= MOST_CARRIERS}
          @click=${() => this.#addLike(carrier)}
        >
          duplicate
        </button>
        <button
          class="plain"
          aria-label="Remove ${name}"
          ?disabled=${this.#carriers.length === 1}
          @click=${() => this.#remove(index)}
        >
          remove
        </button>
      </div>
    </div>`;
  }

  #row(context: SettingsContext, carrier: CarrierSettings, index: number) {
    const path = `${PATH}.${index}`;
    const isOpen = this.open.has(index);
    return html`<div
      class="carrier ${index === this.chosen ? 'chosen' : ''}"
      role="group"
      aria-label="Carrier ${index + 1}"
      @focusin=${() => tellCarrier(this, index)}
    >
      <button class="head" aria-expanded=${isOpen} @click=${() => this.#toggle(index)}>
        <span class="number">${index + 1}</span>
        <span class="words">${carrierText(carrier)}</span>
        ${this.#hasIssue(path) && !isOpen ? html`<span class="refused">✕ refused</span>` : nothing}
        <span class="mark" aria-hidden="true">${isOpen ? '−' : '+'}</span>
      </button>
      <div class="place">
        ${fieldOf(context, `${path}.offsetHz`, { caption: 'Offset', isCompact: true })}
        ${fieldOf(context, `${path}.relativePowerDb`, { caption: 'Power', isCompact: true })}
      </div>
      ${isOpen ? this.#body(context, carrier, index) : nothing}
    </div>`;
  }

  protected override render() {
    const { context } = this;
    if (context === null) return nothing;
    const carriers = this.#carriers;
    const last = carriers.at(-1);
    return html`
      ${carriers.map((carrier, index) => this.#row(context, carrier, index))}
      <div class="more">
        <button
          ?disabled=${last === undefined || carriers.length >= MOST_CARRIERS}
          @click=${() => last !== undefined && this.#addLike(last)}
        >
          Add a carrier
        </button>
        ${fileButton('Use a record', null)}
      </div>
    `;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    rowStyles,
    css`
      .carrier {
        padding: 0.25rem 0 0.375rem 0.625rem;
        border-left: 3px solid var(--rule);
      }
      .carrier + .carrier {
        margin-top: 0.5rem;
      }
      .carrier.chosen {
        border-left-color: var(--action);
      }
      .head {
        display: flex;
        align-items: baseline;
        gap: 0.5rem;
        width: 100%;
        min-height: 2rem;
        padding: 0.25rem 0;
        border: 0;
        background: none;
        text-align: left;
      }
      .number {
        flex: none;
        min-width: 1rem;
        color: var(--muted);
        font-variant-numeric: tabular-nums;
      }
      .words {
        flex: 1;
        min-width: 0;
        font-weight: 600;
        overflow-wrap: anywhere;
      }
      .mark {
        flex: none;
        width: 1rem;
        color: var(--muted);
        text-align: center;
      }
      .refused {
        flex: none;
        color: var(--over);
        font-size: var(--small);
      }
      .place {
        display: grid;
        grid-template-columns: 1.15fr 1fr;
        gap: 0 0.5rem;
      }
      .body {
        padding-top: 0.25rem;
      }
      .actions {
        display: flex;
        gap: 0.5rem;
        margin-left: -0.375rem;
      }
      .more {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: 0.5rem;
        margin-top: 0.75rem;
      }
      .more .files {
        padding: 0;
      }
      .wide {
        width: 100%;
        margin: 0.25rem 0;
      }
    `,
  ];
}

customElements.define('kp-carrier-rows', CarrierRows);

declare global {
  interface HTMLElementTagNameMap {
    'kp-carrier-rows': CarrierRows;
  }
}
