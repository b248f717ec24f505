// The limits a question is judged by, as numbers to change; the line in the picture is the same number.
import { html } from 'lit';
import type { LimitSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import type { NumberSet } from './numberField.ts';
import './numberField.ts';

export function limitFields(limits: readonly LimitSettings[]) {
  return limits.map((limit, index) => {
    const isAclr = limit.reading === 'aclr';
    const path = isAclr ? `limits.${index}.requiredDb` : `limits.${index}.requiredPercent`;
    return html`<kp-number
      .label=${isAclr ? `ACLR ${limit.channel} at least` : 'EVM at most'}
      .unit=${isAclr ? 'dB' : '%'}
      .value=${isAclr ? limit.requiredDb : limit.requiredPercent}
      @number-set=${(event: NumberSet) => tellEdit(event.target as HTMLElement, path, event.detail, false)}
    ></kp-number>`;
  });
}
