// What the parts of the identification tell. All bubble and cross shadow roots.
import type { IdentifySettings } from '../../state/identifyState.ts';

/** Settings that take new values. */
export type SettingsChanged = CustomEvent<Partial<IdentifySettings>>;

export function tellSettings(target: EventTarget, change: Partial<IdentifySettings>): void {
  target.dispatchEvent(
    new CustomEvent('identify-settings', { detail: change, bubbles: true, composed: true }) satisfies SettingsChanged,
  );
}

/** Sample rate in Hz of text records; null when none is given. */
export type RateChanged = CustomEvent<number | null>;

export function tellRate(target: EventTarget, rateHz: number | null): void {
  target.dispatchEvent(
    new CustomEvent('identify-rate', { detail: rateHz, bubbles: true, composed: true }) satisfies RateChanged,
  );
}
