// Settings of the first block: carriers, record, sample rate, spectral edge, seeds.
import { html, nothing } from 'lit';
import { formatEngineering } from '../../../../shared/format/numbers.ts';
import type { CarrierSettings } from '../../../../shared/schema/scenario.ts';
import { numerologies } from '../../../../shared/tables/numerologies.ts';
import { toShown } from '../../format/displayUnits.ts';
import { tellAction, tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

type Choices = readonly (readonly [value: number, text: string])[];

function distinct(values: readonly number[], unit: string): Choices {
  return [...new Set(values)].sort((a, b) => a - b).map((value) => [value, formatEngineering(value, unit)] as const);
}

/** Bandwidths of the standard at this spacing; a value that is in no table stays in the list, so that it is seen. */
function bandwidthChoices(carrier: Extract<CarrierSettings, { kind: 'ofdm' }>): Choices {
  const rows = numerologies.filter(
    (row) => row.standard === carrier.standard && row.subcarrierSpacingHz === carrier.subcarrierSpacingHz,
  );
  return distinct([...rows.map((row) => row.channelBandwidthHz), carrier.channelBandwidthHz], 'Hz');
}

function spacingChoices(carrier: Extract<CarrierSettings, { kind: 'ofdm' }>): Choices {
  const rows = numerologies.filter((row) => row.standard === carrier.standard);
  return distinct([...rows.map((row) => row.subcarrierSpacingHz), carrier.subcarrierSpacingHz], 'Hz');
}

const OFDM_START: CarrierSettings = {
  kind: 'ofdm',
  offsetHz: 0,
  standard: 'nr',
  channelBandwidthHz: 10e6,
  subcarrierSpacingHz: 15e3,
  modulation: '64QAM',
  relativePowerDb: 0,
  crestShareRatio: 1,
  payload: 'random',
  notch: null,
};
const NOISE_START: CarrierSettings = {
  kind: 'noise',
  offsetHz: 0,
  occupiedBandwidthHz: 9e6,
  channelBandwidthHz: 10e6,
  relativePowerDb: 0,
  crestShareRatio: 1,
  notch: null,
};

function changeKind(event: Event, carriers: readonly CarrierSettings[], index: number): void {
  const kind = (event.target as HTMLSelectElement).value;
  const start = kind === 'noise' ? NOISE_START : OFDM_START;
  const { offsetHz, relativePowerDb } = carriers[index] ?? start;
  tellEdit(event.target as HTMLElement, `waveform.carriers.${index}`, { ...start, offsetHz, relativePowerDb }, false);
}

function bandwidthOf(carrier: CarrierSettings): number {
  if (carrier.kind === 'ofdm' || typeof carrier.channelBandwidthHz === 'number')
    return Number(carrier.channelBandwidthHz);
  return carrier.kind === 'noise' ? carrier.occupiedBandwidthHz : 10e6;
}

function addCarrier(event: Event, carriers: readonly CarrierSettings[]): void {
  const last = carriers.at(-1) ?? OFDM_START;
  const next = { ...last, offsetHz: last.offsetHz + bandwidthOf(last) };
  tellEdit(event.target as HTMLElement, 'waveform.carriers', [...carriers, next], false);
}

function removeCarrier(event: Event, carriers: readonly CarrierSettings[], index: number): void {
  const rest = carriers.filter((_, i) => i !== index);
  tellEdit(event.target as HTMLElement, 'waveform.carriers', rest, false);
}

function carrierRow(context: SettingsContext, carrier: CarrierSettings, index: number) {
  const { carriers } = context.draft.waveform;
  const path = `waveform.carriers.${index}`;
  return html`<div class="row" role="group" aria-label="Carrier ${index + 1}">
    <h3>Carrier ${index + 1}</h3>
    <button
      class="plain remove"
      aria-label="Remove carrier ${index + 1}"
      ?disabled=${carriers.length === 1}
      @click=${(event: Event) => removeCarrier(event, carriers, index)}
    >
      remove
    </button>
    <div class="pair">
      <label for="kind-${index}">Kind</label>
      <select id="kind-${index}" @change=${(event: Event) => changeKind(event, carriers, index)}>
        <option value="ofdm" ?selected=${carrier.kind === 'ofdm'}>OFDM</option>
        <option value="noise" ?selected=${carrier.kind === 'noise'}>flat noise</option>
      </select>
    </div>
    ${
      carrier.kind === 'ofdm'
        ? html`${fieldOf(context, `${path}.standard`, {
            choices: [
              ['lte', 'LTE'],
              ['nr', 'NR'],
            ],
          })}
          ${fieldOf(context, `${path}.channelBandwidthHz`, { choices: bandwidthChoices(carrier) })}
          ${fieldOf(context, `${path}.subcarrierSpacingHz`, { choices: spacingChoices(carrier) })}
          ${fieldOf(context, `${path}.modulation`)}`
        : html`${fieldOf(context, `${path}.occupiedBandwidthHz`)} ${fieldOf(context, `${path}.channelBandwidthHz`)}`
    }
    ${fieldOf(context, `${path}.offsetHz`, { caption: 'Offset' })} ${fieldOf(context, `${path}.relativePowerDb`)}
  </div>`;
}

const EDGES = {
  channelFilter: { kind: 'channelFilter', tapCount: 'auto', cutoffHz: 'auto', kaiserBeta: 9 },
  symbolOverlap: { kind: 'symbolOverlap', overlapS: 1e-6 },
  none: { kind: 'none' },
} as const;

function edgeSettings(context: SettingsContext) {
  const edge = context.draft.waveform.spectralEdge;
  const path = 'waveform.spectralEdge';
  return html`<div class="pair">
      <label for="edge">Spectral edge</label>
      <select
        id="edge"
        @change=${(event: Event) => {
          const kind = (event.target as HTMLSelectElement).value as keyof typeof EDGES;
          tellEdit(event.target as HTMLElement, path, EDGES[kind], false);
        }}
      >
        <option value="channelFilter" ?selected=${edge.kind === 'channelFilter'}>channel filter</option>
        <option value="symbolOverlap" ?selected=${edge.kind === 'symbolOverlap'}>symbol overlap</option>
        <option value="none" ?selected=${edge.kind === 'none'}>none</option>
      </select>
    </div>
    ${
      edge.kind === 'channelFilter'
        ? html`${fieldOf(context, `${path}.tapCount`)} ${fieldOf(context, `${path}.cutoffHz`)}
          ${fieldOf(context, `${path}.kaiserBeta`)}`
        : edge.kind === 'symbolOverlap'
          ? fieldOf(context, `${path}.overlapS`)
          : nothing
    }`;
}

export function dataSettings(context: SettingsContext) {
  const { waveform } = context.draft;
  const hasOfdm = waveform.carriers.some(({ kind }) => kind === 'ofdm');
  const rate = context.resolved?.waveform.sampleRateHz;
  const shownRate = typeof rate === 'number' ? toShown(rate, { unit: 'MHz', factor: 1e6 }) : null;
  return html`
    ${waveform.carriers.map((carrier, index) => carrierRow(context, carrier, index))}
    <button class="wide" @click=${(event: Event) => addCarrier(event, waveform.carriers)}>Add a carrier</button>
    <h3>Record</h3>
    ${fieldOf(context, hasOfdm ? 'waveform.symbolCount' : 'waveform.sampleCount', {
      caption: hasOfdm ? 'Symbols' : 'Samples',
    })}
    ${fieldOf(context, 'waveform.sampleRateHz')}
    ${waveform.sampleRateHz === 'auto' && shownRate !== null ? html`<p class="condition">auto gives ${shownRate} MHz</p>` : nothing}
    ${edgeSettings(context)}
    <h3>Seeds</h3>
    ${fieldOf(context, 'seeds.judging', { caption: 'Judging' })}
    ${fieldOf(context, 'seeds.training', { caption: 'Training' })}
    ${fieldOf(context, 'seeds.selection', { caption: 'Selection' })}
    <button class="wide" @click=${(event: Event) => tellAction(event.target as HTMLElement, 'swap-records')}>
      Swap training and judging records
    </button>
  `;
}
