// One control, drawn from what the scenario schema says of its field: label, unit, range, help, choices. Emits
// `scenario-edit`; shows the engine's issue beneath when the value is refused.
import { css, html, LitElement, nothing } from 'lit';
import { formatSignificant, withUnit } from '../../../shared/format/numbers.ts';
import type { Issue } from '../../../shared/schema/issue.ts';
import { describeField, type FieldDescription } from '../fields/describeField.ts';
import type { SliderRange } from '../fields/sliderRanges.ts';
import { type DisplayUnit, displayUnitOf, toShown, toStored } from '../format/displayUnits.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { tellEdit } from './events.ts';

/** A value beside the numbers: "auto" for a rule, null for nothing. */
export interface SpecialValue {
  readonly value: string | null;
  readonly text: string;
}

const SHORT_WORD = 5;

export class Field extends LitElement {
  static override properties = {
    path: {},
    value: { attribute: false },
    resolved: { attribute: false },
    issue: { attribute: false },
    slider: { attribute: false },
    special: { attribute: false },
    choices: { attribute: false },
    caption: {},
    about: { attribute: false },
    compact: { type: Boolean, reflect: true },
    isHelpOpen: { state: true },
  };
  /** Dotted path in the scenario. */
  declare path: string;
  declare value: unknown;
  /** What the engine made of "auto", or undefined while unknown. */
  declare resolved: unknown;
  declare issue: Issue | null;
  declare slider: SliderRange | null;
  declare special: SpecialValue | null;
  /** Choices in place of a number or of the schema's list: stored value and its text. */
  declare choices: readonly (readonly [value: string | number, text: string])[] | null;
  /** A label in place of the schema's. */
  declare caption: string;
  /** What the schema says of the field; looked up by the path when not given. */
  declare about: FieldDescription | null;
  /** Label over the value, without its explanation: for rows of several fields. */
  declare compact: boolean;
  declare isHelpOpen: boolean;
  /** The text being typed: it may be on its way to a number ("36.0") and must not be rewritten under the hand. */
  #typed: string | null = null;

  constructor() {
    super();
    this.path = '';
    this.value = null;
    this.resolved = undefined;
    this.issue = null;
    this.slider = null;
    this.special = null;
    this.choices = null;
    this.caption = '';
    this.about = null;
    this.compact = false;
    this.isHelpOpen = false;
  }

  get #description(): FieldDescription {
    return this.about ?? describeField(this.path);
  }

  get #unit(): DisplayUnit {
    return displayUnitOf(this.path.split('.').at(-1) ?? '', this.#description.unit);
  }

  get #special(): SpecialValue | null {
    const { word } = this.#description;
    return this.special ?? (word === null ? null : { value: word, text: word === 'none' ? 'none' : word });
  }

  get #isSpecial(): boolean {
    const special = this.#special;
    return special !== null && this.value === special.value;
  }

  #onTyping(event: Event): void {
    const input = event.target as HTMLInputElement;
    // A lone minus sign or point is not a number yet; the browser gives no text for it.
    if (input.validity.badInput) return;
    this.#typed = input.value;
    this.#tellNumber(input.value, true);
  }

  #onTyped(event: Event): void {
    const input = event.target as HTMLInputElement;
    if (this.#typed === null && !input.validity.badInput) return;
    this.#typed = null;
    this.#tellNumber(input.value, false);
    this.requestUpdate();
  }

  #tellNumber(text: string, live: boolean): void {
    const shown = Number(text);
    const value = text.trim() === '' || !Number.isFinite(shown) ? text : toStored(shown, this.#unit);
    tellEdit(this, this.path, value, live);
  }

  #onSpecial(event: Event): void {
    const isChecked = (event.target as HTMLInputElement).checked;
    const description = this.#description;
    const start = typeof this.resolved === 'number' ? this.resolved : Math.max(description.minimum ?? 0, 0);
    tellEdit(this, this.path, isChecked ? (this.#special?.value ?? null) : start, false);
  }

  #onChoice(event: Event): void {
    const text = (event.target as HTMLSelectElement).value;
    const choice = this.choices?.find(([value]) => String(value) === text);
    tellEdit(this, this.path, choice === undefined ? text : choice[0], false);
  }

  #range(description: FieldDescription): string {
    if (description.minimum === undefined) return '';
    const { unit } = this.#unit;
    const [from, to] = [description.minimum, description.maximum ?? 0].map((bound) =>
      formatSignificant(toShown(bound, this.#unit), 6),
    );
    return ` From ${from} to ${withUnit(String(to), unit)}.`;
  }

  #help(description: FieldDescription) {
    if (!this.isHelpOpen) return nothing;
    return html`<p id="help" class="help">${description.help}${this.#range(description)}</p>`;
  }

  #issueText() {
    if (this.issue === null) return nothing;
    const { rule, value, remedy } = this.issue;
    return html`<p id="issue" class="issue"><span aria-hidden="true">✕</span> ${rule}, got ${value}; ${remedy}.</p>`;
  }

  #numberBox() {
    const isSpecial = this.#isSpecial;
    const number = typeof this.value === 'number' ? toShown(this.value, this.#unit) : this.value;
    const shown = isSpecial ? '' : (this.#typed ?? String(number ?? ''));
    const hint = typeof this.resolved === 'number' ? String(toShown(this.resolved, this.#unit)) : '';
    return html`<input
      id="control"
      type="number"
      step="any"
      inputmode="decimal"
      aria-invalid=${this.issue === null ? 'false' : 'true'}
      aria-describedby=${this.issue === null ? nothing : 'issue'}
      .value=${shown}
      placeholder=${hint}
      ?disabled=${isSpecial}
      @input=${this.#onTyping}
      @change=${this.#onTyped}
      @blur=${this.#onTyped}
    />`;
  }

  #sliderBox(label: string) {
    const { slider } = this;
    if (slider === null || this.#isSpecial) return nothing;
    const number = typeof this.value === 'number' ? toShown(this.value, this.#unit) : slider.minimum;
    return html`<input
      type="range"
      aria-label="${label}, slider"
      min=${slider.minimum}
      max=${slider.maximum}
      step=${slider.step}
      .value=${String(number)}
      @input=${(event: Event) => this.#tellNumber((event.target as HTMLInputElement).value, true)}
      @change=${(event: Event) => this.#tellNumber((event.target as HTMLInputElement).value, false)}
    />`;
  }

  #specialBox(label: string) {
    const special = this.#special;
    if (special === null) return nothing;
    return html`<label class="special">
      <input type="checkbox" .checked=${this.#isSpecial} @change=${this.#onSpecial} aria-label="${label}: ${special.text}" />
      ${special.text}
    </label>`;
  }

  #choiceBox(choices: readonly (readonly [string | number, string])[]) {
    return html`<select id="control" aria-invalid=${this.issue === null ? 'false' : 'true'} @change=${this.#onChoice}>
      ${choices.map(([value, text]) => html`<option value=${value} ?selected=${value === this.value}>${text}</option>`)}
    </select>`;
  }

  #helpButton(label: string) {
    return html`<button
      class="hint"
      aria-label="About ${label}"
      aria-expanded=${this.isHelpOpen}
      @click=${() => {
        this.isHelpOpen = !this.isHelpOpen;
      }}
    >
      ?
    </button>`;
  }

  protected override render() {
    const description = this.#description;
    const label = this.caption || description.label;
    const { unit } = this.#unit;
    // A long word beside the number would break the label.
    const isWordy = (this.#special?.text.length ?? 0) > SHORT_WORD;
    const choices = this.choices ?? description.choices?.map((choice) => [choice, choice] as const) ?? null;
    return html`
      <div class="line">
        <label for="control">${label}</label>
        ${this.compact ? nothing : this.#helpButton(label)}
        ${
          choices === null
            ? html`${isWordy ? nothing : this.#specialBox(label)}
                <span class="value">${this.#numberBox()}<span class="unit">${unit}</span></span>`
            : html`<span class="value">${this.#choiceBox(choices)}</span>`
        }
      </div>
      ${isWordy ? this.#specialBox(label) : nothing}
      ${choices === null ? this.#sliderBox(label) : nothing} ${this.#help(description)} ${this.#issueText()}
    `;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      :host {
        padding: 0.1875rem 0;
      }
      .line {
        display: flex;
        align-items: center;
        gap: 0.25rem;
        min-height: 2rem;
      }
      label {
        overflow-wrap: anywhere;
      }
      .hint {
        flex: none;
        width: 1.25rem;
        min-height: 1.25rem;
        padding: 0;
        border: 0;
        border-radius: 50%;
        background: none;
        color: var(--muted);
        font-size: var(--small);
      }
      .special {
        display: inline-flex;
        flex: none;
        align-items: center;
        gap: 0.25rem;
        margin-left: auto;
        color: var(--muted);
        font-size: var(--small);
      }
      .line + .special {
        display: flex;
        justify-content: flex-end;
        padding-right: 2.25rem;
      }
      .special input {
        margin: 0;
      }
      .value {
        display: inline-flex;
        align-items: center;
        margin-left: auto;
        flex: none;
      }
      .special + .value {
        margin-left: 0.25rem;
      }
      input[type="number"] {
        width: 5rem;
        appearance: textfield;
      }
      input[type="number"]::-webkit-inner-spin-button {
        display: none;
      }
      input:disabled {
        color: var(--muted);
        border-color: var(--rule);
      }
      .unit {
        min-width: 2.25rem;
        padding-left: 0.375rem;
        color: var(--muted);
        font-size: var(--small);
        white-space: nowrap;
      }
      select {
        max-width: 10.5rem;
      }
      /* Line and issue are cells of the row they stand in. */
      :host([compact]) {
        display: contents;
      }
      :host([compact]) .line {
        display: block;
        grid-row: 1;
        min-width: 0;
      }
      :host([compact]) label {
        display: block;
        color: var(--muted);
        font-size: var(--small);
      }
      :host([compact]) .value {
        display: flex;
      }
      :host([compact]) input[type="number"] {
        flex: 1 1 3.5rem;
        width: 3.5rem;
        min-width: 0;
      }
      :host([compact]) .unit {
        flex: none;
        min-width: 2rem;
      }
      :host([compact]) select {
        width: 100%;
      }
      .help {
        padding: 0.125rem 0 0.375rem;
        color: var(--muted);
        font-size: var(--small);
      }
      .issue {
        padding: 0.125rem 0 0.375rem;
        color: var(--over);
        font-size: var(--small);
      }
      :host([compact]) .issue {
        grid-column: 1 / -1;
      }
    `,
  ];
}

customElements.define('kp-field', Field);

declare global {
  interface HTMLElementTagNameMap {
    'kp-field': Field;
  }
}
