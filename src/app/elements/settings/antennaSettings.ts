// Settings of the antenna port: the loss on the way, the limits, how readings are taken.
import { html } from 'lit';
import { fieldOf, type SettingsContext } from './context.ts';
import { limitSettings } from './limitSettings.ts';
import { measurementSettings } from './measurementSettings.ts';

export function antennaSettings(context: SettingsContext) {
  return html`
    ${fieldOf(context, 'amplifier.outputLossDb', { hasSlider: true })} ${limitSettings(context)}
    ${measurementSettings(context)}
  `;
}
