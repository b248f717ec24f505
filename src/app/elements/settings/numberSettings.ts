// Settings of the number formats the predistorter computes in.
import { html, nothing } from 'lit';
import { startNumbers } from '../../../../shared/schema/predistorterStarts.ts';
import type { PredistorterSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { switchLine } from './choiceLine.ts';
import { fieldOf, type SettingsContext } from './context.ts';

const PATH = 'predistorter.numbers';
const INTERPOLATIONS = [
  ['linear', 'straight line'],
  ['nearest', 'nearest entry'],
] as const;
const ROUNDINGS = [
  ['nearest', 'to nearest'],
  ['truncate', 'truncated'],
] as const;

/** A table of its own stands for a polynomial's gain; a table needs none. */
function gainTable(context: SettingsContext, { kind, numbers }: PredistorterSettings) {
  if (kind === 'envelopeTable' && numbers?.tableEntryCount === 'none') return nothing;
  return html`${fieldOf(context, `${PATH}.tableEntryCount`, { start: 32 })}
    ${
      numbers?.tableEntryCount === 'none'
        ? nothing
        : fieldOf(context, `${PATH}.tableInterpolation`, { choices: INTERPOLATIONS })
    }`;
}

export function numberSettings(context: SettingsContext, predistorter: PredistorterSettings) {
  const { numbers } = predistorter;
  return html`
    <h3>Number formats</h3>
    ${switchLine('Compute in short words', numbers !== null, (isOn, element) =>
      tellEdit(element, PATH, isOn ? startNumbers() : null, false),
    )}
    ${
      numbers === null
        ? nothing
        : html`${fieldOf(context, `${PATH}.coefficientBitCount`, { start: 12 })}
          ${fieldOf(context, `${PATH}.dataBitCount`, { start: 12 })} ${gainTable(context, predistorter)}
          ${fieldOf(context, `${PATH}.rounding`, { choices: ROUNDINGS })}`
    }
  `;
}
