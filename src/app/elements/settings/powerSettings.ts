// Settings of DC power and heat: the ideal power model, the way of the heat, the load. "Of the model" stands beside what
// the amplifier model of the last result takes by itself.
import { html, nothing } from 'lit';
import { formatSignificant } from '../../../../shared/format/numbers.ts';
import type { PowerChoice } from '../../../../shared/schema/powerReport.ts';
import type { PowerClass } from '../../../../shared/schema/scenario.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const PATH = 'amplifier.power';
const WORD = 'ofModel';

const CLASS_TEXTS: readonly (readonly [PowerClass, string])[] = [
  ['A', 'class A'],
  ['AB', 'class AB'],
  ['B', 'class B'],
  ['twoDevice', 'two devices'],
];

function classText(name: PowerClass): string {
  return CLASS_TEXTS.find(([one]) => one === name)?.[1] ?? name;
}

const NOT_STATED = { special: { value: null, text: 'not stated' } };

/** "of the model", with the value it stands for once a result tells it. */
function ofModel(shown: string | null) {
  return shown === null ? 'of the model' : `of the model: ${shown}`;
}

export function powerSettings(context: SettingsContext) {
  const { power } = context.draft.amplifier;
  const own: PowerChoice | null = context.amplifier?.power.ofModel ?? null;
  const number = (pick: (choice: PowerChoice) => number) => ({
    special: { value: WORD, text: ofModel(own === null ? null : formatSignificant(pick(own), 2)) },
  });
  const used = power.class === WORD ? own?.class : power.class;
  return html`
    <h3>DC power and heat, ideal</h3>
    ${fieldOf(context, `${PATH}.class`, {
      choices: [[WORD, own === null ? 'of the model' : `${classText(own.class)} (model)`], ...CLASS_TEXTS],
    })}
    ${
      used === 'AB'
        ? fieldOf(
            context,
            `${PATH}.quiescentRatio`,
            number(({ quiescentRatio }) => quiescentRatio),
          )
        : nothing
    }
    ${fieldOf(
      context,
      `${PATH}.efficiencyFactor`,
      number(({ efficiencyFactor }) => efficiencyFactor),
    )}
    ${own === null ? nothing : html`<p class="condition">Of the model: ${own.source}.</p>`}
    ${fieldOf(context, `${PATH}.caseTemperatureC`, NOT_STATED)}
    ${fieldOf(context, `${PATH}.thermalResistanceKPerW`, NOT_STATED)}
    <h3>Load</h3>
    ${fieldOf(context, 'amplifier.loadVswr')}
  `;
}
