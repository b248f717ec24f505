// Limits as the page lists them: one row per limit and output, the worse side speaking for both.
import type { FloorName, Report, Verdict } from '../../../shared/schema/report.ts';

export interface LimitGroup {
  readonly title: string;
  readonly required: number;
  readonly unit: Verdict['unit'];
  readonly source: string;
  /** Corrected first, then uncorrected; the worse side of each. */
  readonly rows: readonly Verdict[];
}

function keyOf({ limit, channel, required, source }: Verdict): string {
  return `${limit}|${channel}|${required}|${source}`;
}

/** Groups a report's verdicts by limit. */
export function limitGroups({ verdicts }: Report): LimitGroup[] {
  const groups = new Map<string, Verdict[]>();
  for (const verdict of verdicts) groups.set(keyOf(verdict), [...(groups.get(keyOf(verdict)) ?? []), verdict]);
  return [...groups.values()].map((members) => {
    const [first] = members as [Verdict, ...Verdict[]];
    const rows = (['corrected', 'uncorrected'] as const).flatMap((of) => worst(members, of));
    return {
      title: first.limit === 'evm' ? 'EVM' : `ACLR, ${first.channel ?? 'all channels'}`,
      required: first.required,
      unit: first.unit,
      source: first.source,
      rows,
    };
  });
}

function worst(members: readonly Verdict[], of: Verdict['of']): Verdict[] {
  const own = members.filter((verdict) => verdict.of === of);
  const [first, ...rest] = own;
  if (first === undefined) return [];
  return [rest.reduce((least, verdict) => (verdict.marginDb < least.marginDb ? verdict : least), first)];
}

export const FLOOR_NAMES: Readonly<Record<FloorName, string>> = {
  source: 'the source',
  estimator: 'the estimator',
  numbers: 'the numbers',
  transmitterNoise: 'the transmitter’s noise',
  analyser: 'the analyser',
  idealLimiter: 'the ideal limiter',
};

export const STATE_WORDS: Readonly<Record<Verdict['state'], string>> = {
  pass: 'within',
  marginal: 'just within',
  fail: 'over',
};
