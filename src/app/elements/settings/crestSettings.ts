// Settings of crest-factor reduction.
import { html, nothing } from 'lit';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const PATH = 'waveform.crestFactorReduction';
const START = { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 };

export function crestSettings(context: SettingsContext) {
  const reduction = context.draft.waveform.crestFactorReduction;
  return html`
    <label class="switch">
      <input
        type="checkbox"
        .checked=${reduction !== null}
        @change=${(event: Event) => {
          const { checked } = event.target as HTMLInputElement;
          tellEdit(event.target as HTMLElement, PATH, checked ? START : null, false);
        }}
      />
      Reduce the crest factor
    </label>
    ${
      reduction === null
        ? nothing
        : html`${fieldOf(context, `${PATH}.targetPaprDb`, { hasSlider: true, caption: 'Target' })}
          ${fieldOf(context, `${PATH}.probability`)} ${fieldOf(context, `${PATH}.roundCount`)}
          ${fieldOf(context, `${PATH}.evmBudgetPercent`, { special: { value: null, text: 'none' } })}`
    }
  `;
}
