// Settings of the predistorter: its structure and what it costs, its learning, its number formats, and what the
// transmitter behind it adds.
import { html, nothing } from 'lit';
import { PREDISTORTER_KINDS, startPredistorter } from '../../../../shared/schema/predistorterStarts.ts';
import type { PredistorterSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { switchLine } from './choiceLine.ts';
import type { SettingsContext } from './context.ts';
import { learningSettings } from './learningSettings.ts';
import { numberSettings } from './numberSettings.ts';
import { storedSettings } from './storedSettings.ts';
import { costText, structureSettings } from './structureSettings.ts';
import { transmitterSettings } from './transmitterSettings.ts';

const PATH = 'predistorter';

/** Of the last result: while a newer one is on its way, the structure may be another. */
function costLine({ report }: SettingsContext) {
  const cost = report?.predistorter?.cost;
  return cost === undefined ? nothing : html`<p class="condition figure cost">${costText(cost)}</p>`;
}

/** A file that was brought in may hold no predistorter: its faults are listed, and there is nothing to set. */
function partsOf(context: SettingsContext, predistorter: PredistorterSettings) {
  const isWhole = PREDISTORTER_KINDS.includes(predistorter.kind) && typeof predistorter.learning === 'object';
  if (!isWhole) return html`<p class="issue">✕ This is no predistorter. Undo brings the last one back.</p>`;
  return html`${structureSettings(context, predistorter)} ${costLine(context)} ${learningSettings(context, predistorter)}
    ${numberSettings(context, predistorter)} ${storedSettings(context, predistorter)}`;
}

export function predistorterSettings(context: SettingsContext) {
  const { predistorter } = context.draft;
  return html`
    ${switchLine('Correct with a predistorter', predistorter !== null, (isOn, element) =>
      tellEdit(element, PATH, isOn ? startPredistorter('memoryPolynomial') : null, false),
    )}
    ${predistorter === null ? nothing : partsOf(context, predistorter)}
    ${transmitterSettings(context)}
  `;
}
