// Pictures that stand on the bench while their block is being set up; each is loaded when it is first shown.
import { html, nothing } from 'lit';
import type { AppState } from '../state/appState.ts';

/** Crest factors are told at this probability where the scenario names none. */
const USUAL_PROBABILITY = 1e-4;

/** Of the waveform: its exceedance curve, beside the emission plot. */
export function waveformPicture({ block, valid, shown }: AppState) {
  if (block !== 'data' && block !== 'crest') return nothing;
  void import('./waveform/crestCurve.ts');
  return html`<kp-crest-curve
    class="curve"
    .report=${shown?.report ?? null}
    .probability=${valid.waveform.crestFactorReduction?.probability ?? USUAL_PROBABILITY}
  ></kp-crest-curve>`;
}

/** Of the amplifier: what it does by itself, beneath. */
export function amplifierPicture({ block, shown }: AppState) {
  if (block !== 'amplifier') return nothing;
  void import('./amplifier/amplifierCurve.ts');
  return html`<kp-amplifier-curve class="amplifier" .report=${shown?.report ?? null}></kp-amplifier-curve>`;
}
