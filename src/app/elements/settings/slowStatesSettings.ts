// Settings of the states slower than any filter: heat and traps, on any model. Off, or their depths, times and phase.
import { html, nothing } from 'lit';
import type { SlowStatesSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

export const SLOW_STATES_PATH = 'amplifier.slowStates';

/** A visible droop, with the phase that goes along; the schema gives the times. */
export const SLOW_STATES_START: Partial<SlowStatesSettings> = {
  heatDepthRatio: 0.1,
  trapDepthRatio: 0.05,
  phasePerGainDeg: 60,
};

/** To the most the schema allows: 0.2 takes 1.9 dB at saturated power. */
const DEPTH = { slider: { minimum: 0, maximum: 0.2, step: 0.005 } };

/** Whether the gain follows heat and traps, and how far and how fast. */
export function slowStatesSettings(context: SettingsContext) {
  const has = context.draft.amplifier.slowStates !== null;
  const field = (name: keyof SlowStatesSettings, options = {}) =>
    fieldOf(context, `${SLOW_STATES_PATH}.${name}`, options);
  return html`<h3>Slow states</h3>
    <label class="switch">
      <input
        type="checkbox"
        .checked=${has}
        @change=${(event: Event) => {
          const box = event.target as HTMLInputElement;
          tellEdit(box, SLOW_STATES_PATH, box.checked ? SLOW_STATES_START : null, false);
        }}
      />
      Gain follows heat and traps
    </label>
    ${
      has
        ? html`${field('heatDepthRatio', DEPTH)} ${field('heatTimeConstantS')} ${field('trapDepthRatio', DEPTH)}
          ${field('trapAttackS')} ${field('trapReleaseS')} ${field('phasePerGainDeg')}
          <p class="condition">Settled with the drive as sent. “How does a burst start?” shows them after a silence.</p>`
        : nothing
    }`;
}
