// A choice that changes a whole part of the scenario, not one field: label, list, what the choice means.
import { html, nothing } from 'lit';

export interface ChoiceLine {
  readonly id: string;
  readonly label: string;
  readonly choices: readonly (readonly [value: string, text: string])[];
  readonly chosen: string;
  readonly onChoice: (value: string, element: HTMLElement) => void;
  readonly meaning?: string;
}

export function choiceLine({ id, label, choices, chosen, onChoice, meaning }: ChoiceLine) {
  return html`<div class="stack">
      <label for=${id}>${label}</label>
      <select
        id=${id}
        @change=${({ target }: Event) => onChoice((target as HTMLSelectElement).value, target as HTMLElement)}
      >
        ${choices.map(([value, text]) => html`<option value=${value} ?selected=${value === chosen}>${text}</option>`)}
      </select>
    </div>
    ${meaning === undefined ? nothing : html`<p class="condition">${meaning}</p>`}`;
}

/** A part of the scenario that is there or not. */
export function switchLine(text: string, isOn: boolean, onSwitch: (isOn: boolean, element: HTMLElement) => void) {
  return html`<label class="switch">
    <input
      type="checkbox"
      .checked=${isOn}
      @change=${({ target }: Event) => onSwitch((target as HTMLInputElement).checked, target as HTMLElement)}
    />
    ${text}
  </label>`;
}
