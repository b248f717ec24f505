// Settings of crest-factor reduction: whether and how far, by which method, and how the carriers share it.
import { html, nothing } from 'lit';
import { carrierText } from '../../../../shared/format/carrierText.ts';
import { startReduction } from '../../../../shared/schema/starts.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const PATH = 'waveform.crestFactorReduction';
const METHODS = [
  ['clipAndFilter', 'clip and filter'],
  ['peakCancellation', 'cancel peaks'],
] as const;

/** With several carriers each takes its own share; the robust one may take all. */
function shares(context: SettingsContext) {
  const { carriers } = context.draft.waveform;
  if (carriers.length < 2) return nothing;
  return html`<h3>Share of the correction</h3>
    ${carriers.map((carrier, index) =>
      fieldOf(context, `waveform.carriers.${index}.crestShareRatio`, {
        caption: `${index + 1} ${carrierText(carrier)}`,
      }),
    )}`;
}

export function crestSettings(context: SettingsContext) {
  const reduction = context.draft.waveform.crestFactorReduction;
  return html`
    <label class="switch">
      <input
        type="checkbox"
        .checked=${reduction !== null}
        @change=${(event: Event) => {
          const { checked } = event.target as HTMLInputElement;
          tellEdit(event.target as HTMLElement, PATH, checked ? startReduction() : null, false);
        }}
      />
      Reduce the crest factor
    </label>
    ${
      reduction === null
        ? nothing
        : html`${fieldOf(context, `${PATH}.method`, { choices: METHODS })}
          ${fieldOf(context, `${PATH}.targetPaprDb`, { hasSlider: true, caption: 'Target' })}
          ${fieldOf(context, `${PATH}.probability`)} ${fieldOf(context, `${PATH}.roundCount`)}
          ${fieldOf(context, `${PATH}.evmBudgetPercent`, { special: { value: null, text: 'none' } })}
          ${shares(context)}`
    }
  `;
}
