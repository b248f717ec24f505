// Limits of user equipment: TS 38.101-1 (NR, frequency range 1) and TS 36.101 (LTE).
import type { Issue } from '../schema/issue.ts';
import { aclrLimits } from './aclrRules.ts';
import { equipmentMaskLimit, equipmentMasks } from './emissionMasks.ts';
import { carrierIssues, evmPart, type LimitPart, occupiedPart, powerIssues, withEdition } from './limitParts.ts';
import type { LimitMaker, LimitSet, LimitSubject } from './limitSubject.ts';
import { numerologies } from './numerologies.ts';

interface EquipmentKind {
  readonly standard: 'nr' | 'lte';
  readonly powerClass: string;
}

/** Largest power of each class; from memory (TS 38.101-1 Table 6.2.1-1, TS 36.101 Table 6.2.2-1). */
const CLASS_DBM: Readonly<Record<string, number>> = { PC1: 31, 'PC1.5': 29, PC2: 26, PC3: 23 };
/** Tolerance above it; from memory. */
const CLASS_TOLERANCE_DB = 2;
/** The ratios hold only while the neighbour has more than this in its filter. TS 38.101-1 v19.5.0 6.5.2.4 (read). */
const LEAST_NEIGHBOUR_DBM = -50;
const UTRA_FILTER_HZ = 3.84e6;

/** A maker for one power class of one standard. */
export function equipmentLimits(kind: EquipmentKind): LimitMaker {
  return (subject, set) => {
    const isNr = kind.standard === 'nr';
    const evm = evmPart(isNr ? 'nrEquipment' : 'lteEquipment', subject);
    const issues = [
      ...oneCarrierIssues(subject, set),
      ...carrierIssues(subject, kind.standard, set),
      ...powerIssues(subject, set),
      ...classIssues(kind, subject, set),
      ...('limits' in evm ? [] : evm),
    ];
    if (issues.length > 0 || !('limits' in evm)) return issues;
    const occupied = isNr
      ? occupiedPart(subject, 'TS 38.101-1 clause 6.5.1', 'recalled')
      : occupiedPart(subject, 'TS 36.101 clause 6.6.1', 'recalled');
    const parts = [aclrPart(kind, subject), evm, maskPart(kind, subject), occupied];
    return {
      limits: parts.flatMap((part) => part.limits),
      channels: isNr ? 'ts38101' : 'ts36101',
      notes: parts.flatMap((part) => part.notes),
    };
  };
}

/** Requirements of aggregated carriers are other tables. */
export function oneCarrierIssues({ carriers }: LimitSubject, set: LimitSet): Issue[] {
  if (carriers.length === 1) return [];
  const rule = `must hold one carrier for the set ${set.id}`;
  return [{ path: 'waveform.carriers', rule, value: `${carriers.length} carriers`, remedy: 'keep one of them' }];
}

function classIssues({ powerClass }: EquipmentKind, { antennaMeanDbm }: LimitSubject, set: LimitSet): Issue[] {
  const most = (CLASS_DBM[powerClass] ?? Number.POSITIVE_INFINITY) + CLASS_TOLERANCE_DB;
  if (antennaMeanDbm === null || antennaMeanDbm <= most) return [];
  const rule = `must ask for at most ${most} dBm at the antenna port for the set ${set.id} (class and its tolerance)`;
  const value = `${antennaMeanDbm.toFixed(2)} dBm`;
  return [{ path: 'operatingPoint', rule, value, remedy: 'lower the power or choose a higher power class' }];
}

function aclrPart({ standard, powerClass }: EquipmentKind, { carriers }: LimitSubject): LimitPart {
  const isNr = standard === 'nr';
  const channelHz = carriers[0]?.channelBandwidthHz ?? 0;
  const all = aclrLimits(isNr ? 'ts38101' : 'ts36101', powerClass);
  const limits = all
    .filter(({ channel }) => !isNr || channel === 'adjacent')
    .map((limit) => {
      const filterHz = limit.channel === 'adjacent' ? neighbourFilterHz(standard, channelHz) : UTRA_FILTER_HZ;
      const absoluteDbmPerMHz = LEAST_NEIGHBOUR_DBM - 10 * Math.log10(filterHz / 1e6);
      return { ...limit, absoluteDbmPerMHz, source: withEdition(limit.source) };
    });
  const least = `ACLR holds while the neighbour has more than ${LEAST_NEIGHBOUR_DBM} dBm in its filter: that is the absolute alternative.`;
  const utra = 'The UTRA channels beside the carrier are judged only where the network signals it: they are left out.';
  return { limits, notes: isNr ? [least, utra] : [least] };
}

/** NR: MBW = REF_SCS·(12·N_RB + 1), 15 kHz up to 50 MHz and 30 kHz above (read); LTE: 12·N_RB·15 kHz. */
function neighbourFilterHz(standard: 'nr' | 'lte', channelHz: number): number {
  const spacing = standard === 'lte' || channelHz <= 50e6 ? 15e3 : 30e3;
  const row = numerologies.find(
    (one) => one.standard === standard && one.channelBandwidthHz === channelHz && one.subcarrierSpacingHz === spacing,
  );
  if (row === undefined) return channelHz;
  return spacing * (12 * row.resourceBlockCount + (standard === 'nr' ? 1 : 0));
}

function maskPart({ standard }: EquipmentKind, { carriers }: LimitSubject): LimitPart {
  const mask = equipmentMasks.find(({ id }) => id === `${standard}.ue`);
  const channelHz = carriers[0]?.channelBandwidthHz ?? 0;
  const limit =
    mask === undefined ? null : equipmentMaskLimit(mask, channelHz, `${standard.toUpperCase()} UE, general`);
  return { limits: limit === null ? [] : [limit], notes: [] };
}
