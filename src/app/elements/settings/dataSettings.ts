// Settings of the first block: carriers, the record they share, its edge and burst pattern, seeds.
import { html, nothing } from 'lit';
import type { SpectralEdgeSettings } from '../../../../shared/schema/scenario.ts';
import { startBurst, startEdge } from '../../../../shared/schema/starts.ts';
import { toShown } from '../../format/displayUnits.ts';
import { tellAction, tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';
import '../waveform/carrierRows.ts';

const EDGE = 'waveform.spectralEdge';
const BURST = 'waveform.burst';

function edgeSettings(context: SettingsContext) {
  const edge = context.draft.waveform.spectralEdge;
  return html`<div class="pair">
      <label for="edge">Spectral edge</label>
      <select
        id="edge"
        @change=${(event: Event) => {
          const kind = (event.target as HTMLSelectElement).value as SpectralEdgeSettings['kind'];
          tellEdit(event.target as HTMLElement, EDGE, startEdge(kind), false);
        }}
      >
        <option value="channelFilter" ?selected=${edge.kind === 'channelFilter'}>channel filter</option>
        <option value="symbolOverlap" ?selected=${edge.kind === 'symbolOverlap'}>symbol overlap</option>
        <option value="none" ?selected=${edge.kind === 'none'}>none</option>
      </select>
    </div>
    ${
      edge.kind === 'channelFilter'
        ? html`${fieldOf(context, `${EDGE}.tapCount`)} ${fieldOf(context, `${EDGE}.cutoffHz`)}
          ${fieldOf(context, `${EDGE}.kaiserBeta`)}`
        : edge.kind === 'symbolOverlap'
          ? fieldOf(context, `${EDGE}.overlapS`)
          : nothing
    }`;
}

function burstSettings(context: SettingsContext) {
  const { burst } = context.draft.waveform;
  return html`<label class="switch">
      <input
        type="checkbox"
        .checked=${burst !== null}
        @change=${(event: Event) => {
          const { checked } = event.target as HTMLInputElement;
          tellEdit(event.target as HTMLElement, BURST, checked ? startBurst() : null, false);
        }}
      />
      On and off in bursts
    </label>
    ${
      burst === null
        ? nothing
        : html`${fieldOf(context, `${BURST}.periodS`)} ${fieldOf(context, `${BURST}.dutyRatio`)}
          ${fieldOf(context, `${BURST}.rampS`)}`
    }`;
}

/** The length is told in symbols where there are any, by the record where there is one, in samples otherwise. */
function lengthField(context: SettingsContext) {
  const kinds = context.draft.waveform.carriers.map(({ kind }) => kind);
  if (kinds.includes('ofdm')) return fieldOf(context, 'waveform.symbolCount', { caption: 'Symbols' });
  if (kinds.includes('record')) return html`<p class="condition">The length is that of the record’s parts.</p>`;
  return fieldOf(context, 'waveform.sampleCount', { caption: 'Samples' });
}

export function dataSettings(context: SettingsContext) {
  const { waveform } = context.draft;
  const rate = context.resolved?.waveform.sampleRateHz;
  const shownRate = typeof rate === 'number' ? toShown(rate, { unit: 'MHz', factor: 1e6 }) : null;
  return html`
    <kp-carrier-rows .context=${context} .chosen=${context.carrier}></kp-carrier-rows>
    <h3>Record</h3>
    ${lengthField(context)} ${fieldOf(context, 'waveform.sampleRateHz')}
    ${waveform.sampleRateHz === 'auto' && shownRate !== null ? html`<p class="condition">auto gives ${shownRate} MHz</p>` : nothing}
    ${edgeSettings(context)} ${burstSettings(context)}
    <h3>Seeds</h3>
    ${fieldOf(context, 'seeds.judging', { caption: 'Judging' })}
    ${fieldOf(context, 'seeds.training', { caption: 'Training' })}
    ${fieldOf(context, 'seeds.selection', { caption: 'Selection' })}
    <button class="wide" @click=${(event: Event) => tellAction(event.target as HTMLElement, 'swap-records')}>
      Swap training and judging records
    </button>
  `;
}
