// Settings of the predistorter's structure: orders, depths, cross terms, table entries.
import { html, nothing } from 'lit';
import { formatQuantity } from '../../../../shared/format/numbers.ts';
import {
  PREDISTORTER_KINDS,
  type PredistorterKind,
  restructured,
} from '../../../../shared/schema/predistorterStarts.ts';
import type { PolynomialPredistorterSettings, PredistorterSettings } from '../../../../shared/schema/scenario.ts';
import type { StructureCost } from '../../../../shared/schema/studyReport.ts';
import { tellEdit } from '../events.ts';
import { choiceLine, switchLine } from './choiceLine.ts';
import { fieldOf, listOf, type SettingsContext } from './context.ts';

const PATH = 'predistorter';
const HIGHEST_ORDER = 15;
const ENTRIES = { slider: { minimum: 4, maximum: 128, step: 4 } };

const KINDS: Readonly<Record<PredistorterKind, readonly [name: string, meaning: string]>> = {
  memoryPolynomial: ['memory polynomial', 'Powers of the envelope on the signal, one set for each delay.'],
  generalizedMemoryPolynomial: [
    'generalized memory polynomial',
    'A memory polynomial, and signal and envelope at different delays as well.',
  ],
  envelopeTable: ['envelope table', 'A complex gain looked up by the amplitude, one table for each delay.'],
};

export function ordersUpTo(highest: number, isOddOnly: boolean): number[] {
  const all = Array.from({ length: highest }, (_, i) => i + 1);
  return isOddOnly ? all.filter((order) => order % 2 === 1) : all;
}

/** One depth for each order: those there are, the last again for orders that are new. */
export function depthsFor(orders: readonly number[], depths: readonly number[], memoryDepth: number): number[] {
  return orders.map((_, i) => depths[i] ?? depths.at(-1) ?? memoryDepth);
}

/** New orders take their depths with them, where each has its own. */
function tellOrders(target: HTMLElement, settings: PolynomialPredistorterSettings, orders: number[], live: boolean) {
  const depths = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  if (!Array.isArray(depths)) return tellEdit(target, `${PATH}.nonlinearOrders`, orders, live);
  const memoryDepthByOrder = depthsFor(orders, depths, settings.memoryDepth);
  tellEdit(target, PATH, { ...settings, nonlinearOrders: orders, memoryDepthByOrder }, live);
}

function orderSettings(context: SettingsContext, settings: PolynomialPredistorterSettings) {
  // A list that could not be read is held as text.
  const orders = Array.isArray(settings.nonlinearOrders) ? settings.nonlinearOrders : [];
  const highest = orders.at(-1) ?? 1;
  const isOddOnly = orders.every((order) => order % 2 === 1);
  const onSlide = ({ target }: Event, live: boolean) => {
    const slider = target as HTMLInputElement;
    tellOrders(slider, settings, ordersUpTo(Number(slider.value), isOddOnly), live);
  };
  return html`
    <div class="pair">
      <label for="highest">Highest order</label>
      <label class="aside">
        <input
          type="checkbox"
          .checked=${isOddOnly}
          @change=${({ target }: Event) => {
            const box = target as HTMLInputElement;
            tellOrders(box, settings, ordersUpTo(highest, box.checked), false);
          }}
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

/** One depth for all orders, or one for each. */
function depthSettings(context: SettingsContext, settings: PredistorterSettings) {
  const depths = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  const one = html`${fieldOf(context, `${PATH}.memoryDepth`, { hasSlider: true })}
    ${settings.memoryDepth === 1 ? html`<p class="condition">Depth 1: memoryless, for an amplifier without echoes.</p>` : nothing}`;
  if (settings.kind !== 'memoryPolynomial') return one;
  const { nonlinearOrders, memoryDepth } = settings;
  const orders = Array.isArray(nonlinearOrders) ? nonlinearOrders : [];
  return html`
    ${depths === null || depths === undefined ? one : listOf(context, `${PATH}.memoryDepthByOrder`, 'numbers', 'Memory depths', `one for each order: ${orders.join(', ')}`)}
    ${switchLine('A depth for each order', Array.isArray(depths) || typeof depths === 'string', (isOn, element) =>
      tellEdit(element, `${PATH}.memoryDepthByOrder`, isOn ? depthsFor(orders, [], memoryDepth) : null, false),
    )}
  `;
}

function crossTermSettings(context: SettingsContext) {
  const cross = `${PATH}.crossTerms`;
  return html`
    <h3>Cross terms</h3>
    ${listOf(context, `${cross}.nonlinearOrders`, 'numbers', 'Orders', 'k of x[n−l]·|x[n−l−m]|ᵏ⁻¹, rising, separated by commas')}
    ${fieldOf(context, `${cross}.laggingEnvelopeDelays`)} ${fieldOf(context, `${cross}.leadingEnvelopeDelays`)}
    ${fieldOf(context, `${cross}.memoryDepth`, { special: { value: 'same', text: 'as above' }, start: context.draft.predistorter?.memoryDepth ?? 1 })}
  `;
}

function tableSettings(context: SettingsContext) {
  return html`${fieldOf(context, `${PATH}.entryCount`, ENTRIES)}
    ${fieldOf(context, `${PATH}.interpolation`, {
      choices: [
        ['linear', 'straight line'],
        ['nearest', 'nearest entry'],
      ],
    })}`;
}

export function structureSettings(context: SettingsContext, settings: PredistorterSettings) {
  return html`
    ${choiceLine({
      id: 'structure',
      label: 'Structure',
      choices: PREDISTORTER_KINDS.map((kind) => [kind, KINDS[kind][0]]),
      chosen: settings.kind,
      onChoice: (kind, element) => tellEdit(element, PATH, restructured(settings, kind as PredistorterKind), false),
      meaning: KINDS[settings.kind][1],
    })}
    ${settings.kind === 'envelopeTable' ? tableSettings(context) : orderSettings(context, settings)}
    ${depthSettings(context, settings)}
    ${settings.kind === 'generalizedMemoryPolynomial' ? crossTermSettings(context) : nothing}
  `;
}

/** One line of what a structure costs. */
export function costText(cost: StructureCost): string {
  const { coefficientCount, realMultipliesPerSample, tableCount, bytesPerSet } = cost;
  const tables = tableCount === 1 ? '1 table' : `${tableCount} tables`;
  return `Costs ${coefficientCount} coefficients, ${realMultipliesPerSample} real multiplies a sample in ${tables}, ${formatQuantity(bytesPerSet, 'bytes', 0)} a set.`;
}
