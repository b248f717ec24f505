// Settings of the predistorter: its structure and what it costs, its learning, its number formats, and what the
// transmitter behind it adds.
import { html, nothing } from 'lit';
import { startPredistorter } from '../../../../shared/schema/predistorterStarts.ts';
import { tellEdit } from '../events.ts';
import { switchLine } from './choiceLine.ts';
import type { SettingsContext } from './context.ts';
import { learningSettings } from './learningSettings.ts';
import { numberSettings } from './numberSettings.ts';
import { costText, structureSettings } from './structureSettings.ts';
import { transmitterSettings } from './transmitterSettings.ts';

const PATH = 'predistorter';

/** Of the last result: while a newer one is on its way, the structure may be another. */
function costLine({ report }: SettingsContext) {
  const cost = report?.predistorter?.cost;
  return cost === undefined ? nothing : html`<p class="condition figure cost">${costText(cost)}</p>`;
}

export function predistorterSettings(context: SettingsContext) {
  const { predistorter } = context.draft;
  return html`
    ${switchLine('Correct with a predistorter', predistorter !== null, (isOn, element) =>
      tellEdit(element, PATH, isOn ? startPredistorter('memoryPolynomial') : null, false),
    )}
    ${
      predistorter === null
        ? nothing
        : html`${structureSettings(context, predistorter)} ${costLine(context)} ${learningSettings(context, predistorter)}
          ${numberSettings(context, predistorter)}`
    }
    ${transmitterSettings(context)}
  `;
}
