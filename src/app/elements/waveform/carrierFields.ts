// The fields of one carrier: those that every user sets, and further ones on demand. Which there are depends on its kind;
// what each means is the schema's.
import { html, nothing, type TemplateResult } from 'lit';
import { formatEngineering } from '../../../../shared/format/numbers.ts';
import type { CarrierSettings, OfdmCarrierSettings } from '../../../../shared/schema/scenario.ts';
import type { CarrierKind } from '../../../../shared/schema/starts.ts';
import { startNotch } from '../../../../shared/schema/starts.ts';
import { numerologies } from '../../../../shared/tables/numerologies.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from '../settings/context.ts';
import { channelWidthHz } from './carrierPlaces.ts';
import { recordChooser } from './recordChooser.ts';

export const KIND_TEXTS: Readonly<Record<CarrierKind, string>> = {
  ofdm: 'OFDM',
  singleCarrier: 'single carrier',
  multitone: 'tones',
  twoTone: 'two tones',
  noise: 'noise',
  record: 'record',
};

type Choices = readonly (readonly [value: number, text: string])[];

function distinct(values: readonly number[]): Choices {
  return [...new Set(values)].sort((a, b) => a - b).map((value) => [value, formatEngineering(value, 'Hz')] as const);
}

/** Bandwidths of the standard at this spacing; a value that is in no table stays in the list, so that it is seen. */
function bandwidthChoices(carrier: OfdmCarrierSettings): Choices {
  const rows = numerologies.filter(
    (row) => row.standard === carrier.standard && row.subcarrierSpacingHz === carrier.subcarrierSpacingHz,
  );
  return distinct([...rows.map((row) => row.channelBandwidthHz), carrier.channelBandwidthHz]);
}

function spacingChoices(carrier: OfdmCarrierSettings): Choices {
  const rows = numerologies.filter((row) => row.standard === carrier.standard);
  return distinct([...rows.map((row) => row.subcarrierSpacingHz), carrier.subcarrierSpacingHz]);
}

const STANDARDS = [
  ['lte', 'LTE'],
  ['nr', 'NR'],
] as const;
const PHASE_LAWS = [
  ['newman', 'Newman'],
  ['schroeder', 'Schroeder'],
  ['random', 'random'],
  ['inPhase', 'in phase'],
] as const;
const PAYLOADS = [
  ['random', 'random'],
  ['pn23', 'PN23'],
] as const;

/** What makes the carrier what it is. */
export function mainFields(context: SettingsContext, carrier: CarrierSettings, path: string): TemplateResult {
  switch (carrier.kind) {
    case 'ofdm':
      return html`${fieldOf(context, `${path}.standard`, { choices: STANDARDS })}
        ${fieldOf(context, `${path}.channelBandwidthHz`, { choices: bandwidthChoices(carrier) })}
        ${fieldOf(context, `${path}.subcarrierSpacingHz`, { choices: spacingChoices(carrier) })}
        ${fieldOf(context, `${path}.modulation`)}`;
    case 'singleCarrier':
      return html`${fieldOf(context, `${path}.symbolRateHz`)} ${fieldOf(context, `${path}.modulation`)}
        ${fieldOf(context, `${path}.rollOffRatio`)}`;
    case 'multitone':
      return html`${fieldOf(context, `${path}.toneCount`)} ${fieldOf(context, `${path}.toneSpacingHz`)}
        ${fieldOf(context, `${path}.phaseLaw`, { choices: PHASE_LAWS })}`;
    case 'twoTone':
      return html`${fieldOf(context, `${path}.toneSpacingHz`)} ${fieldOf(context, `${path}.upperOverLowerDb`, { caption: 'Upper over lower' })}`;
    case 'noise':
      return html`${fieldOf(context, `${path}.occupiedBandwidthHz`)}`;
    case 'record':
      return recordChooser(context, carrier, path);
  }
}

function ringFields(context: SettingsContext, modulation: string, path: string) {
  if (!modulation.endsWith('APSK')) return nothing;
  return html`${fieldOf(context, `${path}.ringRatio`)}
    ${modulation === '32APSK' ? fieldOf(context, `${path}.outerRingRatio`) : nothing}`;
}

function notchFields(
  context: SettingsContext,
  carrier: Extract<CarrierSettings, { kind: 'ofdm' | 'noise' }>,
  path: string,
) {
  return html`<label class="switch">
      <input
        type="checkbox"
        .checked=${carrier.notch !== null}
        @change=${(event: Event) => {
          const { checked } = event.target as HTMLInputElement;
          const notch = checked ? startNotch(channelWidthHz(carrier)) : null;
          tellEdit(event.target as HTMLElement, `${path}.notch`, notch, false);
        }}
      />
      Notch
    </label>
    ${
      carrier.notch === null
        ? nothing
        : html`${fieldOf(context, `${path}.notch.offsetHz`)} ${fieldOf(context, `${path}.notch.bandwidthHz`)}`
    }`;
}

/** What most leave as it is. */
export function furtherFields(context: SettingsContext, carrier: CarrierSettings, path: string): TemplateResult {
  const share = fieldOf(context, `${path}.crestShareRatio`, { caption: 'Crest share' });
  const payload = () => fieldOf(context, `${path}.payload`, { choices: PAYLOADS });
  const channel = () => fieldOf(context, `${path}.channelBandwidthHz`, { caption: 'Channel' });
  switch (carrier.kind) {
    case 'ofdm':
      return html`${payload()} ${share} ${notchFields(context, carrier, path)}`;
    case 'singleCarrier':
      return html`${channel()} ${ringFields(context, carrier.modulation, path)} ${payload()} ${share}`;
    case 'noise':
      return html`${channel()} ${share} ${notchFields(context, carrier, path)}`;
    case 'record':
      return html`${fieldOf(context, `${path}.partCount`)} ${fieldOf(context, `${path}.joinRatio`)}
        ${fieldOf(context, `${path}.occupiedBandwidthHz`, { caption: 'Occupied' })} ${channel()} ${share}`;
    default:
      return html`${channel()} ${share}`;
  }
}

/** The further fields in a few words, as a summary of what lies behind it. */
export function furtherWords(carrier: CarrierSettings): string {
  switch (carrier.kind) {
    case 'ofdm':
      return 'payload, crest share, notch';
    case 'singleCarrier':
      return carrier.modulation.endsWith('APSK')
        ? 'channel, rings, payload, crest share'
        : 'channel, payload, crest share';
    case 'noise':
      return 'channel, crest share, notch';
    case 'record':
      return 'parts, join, bandwidths';
    default:
      return 'channel, crest share';
  }
}
