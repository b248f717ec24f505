// Settings of the amplifier: its model, its power and gain.
import { html, nothing } from 'lit';
import { formatCount, formatEngineering } from '../../../../shared/format/numbers.ts';
import type { AmplifierModelSettings } from '../../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../../shared/tables/publishedAmplifierIds.ts';
import { tellAction, tellEdit } from '../events.ts';
import { fieldOf, listOf, type SettingsContext } from './context.ts';

const PATH = 'amplifier.model';
const SATURATED = { special: { value: null, text: 'not known' } };

/** The soft amplifier with bias memory that the first preset uses, as a start for edits; memoryless taps. */
const FILTER_START: AmplifierModelSettings = {
  kind: 'filterNonlinearityFilter',
  modelRateHz: 'any',
  inputTaps: [{ re: 1, im: 0 }],
  biasDepthRatio: 0.05,
  biasTimeConstantS: 80e-9,
  kneeSharpness: 1.2,
  amPmDeg: 8,
  amPmHalfPower: 0.3,
  gainBumps: [],
  amPmStep: null,
  outputTaps: [{ re: 1, im: 0 }],
};

type Kind = AmplifierModelSettings['kind'];

/** Curves of the literature, each with the parameters of its own paper where it gave some. */
const LITERATURE_STARTS: readonly (readonly [Kind, string, Readonly<Record<string, unknown>>])[] = [
  ['saleh', 'Saleh', {}],
  ['rapp', 'Rapp', { kneeSharpness: 2 }],
  ['modifiedRapp', 'modified Rapp', { kneeSharpness: 2, alphaPhaseDeg: -20 }],
  ['ghorbani', 'Ghorbani', {}],
];

/** Fields of each curve, as the schema names them. */
const CURVE_FIELDS: Readonly<Partial<Record<Kind, readonly string[]>>> = {
  saleh: ['alphaAmplitude', 'betaAmplitude', 'alphaPhaseRad', 'betaPhase'],
  rapp: ['kneeSharpness', 'gainRatio', 'saturatedAmplitude'],
  modifiedRapp: [
    'kneeSharpness',
    'gainRatio',
    'saturatedAmplitude',
    'alphaPhaseDeg',
    'betaPhase',
    'phaseOrder',
    'phaseSaturationOrder',
  ],
  ghorbani: ['x1', 'x2', 'x3', 'x4', 'y1', 'y2', 'y3', 'y4'],
};

const NOT_STATED = { special: { value: null, text: 'not stated' } };

/** The page of a data sheet; gain and saturated power stand above it. */
function sheetSettings(context: SettingsContext, model: Extract<AmplifierModelSettings, { kind: 'dataSheet' }>) {
  const field = (name: string) => fieldOf(context, `${PATH}.${name}`);
  const stated = (name: string) => fieldOf(context, `${PATH}.${name}`, NOT_STATED);
  return html`
    ${field('saturationCompressionDb')} ${stated('outputAtOneDbCompressionDbm')}
    ${stated('outputAtThreeDbCompressionDbm')} ${stated('outputInterceptDbm')} ${field('amPmDeg')}
    ${field('amPmBackoffDb')} ${field('class')} ${model.class === 'gainExpansion' ? field('expansionDb') : nothing}
    ${model.class === 'twoDevice' ? field('dipDb') : nothing} ${field('memorySpanS')} ${field('memoryBelowSignalDb')}
    ${field('gainRippleDb')} ${field('rippleBandHz')}
  `;
}

function modelName(id: string): string {
  return id.replaceAll('_', ' ');
}

function onModel(event: Event, current: AmplifierModelSettings, loaded: AmplifierModelSettings | null): void {
  const choice = (event.target as HTMLSelectElement).value;
  if (choice === current.kind) return;
  const own = loaded?.kind === 'filterNonlinearityFilter' ? loaded : FILTER_START;
  const curve = LITERATURE_STARTS.find(([kind]) => kind === choice);
  const sheet = choice === 'dataSheet' ? { kind: 'dataSheet' } : null;
  const other = sheet ?? (curve === undefined ? own : { kind: curve[0], ...curve[2] });
  const model = choice.startsWith('published:') ? { kind: 'published', id: choice.slice('published:'.length) } : other;
  tellEdit(event.target as HTMLElement, PATH, model, false);
}

function modelChoice(model: AmplifierModelSettings, loaded: AmplifierModelSettings | null) {
  const isPolynomial = model.kind === 'memoryPolynomial' || model.kind === 'generalizedMemoryPolynomial';
  return html`<div class="stack">
    <label for="model">Model</label>
    <select id="model" @change=${(event: Event) => onModel(event, model, loaded)}>
      <option value="filterNonlinearityFilter" ?selected=${model.kind === 'filterNonlinearityFilter'}>
        filter–nonlinearity–filter
      </option>
      ${isPolynomial ? html`<option value=${model.kind} selected>polynomial of this scenario</option>` : nothing}
      ${model.kind === 'envelopePoints' ? html`<option value=${model.kind} selected>measured points</option>` : nothing}
      <option value="dataSheet" ?selected=${model.kind === 'dataSheet'}>data sheet</option>
      <optgroup label="Curves of the literature">
        ${LITERATURE_STARTS.map(
          ([kind, name]) => html`<option value=${kind} ?selected=${model.kind === kind}>${name}</option>`,
        )}
      </optgroup>
      <optgroup label="Published">
        ${publishedAmplifierIds.map(
          (id) =>
            html`<option value="published:${id}" ?selected=${model.kind === 'published' && model.id === id}>
              ${modelName(id)}
            </option>`,
        )}
      </optgroup>
    </select>
  </div>`;
}

function filterSettings(context: SettingsContext) {
  const sliders = { hasSlider: true };
  return html`
    ${fieldOf(context, `${PATH}.kneeSharpness`, sliders)} ${fieldOf(context, `${PATH}.amPmDeg`, sliders)}
    ${fieldOf(context, `${PATH}.amPmHalfPower`)} ${fieldOf(context, `${PATH}.biasDepthRatio`, sliders)}
    ${fieldOf(context, `${PATH}.biasTimeConstantS`)}
    ${listOf(context, `${PATH}.inputTaps`, 'complex', 'Input taps', 'such as 1, 0.06-0.04j')}
    ${listOf(context, `${PATH}.outputTaps`, 'complex', 'Output taps', 'such as 1, -0.05j, 0.02')}
    ${fieldOf(context, `${PATH}.modelRateHz`)}
  `;
}

/** What the last result says of its amplifier: where the model comes from and at which rate it holds. */
function publishedNote({ amplifier, resolved }: SettingsContext, id: string) {
  const shown = resolved?.amplifier.model;
  if (amplifier === null || shown?.kind !== 'published' || shown.id !== id) return nothing;
  const { label, source, modelRateHz } = amplifier;
  return html`<p class="condition">
    ${label}. ${modelRateHz === null ? 'Holds at any rate.' : `Taps at ${formatEngineering(modelRateHz, 'Hz', 5)}.`}
    ${source === null ? nothing : `Source: ${source}.`}
  </p>`;
}

function modelSettings(context: SettingsContext, model: AmplifierModelSettings) {
  switch (model.kind) {
    case 'filterNonlinearityFilter':
      return filterSettings(context);
    case 'dataSheet':
      return sheetSettings(context, model);
    case 'published':
      return publishedNote(context, model.id);
    case 'memoryPolynomial':
      return html`${fieldOf(context, `${PATH}.driveRange`)} ${fieldOf(context, `${PATH}.saturatedAmplitude`)}
        ${coefficientNote(model.coefficients.length)}`;
    case 'generalizedMemoryPolynomial':
      return html`${fieldOf(context, `${PATH}.driveRange`)} ${fieldOf(context, `${PATH}.saturatedAmplitude`)}
        ${coefficientNote(model.terms.reduce((count, term) => count + term.coefficients.length, 0))}`;
    case 'envelopePoints':
      return textNote(`${formatCount(model.points.length)} points`);
    default:
      return html`${CURVE_FIELDS[model.kind]?.map((field) => fieldOf(context, `${PATH}.${field}`))}`;
  }
}

const SLOW_PATH = 'amplifier.slowStates';
const SLOW_FIELDS = [
  'heatDepthRatio',
  'heatTimeConstantS',
  'trapDepthRatio',
  'trapAttackS',
  'trapReleaseS',
  'phasePerGainDeg',
];

/** Heat and traps: none, or their fields. */
function slowSettings(context: SettingsContext) {
  const has = context.draft.amplifier.slowStates !== null;
  const onChange = (event: Event) => {
    const box = event.target as HTMLInputElement;
    tellEdit(box, SLOW_PATH, box.checked ? { heatDepthRatio: 0.1, trapDepthRatio: 0.05 } : null, false);
  };
  return html`<label class="inline">
      <input type="checkbox" .checked=${has} @change=${onChange} /> heat and traps, slow
    </label>
    ${has ? SLOW_FIELDS.map((field) => fieldOf(context, `${SLOW_PATH}.${field}`)) : nothing}`;
}

function coefficientNote(count: number) {
  return textNote(`${formatCount(count)} coefficients`);
}

function textNote(what: string) {
  return html`<p class="condition">
    ${what},
    <button class="plain" @click=${(event: Event) => tellAction(event.target as HTMLElement, 'open-text')}>
      edited as text
    </button>
  </p>`;
}

export function amplifierSettings(context: SettingsContext, loaded: AmplifierModelSettings | null) {
  const { model } = context.draft.amplifier;
  return html`
    ${fieldOf(context, 'amplifier.saturatedPowerDbm', SATURATED)} ${fieldOf(context, 'amplifier.gainDb')}
    ${modelChoice(model, loaded)} ${modelSettings(context, model)} ${slowSettings(context)}
    <h3>DC power, ideal</h3>
    ${fieldOf(context, 'amplifier.power.class', {
      choices: [
        ['A', 'class A'],
        ['AB', 'class AB'],
        ['B', 'class B'],
        ['twoDevice', 'two devices'],
      ],
    })}
    ${context.draft.amplifier.power.class === 'AB' ? fieldOf(context, 'amplifier.power.quiescentRatio') : nothing}
    ${fieldOf(context, 'amplifier.power.efficiencyFactor')}
  `;
}
