// Settings of the receiver that observes the output while the predistorter learns; the last block of the chain.
import { html, nothing } from 'lit';
import { startObservation, startPredistorter } from '../../../../shared/schema/predistorterStarts.ts';
import { tellEdit } from '../events.ts';
import { switchLine } from './choiceLine.ts';
import { fieldOf, type SettingsContext } from './context.ts';
import { leftOut } from './leftOut.ts';
import { pathEffects } from './pathEffects.ts';

const PATH = 'predistorter.observation';

const START_SNR_DB = 40;
const START_BITS = 10;
const START_IMAGE_DB = -40;
const SNR = { slider: { minimum: 10, maximum: 70, step: 1 } };
const RIPPLE = { slider: { minimum: 0, maximum: 3, step: 0.05 } };
const EDGE = { slider: { minimum: 0, maximum: 1, step: 0.05 } };

/** Half of what is transmitted: a start that a reader sees the effect of. */
function halfRate({ report }: SettingsContext): number {
  return (report?.waveform.sampleRateHz ?? 0) / 2;
}

function bandSettings(context: SettingsContext) {
  const { observation } = context.draft.predistorter ?? {};
  const start = halfRate(context);
  return html`<h3>Bandwidth and rate</h3>
    ${fieldOf(context, `${PATH}.bandwidthHz`, { caption: 'Bandwidth', start })}
    ${observation?.bandwidthHz === 'full' ? nothing : fieldOf(context, `${PATH}.transitionRatio`, EDGE)}
    ${fieldOf(context, `${PATH}.sampleRateHz`, { caption: 'Rate', start })}`;
}

function noiseSettings(context: SettingsContext) {
  const { observation } = context.draft.predistorter ?? {};
  return html`<h3>Noise and converter</h3>
    ${fieldOf(context, `${PATH}.snrDb`, { ...leftOut(START_SNR_DB), ...SNR, caption: 'SNR' })}
    ${fieldOf(context, `${PATH}.converterBitCount`, leftOut(START_BITS))}
    ${observation?.converterBitCount === null ? nothing : fieldOf(context, `${PATH}.converterHeadroomDb`)}
    ${observation?.snrDb === null ? nothing : fieldOf(context, `${PATH}.noiseSeed`)}`;
}

function errorSettings(context: SettingsContext) {
  const { observation } = context.draft.predistorter ?? {};
  return html`<h3>Errors</h3>
    ${fieldOf(context, `${PATH}.delayErrorS`)} ${fieldOf(context, `${PATH}.gainRippleDb`, RIPPLE)}
    ${observation?.gainRippleDb === 0 ? nothing : fieldOf(context, `${PATH}.ripplePeriodHz`)}
    ${fieldOf(context, `${PATH}.imageDb`, leftOut(START_IMAGE_DB))}
    ${fieldOf(context, `${PATH}.carrierLeakDbc`, leftOut(START_IMAGE_DB))}`;
}

export function observationSettings(context: SettingsContext) {
  const { predistorter } = context.draft;
  if (predistorter === null) {
    return html`<p class="condition">Nothing is learned, so nothing is observed.</p>
      <button
        class="wide"
        @click=${({ target }: Event) =>
          tellEdit(target as HTMLElement, 'predistorter', startPredistorter('memoryPolynomial'), false)}
      >
        Correct with a predistorter
      </button>`;
  }
  return html`
    ${switchLine('Observe through a real receiver', predistorter.observation !== null, (isOn, element) =>
      tellEdit(element, PATH, isOn ? startObservation() : null, false),
    )}
    ${
      predistorter.observation === null
        ? html`<p class="condition">The predistorter learns from the output as it is: whole bandwidth, no noise, no error.</p>`
        : html`<p class="condition">What the predistorter learns from. Readings are of the output itself.</p>
          ${bandSettings(context)} ${noiseSettings(context)} ${errorSettings(context)}
          ${pathEffects(context.report?.observation ?? null, 'the output')}`
    }
  `;
}
