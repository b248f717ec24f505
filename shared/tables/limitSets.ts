// Sets of limits that belong together: the rule of a standard for one class of transmitter. Choosing a set writes plain
// limits and the rule of the measured channels into a scenario; nothing else remembers the set.

import { nearest } from '../schema/editDistance.ts';
import { type Issue, printValue } from '../schema/issue.ts';
import { equipmentLimits } from './equipmentLimits.ts';
import type { LimitMaker, LimitSet, LimitSubject, SetLimits } from './limitSubject.ts';
import { pointToPointLimits } from './pointToPointLimits.ts';
import { type MaskClass, stationLimits } from './stationLimits.ts';

export type LimitSetOutcome =
  | ({ readonly kind: 'limits' } & SetLimits)
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

interface MadeSet extends LimitSet {
  readonly make: LimitMaker;
}

const NR_STATION = 'NR carriers in FR1, carrier frequency, power scale';
const LTE_STATION = 'LTE carriers, carrier frequency, power scale';

const nrStation = (id: string, title: string, className: string, maskClass: MaskClass) => ({
  id: `nr-${id}`,
  title: `NR base station, ${title}`,
  standard: 'TS 38.104',
  className,
  needs: NR_STATION,
  make: stationLimits({ standard: 'nr', maskClass }),
});

const lteStation = (id: string, title: string, className: string, maskClass: MaskClass) => ({
  id: `lte-${id}`,
  title: `LTE base station, ${title}`,
  standard: 'TS 36.104',
  className,
  needs: LTE_STATION,
  make: stationLimits({ standard: 'lte', maskClass }),
});

const equipment = (standard: 'nr' | 'lte', powerClass: string): MadeSet => ({
  id: `${standard}-ue-${powerClass.toLowerCase()}`,
  title: `${standard === 'nr' ? 'NR' : 'LTE'} user equipment, power class ${powerClass.slice(2)}`,
  standard: standard === 'nr' ? 'TS 38.101-1' : 'TS 36.101',
  className: powerClass,
  needs: `one ${standard === 'nr' ? 'NR' : 'LTE'} carrier, power scale`,
  make: equipmentLimits({ standard, powerClass }),
});

const MADE_SETS: readonly MadeSet[] = [
  nrStation('wide-area-a', 'Wide Area, category A', 'Wide Area, Category A', 'wa.A'),
  nrStation('wide-area-b', 'Wide Area, category B, option 1', 'Wide Area, Category B', 'wa.B1'),
  nrStation('wide-area-b2', 'Wide Area, category B, option 2', 'Wide Area, Category B', 'wa.B2'),
  nrStation('medium-range', 'Medium Range', 'Medium Range', 'mr'),
  nrStation('local-area', 'Local Area', 'Local Area', 'la'),
  lteStation('wide-area-a', 'Wide Area, category A', 'Wide Area, Category A', 'wa.A'),
  lteStation('wide-area-b', 'Wide Area, category B, option 1', 'Wide Area, Category B', 'wa.B1'),
  lteStation('wide-area-b2', 'Wide Area, category B, option 2', 'Wide Area, Category B', 'wa.B2'),
  lteStation('medium-range', 'Medium Range', 'Medium Range', 'mr'),
  lteStation('local-area', 'Local Area', 'Local Area', 'la'),
  {
    id: 'utra-wide-area',
    title: 'UTRA base station, 43 dBm and more',
    standard: 'TS 25.104',
    className: 'Wide Area, P ≥ 43 dBm',
    needs: 'carriers of 3.84 Mcps in 5 MHz, power scale',
    make: stationLimits({ standard: 'utra', maskClass: 'wa.A' }),
  },
  equipment('nr', 'PC1'),
  equipment('nr', 'PC1.5'),
  equipment('nr', 'PC2'),
  equipment('nr', 'PC3'),
  equipment('lte', 'PC1'),
  equipment('lte', 'PC3'),
  {
    id: 'us-point-to-point',
    title: 'Fixed microwave link in the US, digital',
    standard: '47 CFR 101.111',
    className: 'digital modulation',
    needs: 'one carrier, carrier frequency, power scale',
    make: pointToPointLimits,
  },
];

/** All sets, in the order they are listed. */
export const limitSets: readonly LimitSet[] = MADE_SETS;
export const limitSetIds: readonly string[] = MADE_SETS.map(({ id }) => id);

/** The limits of a set for carriers, frequency and power; or every reason why they do not fit it. */
export function limitSetFor(id: string, subject: LimitSubject): LimitSetOutcome {
  const set = MADE_SETS.find((one) => one.id === id);
  if (set === undefined) return { kind: 'invalid', issues: [unknownSet(id)] };
  const made = set.make(subject, set);
  return 'limits' in made ? { kind: 'limits', ...made } : { kind: 'invalid', issues: made };
}

function unknownSet(id: string): Issue {
  const near = nearest(id, limitSetIds);
  return {
    path: '',
    rule: 'must be a limit set',
    value: printValue(id),
    remedy: near === null ? `the sets are ${limitSetIds.join(', ')}` : `did you mean ${near}?`,
  };
}
