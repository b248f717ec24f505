// How the spectrum, the channels, the slots and the EVM are read, and the noise that is not the amplifier's.
import { html, nothing } from 'lit';
import type { ChannelsSettings, SlotSettings } from '../../../../shared/schema/measurement.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, listOf, type SettingsContext, textOf } from './context.ts';

const WINDOWS = [
  ['blackmanHarris', 'Blackman–Harris'],
  ['hann', 'Hann'],
  ['rectangular', 'rectangular'],
  ['flatTop', 'flat top'],
] as const;
const EQUALIZERS = [
  ['none', 'none'],
  ['oneGain', 'one gain'],
  ['perSubcarrier', 'per subcarrier'],
  ['smoothed', 'smoothed (Annex B)'],
] as const;
const FILTERS = [
  ['square', 'square'],
  ['rrc', 'root-raised cosine'],
] as const;
const LEFT_OUT = { special: { value: null, text: 'none' } };

function estimatorSettings(context: SettingsContext) {
  const path = 'measurement.spectrum';
  const { method, resolutionBandwidthHz } = context.draft.measurement.spectrum;
  return html`
    ${fieldOf(context, `${path}.method`, {
      choices: [
        ['segments', 'segments'],
        ['wholeRecord', 'whole record'],
      ],
    })}
    ${
      method === 'segments'
        ? html`${fieldOf(context, `${path}.window`, { choices: WINDOWS })}
          ${fieldOf(context, `${path}.resolutionBandwidthHz`)}
          ${resolutionBandwidthHz === 'auto' ? fieldOf(context, `${path}.segmentLength`) : nothing}
          ${fieldOf(context, `${path}.averageCount`)} ${fieldOf(context, `${path}.overlapRatio`)}`
        : nothing
    }
  `;
}

/** Rules that choose the channels; the list of one's own comes last. */
const RULES = [
  ['auto', 'adjacent and alternate'],
  ['ts38104', 'TS 38.104 (NR station)'],
  ['ts36104', 'TS 36.104 (LTE station)'],
  ['ts25104', 'TS 25.104 (UTRA station)'],
  ['ts38101', 'TS 38.101-1 (NR equipment)'],
  ['ts36101', 'TS 36.101 (LTE equipment)'],
] as const;
const OWN_LIST = 'list';
type ChannelList = Exclude<ChannelsSettings, string>;

function setChannels(event: Event, channels: ChannelsSettings): void {
  tellEdit(event.target as HTMLElement, 'measurement.channels', channels, false);
}

/** Beside the outer carrier, as wide as its occupied band. */
function startChannel({ placed }: SettingsContext): ChannelList[number] {
  const [first] = placed ?? [];
  return {
    offsetHz: first?.channelBandwidthHz ?? 20e6,
    bandwidthHz: first?.occupiedBandwidthHz ?? 18e6,
    filter: 'square',
  };
}

function channelRow(context: SettingsContext, channels: ChannelList, index: number) {
  const path = `measurement.channels.${index}`;
  return html`<div class="row" role="group" aria-label="Channel ${index + 1}">
    <h3>Channel ${index + 1}</h3>
    <button
      class="plain remove"
      aria-label="Remove channel ${index + 1}"
      ?disabled=${channels.length === 1}
      @click=${(event: Event) =>
        setChannels(
          event,
          channels.filter((_, i) => i !== index),
        )}
    >
      remove
    </button>
    ${fieldOf(context, `${path}.offsetHz`, { caption: 'Offset' })}
    ${fieldOf(context, `${path}.bandwidthHz`, { caption: 'Bandwidth' })}
    ${fieldOf(context, `${path}.filter`, { caption: 'Filter', choices: FILTERS })}
  </div>`;
}

function channelSettings(context: SettingsContext) {
  const { channels } = context.draft.measurement;
  const rule = typeof channels === 'string' ? channels : OWN_LIST;
  return html`<div class="stack">
      <label for="channels">Channels by</label>
      <select
        id="channels"
        @change=${(event: Event) => {
          const value = (event.target as HTMLSelectElement).value;
          setChannels(event, value === OWN_LIST ? [startChannel(context)] : (value as ChannelsSettings));
        }}
      >
        ${RULES.map(([value, text]) => html`<option value=${value} ?selected=${value === rule}>${text}</option>`)}
        <option value=${OWN_LIST} ?selected=${rule === OWN_LIST}>own list</option>
      </select>
    </div>
    ${
      typeof channels === 'string'
        ? nothing
        : html`${channels.map((_, index) => channelRow(context, channels, index))}
            <div class="buttons">
              <button @click=${(event: Event) => setChannels(event, [...channels, startChannel(context)])}>
                Add channel
              </button>
            </div>`
    }`;
}

function setSlots(event: Event, slots: readonly SlotSettings[]): void {
  tellEdit(event.target as HTMLElement, 'measurement.slots', slots, false);
}

function slotRow(context: SettingsContext, index: number) {
  const { slots } = context.draft.measurement;
  const path = `measurement.slots.${index}`;
  return html`<div class="row" role="group" aria-label="Slot ${index + 1}">
    <h3>Slot ${index + 1}</h3>
    <button
      class="plain remove"
      aria-label="Remove slot ${index + 1}"
      @click=${(event: Event) =>
        setSlots(
          event,
          slots.filter((_, i) => i !== index),
        )}
    >
      remove
    </button>
    ${textOf(context, `${path}.name`, 'Name')} ${fieldOf(context, `${path}.centreHz`, { caption: 'Centre' })}
    ${fieldOf(context, `${path}.bandwidthHz`, { caption: 'Bandwidth' })}
    ${listOf(context, `${path}.referenceCarriers`, 'numbers', 'Against carriers', 'such as 0, 3, counted from 0; empty takes all')}
  </div>`;
}

const SLOT_START: SlotSettings = { name: 'slot', centreHz: 0, bandwidthHz: 1e6, referenceCarriers: [] };

function freeSlotName(slots: readonly SlotSettings[]): string {
  for (let number = 1; ; number++) {
    const name = number === 1 ? 'slot' : `slot ${number}`;
    if (slots.every((slot) => slot.name !== name)) return name;
  }
}

function evmSettings(context: SettingsContext) {
  return html`
    ${fieldOf(context, 'measurement.evm.equalizer', { choices: EQUALIZERS })}
    ${fieldOf(context, 'measurement.evm.windowPosition', {
      choices: [
        ['centre', 'middle of the prefix'],
        ['standard', 'standard, both ends'],
      ],
    })}
    ${fieldOf(context, 'measurement.evm.reference', {
      choices: [
        ['data', 'data'],
        ['shaped', 'shaped'],
      ],
    })}
  `;
}

export function measurementSettings(context: SettingsContext) {
  const { slots } = context.draft.measurement;
  const slot = { ...SLOT_START, name: freeSlotName(slots) };
  return html`<h3>Spectrum</h3>
    ${estimatorSettings(context)}
    <h3>Channels and slots</h3>
    ${channelSettings(context)} ${slots.map((_, index) => slotRow(context, index))}
    <div class="buttons">
      <button @click=${(event: Event) => setSlots(event, [...slots, slot])}>Add slot</button>
    </div>
    <h3>EVM</h3>
    ${evmSettings(context)}
    <h3>Noise beside the amplifier’s</h3>
    ${fieldOf(context, 'measurement.noise.transmitterNoiseDbmPerHz', { ...LEFT_OUT, caption: 'Transmitter' })}
    ${fieldOf(context, 'measurement.noise.analyserFloorDb', { ...LEFT_OUT, caption: 'Analyser' })}`;
}
