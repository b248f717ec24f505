// A limit in few words, the same in every answer, picture and table.
import type { LimitSettings } from '../schema/scenario.ts';

/** Such as "ACLR adjacent ≥ 45 dB" or "EVM ≤ 5 %". */
export function limitName(limit: LimitSettings): string {
  return limit.reading === 'aclr'
    ? `ACLR ${limit.channel} ≥ ${limit.requiredDb} dB`
    : `EVM ≤ ${limit.requiredPercent} %`;
}

/** Name of all limits taken together, where several hold. */
export const ALL_LIMITS = 'all limits';
