// The limits a question is judged by, as numbers to change; the line in the picture is the same number.
import { html, nothing } from 'lit';
import { limitNumber } from '../../../../shared/format/limitText.ts';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';

export function limitFields(limits: readonly LimitSettings[]) {
  return limits.map((limit, index) => {
    const number = limitNumber(limit);
    if (number === null) return nothing;
    const path = `limits.${index}.${number.field}`;
    return html`<kp-number
      .label=${number.words}
      .unit=${number.unit}
      .value=${number.value}
      @number-set=${(event: NumberSet) => tellEdit(event.target as HTMLElement, path, event.detail, false)}
    ></kp-number>`;
  });
}
