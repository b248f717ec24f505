// Settings of what the transmitter adds between the predistorter and the amplifier.
import { html, nothing } from 'lit';
import { tellEdit } from '../events.ts';
import { switchLine } from './choiceLine.ts';
import { fieldOf, type SettingsContext } from './context.ts';
import { leftOut } from './leftOut.ts';
import { pathEffects } from './pathEffects.ts';

const PATH = 'transmitter';

const START_BITS = 12;
const START_NOISE_DBC_PER_HZ = -140;
const START_IMAGE_DB = -40;
const START_PHASE_NOISE_DEG = 0.5;
const START_JITTER_S = 1e-12;

/** Fields of an effect that is left out say nothing. */
export function transmitterSettings(context: SettingsContext) {
  const { transmitter } = context.draft;
  const hasNoise =
    transmitter !== null &&
    [transmitter.noiseDbcPerHz, transmitter.phaseNoiseDeg, transmitter.clockJitterS].some((value) => value !== null);
  const field = (name: string, options = {}) => fieldOf(context, `${PATH}.${name}`, options);
  return html`
    <h3>Transmitter behind it</h3>
    ${switchLine('Drive through a real transmitter', transmitter !== null, (isOn, element) =>
      tellEdit(element, PATH, isOn ? {} : null, false),
    )}
    ${
      transmitter === null
        ? nothing
        : html`<p class="condition">Ahead of the amplifier, with and without correction.</p>
          ${field('bandwidthHz', { caption: 'Bandwidth', start: (context.report?.waveform.sampleRateHz ?? 0) / 2 })}
          ${field('converterBitCount', leftOut(START_BITS))}
          ${transmitter.converterBitCount === null ? nothing : field('converterHeadroomDb')}
          ${field('droop', {
            choices: [
              ['none', 'none'],
              ['zeroOrderHold', 'held samples'],
            ],
          })}
          ${field('noiseDbcPerHz', { ...leftOut(START_NOISE_DBC_PER_HZ), caption: 'Noise' })} ${field('imageDb', leftOut(START_IMAGE_DB))}
          ${field('carrierLeakDbc', leftOut(START_IMAGE_DB))}
          ${field('phaseNoiseDeg', leftOut(START_PHASE_NOISE_DEG))}
          ${transmitter.phaseNoiseDeg === null ? nothing : field('phaseNoiseBandwidthHz')}
          ${field('clockJitterS', leftOut(START_JITTER_S))}
          ${transmitter.clockJitterS === null ? nothing : field('converterCentreHz')} ${hasNoise ? field('noiseSeed') : nothing}
          ${pathEffects(context.report?.transmitter ?? null, 'the drive')}`
    }
  `;
}
