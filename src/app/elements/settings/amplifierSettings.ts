// Settings of the amplifier: where its model comes from and what belongs to that, its power and gain, its slow states, its
// DC power, and the model as a file.
import { html, LitElement, nothing } from 'lit';
import { formatCount } from '../../../../shared/format/numbers.ts';
import type { AmplifierModelSettings, FilterNonlinearityFilterSettings } from '../../../../shared/schema/scenario.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';
import { amplifierStyles } from '../amplifier/amplifierStyles.ts';
import { literatureRows } from '../amplifier/literatureRows.ts';
import { modelFiles } from '../amplifier/modelFiles.ts';
import { MODEL_PATH, type Origin, originChooser, originOf } from '../amplifier/origins.ts';
import { sheetRows } from '../amplifier/sheetRows.ts';
import { tellAction } from '../events.ts';
import { rowStyles } from '../waveform/rowStyles.ts';
import { fieldOf, listOf, type SettingsContext } from './context.ts';
import { overBandSettings } from './overBandSettings.ts';
import { powerSettings } from './powerSettings.ts';
import { slowStatesSettings } from './slowStatesSettings.ts';
import '../amplifier/pointsEditor.ts';

const SATURATED = { special: { value: null, text: 'not known' } };

/** Bumps of the gain and a step of the phase, which few amplifiers have; one has none of them. */
function shapeNote({ gainBumps, amPmStep }: FilterNonlinearityFilterSettings) {
  const parts = [
    ...(gainBumps.length === 0 ? [] : [`${formatCount(gainBumps.length)} bumps of the gain`]),
    ...(amPmStep === null ? [] : ['a step of the phase']),
  ];
  return parts.length === 0 ? nothing : textNote(`With ${parts.join(' and ')}`);
}

function filterSettings(context: SettingsContext, model: FilterNonlinearityFilterSettings) {
  const sliders = { hasSlider: true };
  return html`
    ${fieldOf(context, `${MODEL_PATH}.kneeSharpness`, sliders)} ${fieldOf(context, `${MODEL_PATH}.amPmDeg`, sliders)}
    ${fieldOf(context, `${MODEL_PATH}.amPmHalfPower`)} ${shapeNote(model)}
    ${fieldOf(context, `${MODEL_PATH}.biasDepthRatio`, sliders)}
    ${fieldOf(context, `${MODEL_PATH}.biasTimeConstantS`)}
    ${listOf(context, `${MODEL_PATH}.inputTaps`, 'complex', 'Input taps', 'such as 1, 0.06-0.04j')}
    ${listOf(context, `${MODEL_PATH}.outputTaps`, 'complex', 'Output taps', 'such as 1, -0.05j, 0.02')}
    ${fieldOf(context, `${MODEL_PATH}.modelRateHz`)}
  `;
}

const PEAK = { special: { value: 'peakOfRange', text: 'largest of its range' } };

/** Longer lists are edited as text. */
const MOST_LISTED = 40;

function coefficientSettings(context: SettingsContext, model: AmplifierModelSettings) {
  const guards = html`${fieldOf(context, `${MODEL_PATH}.driveRange`)}
    ${fieldOf(context, `${MODEL_PATH}.saturatedAmplitude`, PEAK)} ${fieldOf(context, `${MODEL_PATH}.modelRateHz`)}`;
  if (model.kind === 'generalizedMemoryPolynomial') {
    const count = model.terms.reduce((sum, term) => sum + term.coefficients.length, 0);
    return html`${textNote(`${formatCount(model.terms.length)} terms with ${formatCount(count)} coefficients`)} ${guards}`;
  }
  if (model.kind !== 'memoryPolynomial') return nothing;
  const count = model.coefficients.length;
  const hint = 'delay by delay, in each delay order by order';
  return html`
    ${listOf(context, `${MODEL_PATH}.nonlinearOrders`, 'numbers', 'Orders', 'k of x·|x|ᵏ⁻¹, rising')}
    ${fieldOf(context, `${MODEL_PATH}.memoryDepth`)}
    ${
      count <= MOST_LISTED
        ? listOf(context, `${MODEL_PATH}.coefficients`, 'complex', 'Coefficients', hint)
        : textNote(`${formatCount(count)} coefficients`)
    }
    ${guards}
  `;
}

function textNote(what: string) {
  return html`<p class="condition">
    ${what},
    <button class="plain" @click=${(event: Event) => tellAction(event.target as HTMLElement, 'open-text')}>
      edited as text
    </button>
  </p>`;
}

/** Points have powers of their own: told where the amplifier's differ. */
function scaleDoubt({ report }: SettingsContext): string {
  return report?.warnings.find(({ code }) => code === 'points-scale-differs')?.message ?? '';
}

export class AmplifierSettingsView extends LitElement {
  static override properties = { context: { attribute: false } };
  declare context: SettingsContext | null;
  /** The last model of each origin, to come back to after a look at another. */
  readonly #last = new Map<Origin, AmplifierModelSettings>();

  constructor() {
    super();
    this.context = null;
  }

  protected override willUpdate(): void {
    const model = this.context?.draft.amplifier.model;
    if (model !== undefined && this.context?.issues.length === 0) this.#last.set(originOf(model), model);
  }

  #model(context: SettingsContext, model: AmplifierModelSettings) {
    switch (model.kind) {
      case 'dataSheet':
        return sheetRows(context, model);
      case 'filterNonlinearityFilter':
        return filterSettings(context, model);
      case 'memoryPolynomial':
      case 'generalizedMemoryPolynomial':
        return coefficientSettings(context, model);
      case 'envelopePoints':
        return html`<kp-points-editor
          .amplifier=${context.draft.amplifier}
          .issues=${context.issues}
          .doubt=${scaleDoubt(context)}
        ></kp-points-editor>`;
      default:
        return literatureRows(context, model);
    }
  }

  protected override render() {
    const { context } = this;
    if (context === null) return nothing;
    const { model } = context.draft.amplifier;
    const origin = originOf(model);
    const curve = context.report?.traces.amplifierCurve ?? null;
    const powers = html`${fieldOf(context, 'amplifier.saturatedPowerDbm', SATURATED)}
      ${fieldOf(context, 'amplifier.gainDb')}`;
    return html`
      ${originChooser(origin, this.#last, curve)} ${origin === 'sheet' ? nothing : powers} ${this.#model(context, model)}
      ${modelFiles(context.draft)} ${slowStatesSettings(context)} ${overBandSettings(context)}
      ${powerSettings(context)}
    `;
  }

  static override styles = [baseStyles, controlStyles, rowStyles, amplifierStyles];
}

customElements.define('kp-amplifier-settings', AmplifierSettingsView);

declare global {
  interface HTMLElementTagNameMap {
    'kp-amplifier-settings': AmplifierSettingsView;
  }
}

export function amplifierSettings(context: SettingsContext) {
  return html`<kp-amplifier-settings .context=${context}></kp-amplifier-settings>`;
}
