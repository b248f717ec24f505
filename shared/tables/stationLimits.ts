// Limits of base stations: TS 38.104 (NR), TS 36.104 (LTE), TS 25.104 (UTRA).
import { type Issue, printValue } from '../schema/issue.ts';
import type { LimitSettings } from '../schema/scenario.ts';
import { aclrLimits, aclrRules } from './aclrRules.ts';
import { emissionMask, maskLimit, obueRangeHz, UTRA_RANGE_HZ } from './emissionMasks.ts';
import {
  carrierIssues,
  evmPart,
  frequencyIssues,
  type LimitPart,
  occupiedPart,
  powerIssues,
  withEdition,
} from './limitParts.ts';
import {
  GAP_TOLERANCE_HZ,
  gapsAmong,
  type LimitMaker,
  type LimitSet,
  type LimitSubject,
  strongestCarrierDbm,
} from './limitSubject.ts';

/** Wide Area of category A, B option 1 and B option 2, Medium Range, Local Area. */
export type MaskClass = 'wa.A' | 'wa.B1' | 'wa.B2' | 'mr' | 'la';

interface StationKind {
  readonly standard: 'nr' | 'lte' | 'utra';
  readonly maskClass: MaskClass;
}

const RULES = { nr: 'ts38104', lte: 'ts36104', utra: 'ts25104' } as const;
const EVM_TABLES = { nr: 'nrStation', lte: 'lteStation', utra: 'utraStation' } as const;
const OCCUPIED: Readonly<Record<StationKind['standard'], { source: string; status: LimitSettings['status'] }>> = {
  nr: { source: 'TS 38.104 v19.4.0 clause 6.6.2', status: 'read' },
  lte: { source: 'TS 36.104 clause 6.6.1', status: 'recalled' },
  utra: { source: 'TS 25.104 clause 6.6.1', status: 'recalled' },
};

/** Band n104; its ACLR is 38 dB and its masks are its own. TS 38.104 v19.4.0 (read); band edges from memory. */
const N104 = { fromHz: 6.425e9, toHz: 7.125e9, aclrDb: 38 };
/** Bands n46, n96 and n102, shared spectrum: their sloped masks were found nowhere. */
const SHARED_SPECTRUM = { fromHz: 5.15e9, toHz: 6.425e9 };
/** End of frequency range 1. */
const FR1_END_HZ = 7.125e9;
/**
 * Downlinks of category B option 2: of NR n1 and n65, n3, n8 and n100, n7, n38, n101; of LTE bands 1 and 65, 3, 8, 32, 33,
 * 34. Band edges from memory.
 */
const OPTION_2_BANDS = {
  nr: {
    names: 'n1, n3, n7, n8, n38, n65, n100, n101',
    ranges: [
      { fromHz: 2.11e9, toHz: 2.2e9 },
      { fromHz: 1.805e9, toHz: 1.88e9 },
      { fromHz: 919.4e6, toHz: 960e6 },
      { fromHz: 2.62e9, toHz: 2.69e9 },
      { fromHz: 2.57e9, toHz: 2.62e9 },
      { fromHz: 1.9e9, toHz: 1.91e9 },
    ],
  },
  lte: {
    names: '1, 3, 8, 32, 33, 34, 65',
    ranges: [
      { fromHz: 2.11e9, toHz: 2.2e9 },
      { fromHz: 1.805e9, toHz: 1.88e9 },
      { fromHz: 925e6, toHz: 960e6 },
      { fromHz: 1.452e9, toHz: 1.496e9 },
      { fromHz: 1.9e9, toHz: 1.92e9 },
      { fromHz: 2.01e9, toHz: 2.025e9 },
    ],
  },
} as const;
/** Bands wider than 200 MHz begin here (n77, n78, n79), so that Δf_OBUE is 40 MHz; from memory. */
const WIDE_BANDS_FROM_HZ = 3.3e9;
/** Below this, bands of NR are bands of LTE or UTRA as well; from memory. */
const SHARED_BANDS_UP_TO_HZ = 2.7e9;
/** TS 38.104 v19.4.0 Table 6.2.1-1 (read); the same in TS 36.104 (from memory). */
const MOST_DBM: Readonly<Partial<Record<MaskClass, number>>> = { mr: 38, la: 24 };
/** Medium Range masks go with rated power above this. */
const RATED_MASK_FROM_DBM = 31;
const UTRA_LEAST_DBM = 43;
const UTRA_CHIP_RATE_HZ = 3.84e6;

/** A maker for one class of one standard. */
export function stationLimits(kind: StationKind): LimitMaker {
  return (subject, set) => {
    const evm = evmPart(EVM_TABLES[kind.standard], subject);
    const issues = [
      ...(kind.standard === 'utra' ? utraIssues(subject, set) : carrierIssues(subject, kind.standard, set)),
      ...(kind.standard === 'utra' ? [] : frequencyIssues(subject, set)),
      ...powerIssues(subject, set),
      ...bandIssues(kind, subject, set),
      ...classIssues(kind, subject, set),
      ...('limits' in evm ? [] : evm),
    ];
    if (issues.length > 0 || !('limits' in evm)) return issues;
    const { source, status } = OCCUPIED[kind.standard];
    const parts = [aclrPart(kind, subject, set), evm, maskPart(kind, subject), occupiedPart(subject, source, status)];
    return {
      limits: parts.flatMap((part) => part.limits),
      channels: RULES[kind.standard],
      notes: parts.flatMap((part) => part.notes),
    };
  };
}

const isIn = (hz: number, { fromHz, toHz }: { readonly fromHz: number; readonly toHz: number }) =>
  hz >= fromHz && hz < toHz;

function utraIssues({ carriers }: LimitSubject, set: LimitSet): Issue[] {
  return carriers.flatMap(({ kind, symbolRateHz, occupiedBandwidthHz }, i): Issue[] => {
    const path = `waveform.carriers.${i}`;
    if (kind === 'ofdm' || kind === 'twoTone' || kind === 'multitone') {
      const rule = `must be a single carrier of 3.84 Msym/s, noise or a record for the set ${set.id}`;
      return [{ path: `${path}.kind`, rule, value: printValue(kind), remedy: 'choose another set' }];
    }
    if (symbolRateHz !== null && Math.abs(symbolRateHz / UTRA_CHIP_RATE_HZ - 1) > 1e-3) {
      const rule = `must be 3.84e6 for the set ${set.id}`;
      return [
        { path: `${path}.symbolRateHz`, rule, value: String(symbolRateHz), remedy: 'set it, or choose another set' },
      ];
    }
    if (occupiedBandwidthHz <= 5e6) return [];
    const rule = `must fit into a channel of 5 MHz for the set ${set.id}`;
    const value = `${occupiedBandwidthHz / 1e6} MHz`;
    return [{ path: `${path}.occupiedBandwidthHz`, rule, value, remedy: 'choose another set' }];
  });
}

/** Bands without a mask in the tables. */
function bandIssues(
  { standard, maskClass }: StationKind,
  { carriers, carrierFrequencyHz }: LimitSubject,
  set: LimitSet,
) {
  if (standard === 'utra' || carrierFrequencyHz === null) return [];
  const fault = (rule: string, remedy: string): Issue => ({
    path: 'carrierFrequencyHz',
    rule: `${rule} for the set ${set.id}`,
    value: `${carrierFrequencyHz / 1e9} GHz`,
    remedy,
  });
  const own = 'choose another set or give limits of your own';
  const issues: Issue[] = [];
  if (carrierFrequencyHz > FR1_END_HZ) issues.push(fault('must lie in frequency range 1, up to 7.125 GHz,', own));
  if (isIn(carrierFrequencyHz, SHARED_SPECTRUM)) {
    issues.push(fault('must lie outside 5.15 to 6.425 GHz, whose masks (n46, n96, n102) are not in the tables,', own));
  }
  if (isIn(carrierFrequencyHz, N104) && (standard === 'lte' || maskClass !== 'wa.B1')) {
    issues.push(fault('must lie outside n104 (6.425 to 7.125 GHz), which has a mask in Wide Area B only,', own));
  }
  const option2 = OPTION_2_BANDS[standard];
  if (maskClass === 'wa.B2' && !option2.ranges.some((range) => isIn(carrierFrequencyHz, range))) {
    issues.push(fault(`must lie in a band of option 2 (${option2.names})`, 'choose option 1'));
  }
  const groups = new Set(carriers.map((carrier) => widthGroup(standard, carrier.channelBandwidthHz)));
  const has = maskWidths(standard, maskClass);
  if (groups.size > 1) {
    const rule = `must be alike for the set ${set.id}: masks differ between 1.4, 3 and 5 MHz and more`;
    const value = carriers.map((carrier) => `${carrier.channelBandwidthHz / 1e6} MHz`).join(', ');
    issues.push({ path: 'waveform.carriers', rule, value, remedy: 'judge them one by one' });
  } else if (![...groups].every((group) => has.includes(group))) {
    const rule = `must have a mask in the set ${set.id}: its tables hold ${has.join(' and ')}`;
    const value = `${(carriers[0]?.channelBandwidthHz ?? 0) / 1e6} MHz`;
    issues.push({ path: 'waveform.carriers.0.channelBandwidthHz', rule, value, remedy: own });
  }
  return issues;
}

type WidthGroup = '1.4MHz' | '3MHz' | '5-20MHz' | 'wider than 3 MHz';

function widthGroup(standard: 'nr' | 'lte', channelBandwidthHz: number): WidthGroup {
  if (channelBandwidthHz < 2e6) return '1.4MHz';
  if (channelBandwidthHz < 4e6) return '3MHz';
  return standard === 'lte' ? '5-20MHz' : 'wider than 3 MHz';
}

function maskWidths(standard: 'nr' | 'lte', maskClass: MaskClass): WidthGroup[] {
  if (standard === 'nr') return maskClass === 'wa.B1' ? ['wider than 3 MHz'] : ['3MHz', 'wider than 3 MHz'];
  return maskClass === 'wa.B2' ? ['5-20MHz'] : ['1.4MHz', '3MHz', '5-20MHz'];
}

/** Power outside the class. */
function classIssues({ standard, maskClass }: StationKind, subject: LimitSubject, set: LimitSet): Issue[] {
  const carrierDbm = strongestCarrierDbm(subject);
  if (carrierDbm === null) return [];
  const value = `${carrierDbm.toFixed(2)} dBm a carrier at the antenna port`;
  const most = MOST_DBM[maskClass];
  if (most !== undefined && carrierDbm > most + 1e-9) {
    const rule = `must ask for at most ${most} dBm a carrier for the set ${set.id}`;
    return [{ path: 'operatingPoint', rule, value, remedy: 'lower the power or choose Wide Area' }];
  }
  if (standard !== 'utra' || carrierDbm >= UTRA_LEAST_DBM) return [];
  const rule = `must ask for at least ${UTRA_LEAST_DBM} dBm a carrier for the set ${set.id}: masks of lower powers are not in the tables`;
  return [{ path: 'operatingPoint', rule, value, remedy: 'raise the power or give limits of your own' }];
}

function aclrPart({ standard }: StationKind, subject: LimitSubject, set: LimitSet): LimitPart {
  const rule = RULES[standard];
  const frequencyHz = subject.carrierFrequencyHz ?? 0;
  const isN104 = standard === 'nr' && isIn(frequencyHz, N104);
  const withNeighbours = standard !== 'nr' || frequencyHz < SHARED_BANDS_UP_TO_HZ;
  const all = aclrLimits(rule, standard === 'utra' ? null : set.className);
  const limits = all
    .filter(({ channel }) => withNeighbours || !channel.startsWith('utra'))
    .filter(({ channel }) => channel !== 'gap' || hasGapSlot(standard, subject))
    .map((limit) => ({
      ...limit,
      requiredDb: isN104 && !channelIsUtra(limit.channel) ? N104.aclrDb : limit.requiredDb,
      source: withEdition(limit.source),
    }));
  const notes =
    standard === 'nr'
      ? [
          withNeighbours
            ? 'The 5 MHz channels beside the carrier are judged, as in bands that are bands of LTE or UTRA as well.'
            : 'The 5 MHz channels beside the carrier are not judged: above 2.7 GHz the band is taken for one of NR alone.',
        ]
      : [];
  return { limits, notes };
}

const channelIsUtra = (channel: string) => channel.startsWith('utra');

/** True when a gap is wide enough for a slot of the rule. */
function hasGapSlot(standard: StationKind['standard'], { carriers }: LimitSubject): boolean {
  const slots = aclrRules[RULES[standard]].gap?.slots ?? [];
  return gapsAmong(carriers).some(({ widthHz, beside }) =>
    beside.some(({ channelBandwidthHz }) => {
      const carrier = channelBandwidthHz < 22.5e6 ? 'upTo20MHz' : 'from25MHz';
      return slots.some((slot) => slot.carrier === carrier && widthHz >= slot.fromHz - GAP_TOLERANCE_HZ);
    }),
  );
}

function maskPart(kind: StationKind, subject: LimitSubject): LimitPart {
  const { standard } = kind;
  const frequencyHz = subject.carrierFrequencyHz ?? 0;
  const ratedPowerDbm = strongestCarrierDbm(subject);
  if (standard === 'utra') {
    const rangeHz = subject.maskRangeHz ?? UTRA_RANGE_HZ;
    return { limits: [maskLimit(emissionMask('utra.bs.ge43'), { name: 'UTRA', rangeHz })], notes: [] };
  }
  const width = widthGroup(standard, subject.carriers[0]?.channelBandwidthHz ?? 0);
  const mask = emissionMask(maskId({ ...kind, standard }, width, frequencyHz, ratedPowerDbm ?? 0));
  const isWideBand = standard === 'nr' && frequencyHz >= WIDE_BANDS_FROM_HZ;
  const rangeHz = subject.maskRangeHz ?? obueRangeHz(isWideBand ? 500e6 : 100e6);
  const name = `${MASK_NAMES[kind.maskClass]}, operating band`;
  const note = `The mask ends ${rangeHz / 1e6} MHz from the channel’s edge, as for a carrier at the edge of its band; inside the band it goes on.`;
  return {
    limits: [maskLimit(mask, { name, rangeHz, ratedPowerDbm })],
    notes: subject.maskRangeHz === undefined ? [note] : [],
  };
}

const MASK_NAMES: Readonly<Record<MaskClass, string>> = {
  'wa.A': 'Wide Area A',
  'wa.B1': 'Wide Area B',
  'wa.B2': 'Wide Area B, option 2',
  mr: 'Medium Range',
  la: 'Local Area',
};

function maskId(
  { standard, maskClass }: { readonly standard: 'nr' | 'lte'; readonly maskClass: MaskClass },
  width: WidthGroup,
  frequencyHz: number,
  ratedPowerDbm: number,
): string {
  if (standard === 'nr' && isIn(frequencyHz, N104)) return 'nr.wa.B1.n104.1C';
  const byPower = maskClass === 'mr' ? `mr.${ratedPowerDbm > RATED_MASK_FROM_DBM ? '31to38' : 'le31'}` : maskClass;
  const isBanded = maskClass === 'wa.A' || maskClass === 'wa.B1';
  const band = isBanded ? `.${frequencyHz < 1e9 ? 'lt1g' : 'gt1g'}` : '';
  if (standard === 'lte') return `lte.${byPower}${band}.${width}`;
  if (width !== '3MHz') return `nr.${byPower}${band}`;
  return `nr.${byPower}.3MHz${band}`;
}
