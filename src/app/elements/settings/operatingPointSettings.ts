// The wanted mean output power, said in one of four ways.
import { html } from 'lit';
import { channelSaturatedPowerDbm } from '../../../../shared/schema/overBand.ts';
import type { OutputReport } from '../../../../shared/schema/report.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import { powerRange, SLIDER_RANGES, type SliderRange } from '../../fields/sliderRanges.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from './context.ts';

type Way = keyof Scenario['operatingPoint'];
type SliderAmplifier = Pick<Scenario['amplifier'], 'saturatedPowerDbm' | 'overBand' | 'outputLossDb'>;
const WAYS: readonly (readonly [Way, string])[] = [
  ['outputBackoffDb', 'output back-off'],
  ['meanPowerDbm', 'mean power in dBm'],
  ['meanPowerW', 'mean power in W'],
  ['antennaMeanDbm', 'antenna power in dBm'],
];

/** The same operating point in another way, as the last result gives it; two decimals are what levelling holds. */
function sameIn(way: Way, output: OutputReport | null): number {
  const reading = output?.[way] ?? { outputBackoffDb: 8, meanPowerDbm: 30, meanPowerW: 1, antennaMeanDbm: 30 }[way];
  return Number(way === 'meanPowerW' ? reading.toPrecision(4) : reading.toFixed(2));
}

/** Range of the slider: up to what the amplifier saturates at, on the side of the loss where the power is meant. */
export function sliderFor(way: Way, { amplifier }: { readonly amplifier: SliderAmplifier }): SliderRange | null {
  if (way === 'outputBackoffDb') return SLIDER_RANGES['outputBackoffDb'] ?? null;
  if (way === 'meanPowerW') return null;
  const saturatedDbm = channelSaturatedPowerDbm(amplifier);
  const lossDb = way === 'antennaMeanDbm' ? amplifier.outputLossDb : 0;
  return powerRange(saturatedDbm === null ? null : saturatedDbm - lossDb);
}

export function operatingPointSettings(context: SettingsContext, output: OutputReport | null) {
  const point = context.draft.operatingPoint;
  const way = WAYS.find(([name]) => point[name] !== undefined)?.[0] ?? 'outputBackoffDb';
  const hasPower = context.draft.amplifier.saturatedPowerDbm !== null;
  return html`
    <h2>Operating point</h2>
    <div class="pair">
      <label for="way">Given as</label>
      <select
        id="way"
        @change=${(event: Event) => {
          const next = (event.target as HTMLSelectElement).value as Way;
          tellEdit(event.target as HTMLElement, 'operatingPoint', { [next]: sameIn(next, output) }, false);
        }}
      >
        ${WAYS.map(
          ([name, text]) =>
            html`<option value=${name} ?selected=${name === way} ?disabled=${!hasPower && name !== 'outputBackoffDb'}>
              ${text}
            </option>`,
        )}
      </select>
    </div>
    ${fieldOf(context, `operatingPoint.${way}`, { slider: sliderFor(way, context.draft) })}
  `;
}
