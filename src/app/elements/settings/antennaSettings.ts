// Settings of the antenna port: loss, limits, how the spectrum and the EVM are read.
import { html, nothing } from 'lit';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const ACLR_START: LimitSettings = {
  reading: 'aclr',
  channel: 'adjacent',
  requiredDb: 45,
  absoluteDbmPerMHz: null,
  source: 'own limit',
  status: 'own',
};
const EVM_START: LimitSettings = { reading: 'evm', requiredPercent: 5, source: 'own limit', status: 'own' };

function setLimits(event: Event, limits: readonly LimitSettings[]): void {
  tellEdit(event.target as HTMLElement, 'limits', limits, false);
}

function limitRow(context: SettingsContext, limit: LimitSettings, index: number) {
  const { limits } = context.draft;
  const path = `limits.${index}`;
  const title = limit.reading === 'aclr' ? 'ACLR limit' : 'EVM limit';
  return html`<div class="row" role="group" aria-label="${title}, number ${index + 1}">
    <h3>${title}</h3>
    <button
      class="plain remove"
      aria-label="Remove limit ${index + 1}"
      @click=${(event: Event) =>
        setLimits(
          event,
          limits.filter((_, i) => i !== index),
        )}
    >
      remove
    </button>
    ${
      limit.reading === 'aclr'
        ? html`${fieldOf(context, `${path}.requiredDb`, { caption: 'Required' })} ${fieldOf(context, `${path}.channel`)}`
        : fieldOf(context, `${path}.requiredPercent`, { caption: 'Allowed' })
    }
    <p class="condition">${limit.source}</p>
  </div>`;
}

const EQUALIZERS = [
  ['none', 'none'],
  ['oneGain', 'one gain'],
  ['perSubcarrier', 'per subcarrier'],
] as const;
const WINDOWS = [
  ['blackmanHarris', 'Blackman–Harris'],
  ['hann', 'Hann'],
  ['rectangular', 'rectangular'],
  ['flatTop', 'flat top'],
] as const;

function estimatorSettings(context: SettingsContext) {
  const path = 'measurement.spectrum';
  const isSegmented = context.draft.measurement.spectrum.method === 'segments';
  return html`
    ${fieldOf(context, `${path}.method`, {
      choices: [
        ['segments', 'segments'],
        ['wholeRecord', 'whole record'],
      ],
    })}
    ${
      isSegmented
        ? html`${fieldOf(context, `${path}.window`, { choices: WINDOWS })} ${fieldOf(context, `${path}.segmentLength`)}
          ${fieldOf(context, `${path}.overlapRatio`)}`
        : nothing
    }
  `;
}

function channelSettings(context: SettingsContext) {
  const { channels } = context.draft.measurement;
  if (typeof channels === 'string') return html`<p class="condition">Channels: adjacent and alternate, both sides.</p>`;
  return channels.map(
    (_, index) => html`<div class="row" role="group" aria-label="Channel ${index + 1}">
      <h3>Channel ${index + 1}</h3>
      ${fieldOf(context, `measurement.channels.${index}.offsetHz`, { caption: 'Offset' })}
      ${fieldOf(context, `measurement.channels.${index}.bandwidthHz`, { caption: 'Bandwidth' })}
    </div>`,
  );
}

export function antennaSettings(context: SettingsContext) {
  const { limits } = context.draft;
  return html`
    ${fieldOf(context, 'amplifier.outputLossDb', { hasSlider: true })}
    <h3>Limits</h3>
    ${limits.map((limit, index) => limitRow(context, limit, index))}
    <div class="buttons">
      <button @click=${(event: Event) => setLimits(event, [...limits, ACLR_START])}>Add ACLR limit</button>
      <button @click=${(event: Event) => setLimits(event, [...limits, EVM_START])}>Add EVM limit</button>
    </div>
    <h3>Measurement</h3>
    ${estimatorSettings(context)}
    ${fieldOf(context, 'measurement.evm.equalizer', { caption: 'EVM equalizer', choices: EQUALIZERS })}
    ${fieldOf(context, 'measurement.evm.reference', {
      caption: 'EVM reference',
      choices: [
        ['data', 'data'],
        ['shaped', 'shaped'],
      ],
    })}
    ${channelSettings(context)}
  `;
}
