// What a new limit of each kind starts from. Figures are usual ones of the trade, to be overwritten; no source.
import type { LimitSettings, Scenario } from '../../../../shared/schema/scenario.ts';

const OWN = { source: 'own limit', status: 'own' } as const;

/** The kinds in the order they are offered. */
export const LIMIT_KINDS: readonly (readonly [kind: LimitSettings['reading'], text: string])[] = [
  ['aclr', 'ACLR'],
  ['evm', 'EVM'],
  ['mask', 'emission mask'],
  ['occupiedBandwidth', 'occupied bandwidth'],
  ['notch', 'notch power ratio'],
  ['slot', 'slot'],
  ['intermodulation', 'intermodulation'],
];

/** A mask of one flat piece from the channel's edge outwards. */
const MASK_START: LimitSettings = {
  reading: 'mask',
  name: 'own mask',
  unit: 'dBm',
  measuredFrom: 'channelEdge',
  ratedPowerDbm: null,
  pieces: [
    {
      fromHz: 50e3,
      toHz: 'end',
      startLevel: -13,
      endLevel: -13,
      measuringBandwidthHz: 100e3,
      atMostDbm: null,
      atLeastDbm: null,
    },
  ],
  ...OWN,
};

/** A new limit of a kind; `occupiedHz`: the band the carriers have now, for a limit on it. */
export function startLimit(
  kind: LimitSettings['reading'],
  { measurement, limits }: Scenario,
  occupiedHz: number | null,
): LimitSettings {
  switch (kind) {
    case 'aclr':
      return { reading: kind, channel: 'adjacent', requiredDb: 45, absoluteDbmPerMHz: null, ...OWN };
    case 'evm':
      return { reading: kind, requiredPercent: 5, ...OWN };
    case 'mask':
      return { ...MASK_START, name: freeName('own mask', limits) } as LimitSettings;
    case 'occupiedBandwidth':
      return { reading: kind, requiredHz: occupiedHz ?? 20e6, ...OWN };
    case 'notch':
      return { reading: kind, requiredDb: 30, ...OWN };
    case 'slot':
      return { reading: kind, name: measurement.slots[0]?.name ?? 'slot', requiredDb: 30, ...OWN };
    case 'intermodulation':
      return { reading: kind, order: 3, requiredDb: 30, ...OWN };
  }
}

/** Masks are known by their names. */
function freeName(name: string, limits: readonly LimitSettings[]): string {
  const taken = limits.flatMap((limit) => (limit.reading === 'mask' ? [limit.name] : []));
  for (let number = 1; ; number++) {
    const tried = number === 1 ? name : `${name} ${number}`;
    if (!taken.includes(tried)) return tried;
  }
}
