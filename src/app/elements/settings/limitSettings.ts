// The limits: choosing a set, and each limit by itself.
import { html, nothing } from 'lit';
import { maskReferenceText } from '../../../../shared/format/maskText.ts';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import { STATUS_TEXTS, titleOf } from '../../format/verdicts.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext, textOf } from './context.ts';
import { LIMIT_KINDS, startLimit } from './limitStarts.ts';
import './limitSetChooser.ts';
import './maskPieces.ts';

const NONE = { special: { value: null, text: 'none' } };
const CHANNELS = [
  ['adjacent', 'adjacent'],
  ['alternate', 'alternate'],
  ['utraFirst', 'first 5 MHz'],
  ['utraSecond', 'second 5 MHz'],
  ['gap', 'gap'],
  ['all', 'all'],
] as const;
const STATES = [
  ['read', 'read'],
  ['read+recalled', 'partly recalled'],
  ['recalled', 'recalled'],
  ['own', 'own'],
] as const;

function setLimits(event: Event, limits: readonly LimitSettings[]): void {
  tellEdit(event.target as HTMLElement, 'limits', limits, false);
}

type MaskSettings = Extract<LimitSettings, { reading: 'mask' }>;

function maskFields(context: SettingsContext, limit: MaskSettings, path: string) {
  return html`${textOf(context, `${path}.name`, 'Name')}
    ${fieldOf(context, `${path}.unit`, {
      choices: [
        ['dBm', 'dBm'],
        ['dBr', 'dB re mean'],
        ['dBrRated', 'dB re rated'],
      ],
    })}
    ${limit.unit === 'dBrRated' ? fieldOf(context, `${path}.ratedPowerDbm`, { special: { value: null, text: 'mean' } }) : nothing}
    ${fieldOf(context, `${path}.measuredFrom`, {
      choices: [
        ['channelEdge', 'channel edge'],
        ['carrierCentre', 'carrier centre'],
      ],
    })}
    <details>
      <summary>${limit.pieces.length === 1 ? '1 piece' : `${limit.pieces.length} pieces`}</summary>
      <p class="condition">Distances: ${maskReferenceText(limit)}.</p>
      <kp-mask-pieces .path=${`${path}.pieces`} .unit=${limit.unit} .pieces=${limit.pieces}></kp-mask-pieces>
    </details>`;
}

function slotField(context: SettingsContext, path: string) {
  const names = context.draft.measurement.slots.map(({ name }) => [name, name] as const);
  if (names.length === 0) return html`<p class="condition">Add a slot under Measurement first.</p>`;
  return fieldOf(context, `${path}.name`, { caption: 'Slot', choices: names });
}

function limitFields(context: SettingsContext, limit: LimitSettings, path: string) {
  switch (limit.reading) {
    case 'aclr':
      return html`${fieldOf(context, `${path}.requiredDb`, { caption: 'Required' })}
        ${fieldOf(context, `${path}.absoluteDbmPerMHz`, NONE)}
        ${fieldOf(context, `${path}.channel`, { choices: CHANNELS })}`;
    case 'evm':
      return fieldOf(context, `${path}.requiredPercent`, { caption: 'Allowed' });
    case 'mask':
      return maskFields(context, limit, path);
    case 'occupiedBandwidth':
      return fieldOf(context, `${path}.requiredHz`, { caption: 'Allowed' });
    case 'notch':
      return fieldOf(context, `${path}.requiredDb`, { caption: 'Required' });
    case 'slot':
      return html`${slotField(context, path)} ${fieldOf(context, `${path}.requiredDb`, { caption: 'Required' })}`;
    case 'intermodulation':
      return html`${fieldOf(context, `${path}.order`, {
        choices: [
          [3, 'third'],
          [5, 'fifth'],
        ],
      })}
      ${fieldOf(context, `${path}.requiredDb`, { caption: 'Required' })}`;
  }
}

function limitRow(context: SettingsContext, limit: LimitSettings, index: number) {
  const { limits } = context.draft;
  const path = `limits.${index}`;
  const title = titleOf(limit);
  return html`<div class="row" role="group" aria-label="${title}, limit ${index + 1}">
    <h3>${title}</h3>
    <button
      class="plain remove"
      aria-label="Remove limit ${index + 1}, ${title}"
      @click=${(event: Event) =>
        setLimits(
          event,
          limits.filter((_, i) => i !== index),
        )}
    >
      remove
    </button>
    ${limitFields(context, limit, path)}
    <details>
      <summary>Source: ${STATUS_TEXTS[limit.status].split(';')[0]}</summary>
      ${textOf(context, `${path}.source`, 'Source')} ${fieldOf(context, `${path}.status`, { choices: STATES })}
    </details>
    <p class="condition">${limit.source}</p>
  </div>`;
}

function onAdd(event: Event, { draft, placed }: SettingsContext): void {
  const button = event.target as HTMLElement;
  const select = button.parentElement?.querySelector('select');
  const kind = select?.value as LimitSettings['reading'] | undefined;
  if (kind === undefined) return;
  const widest = placed === null ? null : Math.max(...placed.map(({ channelBandwidthHz }) => channelBandwidthHz));
  setLimits(event, [...draft.limits, startLimit(kind, draft, widest)]);
}

export function limitSettings(context: SettingsContext) {
  const { draft, placed } = context;
  return html`<h3>Limits</h3>
    ${fieldOf(context, 'carrierFrequencyHz', { special: { value: null, text: 'open' } })}
    <kp-limit-set-chooser .scenario=${draft} .placed=${placed}></kp-limit-set-chooser>
    ${draft.limits.map((limit, index) => limitRow(context, limit, index))}
    <div class="buttons">
      <label class="unseen" for="limit-kind">Kind of a limit to add</label>
      <select id="limit-kind">
        ${LIMIT_KINDS.map(([kind, text]) => html`<option value=${kind}>${text}</option>`)}
      </select>
      <button @click=${(event: Event) => onAdd(event, context)}>Add limit</button>
    </div>`;
}
