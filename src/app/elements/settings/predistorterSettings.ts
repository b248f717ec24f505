// Settings of the predistorter and its learning.
import { html, nothing } from 'lit';
import { type PolynomialPredistorterSettings, USUAL_LEARNING } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, listOf, type SettingsContext } from './context.ts';

const PATH = 'predistorter';
const START: PolynomialPredistorterSettings = {
  kind: 'memoryPolynomial',
  nonlinearOrders: [1, 3, 5, 7, 9],
  memoryDepth: 3,
  memoryDepthByOrder: null,
  learning: USUAL_LEARNING,
  observation: null,
  numbers: null,
  stored: null,
};
const HIGHEST_ORDER = 15;

function ordersUpTo(highest: number, isOddOnly: boolean): number[] {
  const all = Array.from({ length: highest }, (_, i) => i + 1);
  return isOddOnly ? all.filter((order) => order % 2 === 1) : all;
}

function orderSettings(context: SettingsContext, orders: readonly number[]) {
  const highest = orders.at(-1) ?? 1;
  const isOddOnly = orders.every((order) => order % 2 === 1);
  const set = (event: Event, next: number[], live: boolean) =>
    tellEdit(event.target as HTMLElement, `${PATH}.nonlinearOrders`, next, live);
  const onSlide = (event: Event, live: boolean) => {
    const shown = Number((event.target as HTMLInputElement).value);
    set(event, ordersUpTo(shown, isOddOnly), live);
  };
  return html`
    <div class="pair">
      <label for="highest">Highest order</label>
      <label class="aside">
        <input
          type="checkbox"
          .checked=${isOddOnly}
          @change=${(event: Event) => set(event, ordersUpTo(highest, (event.target as HTMLInputElement).checked), false)}
        />
        odd only
      </label>
      <output class="figure" for="highest">${highest}</output>
    </div>
    <input
      id="highest"
      type="range"
      min="1"
      max=${HIGHEST_ORDER}
      step=${isOddOnly ? 2 : 1}
      .value=${String(highest)}
      @input=${(event: Event) => onSlide(event, true)}
      @change=${(event: Event) => onSlide(event, false)}
    />
    ${listOf(context, `${PATH}.nonlinearOrders`, 'numbers', 'Orders', 'k of x·|x|ᵏ⁻¹, rising, separated by commas')}
  `;
}

const CROSS_TERMS = {
  nonlinearOrders: [3, 5],
  laggingEnvelopeDelays: 1,
  leadingEnvelopeDelays: 1,
  memoryDepth: 'same',
};

/** Cross terms belong to the generalized structure only and go when it goes. */
function structureChoice(predistorter: PolynomialPredistorterSettings) {
  const onChange = (event: Event) => {
    const kind = (event.target as HTMLSelectElement).value;
    const { nonlinearOrders, memoryDepth, learning } = predistorter;
    const plain = { kind, nonlinearOrders, memoryDepth, learning };
    const next = kind === 'generalizedMemoryPolynomial' ? { ...plain, crossTerms: CROSS_TERMS } : plain;
    tellEdit(event.target as HTMLElement, PATH, next, false);
  };
  const kinds = [
    ['memoryPolynomial', 'memory polynomial'],
    ['generalizedMemoryPolynomial', 'generalized memory polynomial'],
  ];
  return html`
    <div class="pair"><label for="structure">Structure</label></div>
    <select id="structure" @change=${onChange}>
      ${kinds.map(([kind, text]) => html`<option value=${kind} ?selected=${kind === predistorter.kind}>${text}</option>`)}
    </select>
  `;
}

function crossTermSettings(context: SettingsContext, predistorter: PolynomialPredistorterSettings) {
  if (predistorter.kind !== 'generalizedMemoryPolynomial') return nothing;
  return html`
    <h3>Cross terms</h3>
    ${listOf(context, `${PATH}.crossTerms.nonlinearOrders`, 'numbers', 'Orders', 'k of x[n−l]·|x[n−l−m]|ᵏ⁻¹, rising, separated by commas')}
    ${fieldOf(context, `${PATH}.crossTerms.laggingEnvelopeDelays`)}
    ${fieldOf(context, `${PATH}.crossTerms.leadingEnvelopeDelays`)}
  `;
}

export function predistorterSettings(context: SettingsContext) {
  const { predistorter } = context.draft;
  const isPolynomial = predistorter !== null && predistorter.kind !== 'envelopeTable';
  const orders = isPolynomial && Array.isArray(predistorter.nonlinearOrders) ? predistorter.nonlinearOrders : [];
  return html`
    <label class="switch">
      <input
        type="checkbox"
        .checked=${predistorter !== null}
        @change=${(event: Event) => {
          const { checked } = event.target as HTMLInputElement;
          tellEdit(event.target as HTMLElement, PATH, checked ? START : null, false);
        }}
      />
      Correct with a predistorter
    </label>
    ${
      predistorter === null || predistorter.kind === 'envelopeTable'
        ? nothing
        : html`${structureChoice(predistorter)} ${orderSettings(context, orders)}
          ${fieldOf(context, `${PATH}.memoryDepth`, { hasSlider: true })} ${crossTermSettings(context, predistorter)}
          <h3>Learning</h3>
          ${fieldOf(context, `${PATH}.learning.passCount`, { hasSlider: true })}
          ${fieldOf(context, `${PATH}.learning.driveCeilingRatio`, { hasSlider: true })}
          ${fieldOf(context, `${PATH}.learning.ridge`)}
          ${fieldOf(context, `${PATH}.learning.trainingSampleCount`)}
          ${fieldOf(context, `${PATH}.learning.solver`, {
            choices: [
              ['cholesky', 'Cholesky'],
              ['qr', 'QR'],
            ],
          })}`
    }
  `;
}
