// A limit in few words, the same in every answer, picture and table.
import type { Verdict } from '../schema/report.ts';
import type { LimitSettings } from '../schema/scenario.ts';
import { formatEngineering, formatQuantity } from './numbers.ts';

/** Such as "ACLR adjacent ≥ 45 dB" or "EVM ≤ 5 %". */
export function limitName(limit: LimitSettings): string {
  switch (limit.reading) {
    case 'aclr': {
      const { absoluteDbmPerMHz } = limit;
      const or = absoluteDbmPerMHz === null ? '' : ` or ≤ ${formatQuantity(absoluteDbmPerMHz, 'dBm/MHz')}`;
      return `ACLR ${limit.channel} ≥ ${limit.requiredDb} dB${or}`;
    }
    case 'evm':
      return `EVM ≤ ${limit.requiredPercent} %`;
    case 'mask':
      return `mask ${limit.name}`;
    case 'occupiedBandwidth':
      return `occupied bandwidth ≤ ${formatEngineering(limit.requiredHz, 'Hz')}`;
    case 'notch':
      return `notch power ratio ≥ ${limit.requiredDb} dB`;
    case 'slot':
      return `slot ${limit.name} ≥ ${limit.requiredDb} dB`;
    case 'intermodulation':
      return `IM${limit.order} ≥ ${limit.requiredDb} dB`;
  }
}

/** What a verdict is on, in the middle of a sentence, without the side: "ACLR adjacent", "mask own mask", "slot gap". */
export function verdictSubject({ limit, name, channel }: Verdict): string {
  switch (limit) {
    case 'aclr':
      return channel === null ? 'ACLR' : `ACLR ${channel}`;
    case 'evm':
      return 'EVM';
    case 'mask':
      return `mask ${name}`;
    case 'occupiedBandwidth':
      return 'occupied bandwidth';
    case 'notch':
      return 'notch power ratio';
    case 'slot':
      return `slot ${name}`;
    case 'intermodulation':
      return 'intermodulation';
  }
}

/** The words before a verdict's requirement: readings in dB must be reached, all others must not be passed. */
export function requirementWords({ unit }: Pick<Verdict, 'unit'>): 'at least' | 'at most' {
  return unit === 'dB' ? 'at least' : 'at most';
}

/** Name of all limits taken together, where several hold. */
export const ALL_LIMITS = 'all limits';

/** The number a limit is told by, where it has one: its field, value, unit and words; a mask has none. */
export function limitNumber(
  limit: LimitSettings,
): { readonly field: string; readonly value: number; readonly unit: string; readonly words: string } | null {
  switch (limit.reading) {
    case 'aclr':
      return { field: 'requiredDb', value: limit.requiredDb, unit: 'dB', words: `ACLR ${limit.channel} at least` };
    case 'evm':
      return { field: 'requiredPercent', value: limit.requiredPercent, unit: '%', words: 'EVM at most' };
    case 'mask':
      return null;
    case 'occupiedBandwidth':
      return { field: 'requiredHz', value: limit.requiredHz, unit: 'Hz', words: 'Occupied bandwidth at most' };
    case 'notch':
      return { field: 'requiredDb', value: limit.requiredDb, unit: 'dB', words: 'Notch power ratio at least' };
    case 'slot':
      return { field: 'requiredDb', value: limit.requiredDb, unit: 'dB', words: `Slot ${limit.name} at least` };
    case 'intermodulation':
      return { field: 'requiredDb', value: limit.requiredDb, unit: 'dB', words: `IM${limit.order} at least` };
  }
}
