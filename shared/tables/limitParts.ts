// Parts that the sets of limits share: does the subject fit, EVM by modulation, occupied bandwidth, sources with editions.
import { type Issue, printValue } from '../schema/issue.ts';
import type { LimitSettings } from '../schema/scenario.ts';
import { type EvmTableId, evmLimitPercent, evmTable } from './evmLimits.ts';
import { gapsAmong, type LimitSet, type LimitSubject } from './limitSubject.ts';
import { numerologies } from './numerologies.ts';

/** Limits with what was taken for granted. */
export interface LimitPart {
  readonly limits: readonly LimitSettings[];
  readonly notes: readonly string[];
}

const EDITIONS: readonly (readonly [string, string])[] = [
  ['TS 38.104 ', 'TS 38.104 v19.4.0 '],
  ['TS 38.101-1 ', 'TS 38.101-1 v19.5.0 '],
];

/** A source with the edition it was read in. */
export function withEdition(source: string): string {
  const [from, to] = EDITIONS.find(([start]) => source.startsWith(start)) ?? ['', ''];
  return to + source.slice(from.length);
}

/** All these sets are judged in dBm at the antenna port. */
export function powerIssues({ antennaMeanDbm }: LimitSubject, set: LimitSet): Issue[] {
  if (antennaMeanDbm !== null) return [];
  return [
    {
      path: 'amplifier.saturatedPowerDbm',
      rule: `must be known for the set ${set.id}: its limits are powers at the antenna port`,
      value: 'null',
      remedy: 'give the saturated power',
    },
  ];
}

/** The tables differ with the carrier's frequency. */
export function frequencyIssues({ carrierFrequencyHz }: LimitSubject, set: LimitSet): Issue[] {
  if (carrierFrequencyHz !== null) return [];
  return [
    {
      path: 'carrierFrequencyHz',
      rule: `must be known for the set ${set.id}: its tables differ with the band`,
      value: 'null',
      remedy: 'give the carrier frequency',
    },
  ];
}

/**
 * Carriers that are not of this standard. Noise and records fit when their channel is a row of the standard's table: only
 * its width decides.
 */
export function carrierIssues({ carriers }: LimitSubject, standard: 'lte' | 'nr', set: LimitSet): Issue[] {
  const name = standard.toUpperCase();
  const widths = [...new Set(numerologies.filter((row) => row.standard === standard).map(channelOf))];
  return carriers.flatMap((carrier, i): Issue[] => {
    const path = `waveform.carriers.${i}`;
    if (carrier.standard === standard) return [];
    if (carrier.standard !== null) {
      const rule = `must be an ${name} carrier for the set ${set.id}`;
      const remedy = `choose a set of ${carrier.standard.toUpperCase()}, or another numerology`;
      return [{ path: `${path}.standard`, rule, value: printValue(carrier.standard), remedy }];
    }
    if (carrier.kind !== 'noise' && carrier.kind !== 'record') {
      const rule = `must be an ${name} carrier for the set ${set.id}, or noise or a record of its channel`;
      return [{ path: `${path}.kind`, rule, value: printValue(carrier.kind), remedy: 'choose another set' }];
    }
    if (widths.includes(carrier.channelBandwidthHz)) return [];
    const list = widths.map((hz) => hz / 1e6).join(', ');
    const rule = `must be a channel of ${name} for the set ${set.id}: ${list} MHz`;
    const value = `${carrier.channelBandwidthHz / 1e6} MHz`;
    return [{ path: `${path}.channelBandwidthHz`, rule, value, remedy: 'set it to one of them' }];
  });
}

const channelOf = ({ channelBandwidthHz }: { readonly channelBandwidthHz: number }) => channelBandwidthHz;

/** EVM by modulation. One limit holds for all carriers: the tightest, as the worst carrier is judged. */
export function evmPart(id: EvmTableId, { carriers, carrierFrequencyHz }: LimitSubject): LimitPart | Issue[] {
  const { source, status, limits: rows } = evmTable(id);
  const issues: Issue[] = [];
  const found: { modulation: string; percent: number }[] = [];
  carriers.forEach(({ modulation }, i) => {
    if (modulation === null) return;
    const percent = evmLimitPercent(id, modulation, carrierFrequencyHz ?? 0);
    if (percent !== null) {
      found.push({ modulation, percent });
      return;
    }
    const list = [...new Set(rows.map((row) => row.modulation))].join(', ');
    const rule = `must be a modulation of ${source}: ${list}`;
    const path = `waveform.carriers.${i}.modulation`;
    issues.push({ path, rule, value: printValue(modulation), remedy: 'choose one of them, or another set' });
  });
  if (issues.length > 0) return issues;
  const tightest = found.reduce<(typeof found)[number] | null>(
    (least, one) => (least !== null && least.percent <= one.percent ? least : one),
    null,
  );
  if (tightest === null) return { limits: [], notes: ['No carrier carries known symbols: there is no EVM limit.'] };
  const { modulation, percent } = tightest;
  const others = new Set(found.map((one) => one.modulation)).size > 1;
  return {
    limits: [{ reading: 'evm', requiredPercent: percent, source: `${source}, ${modulation}`, status }],
    notes: others ? [`The EVM limit of ${modulation}, the tightest, holds for every carrier.`] : [],
  };
}

/** 99 % of the power inside the channel; of carriers that touch inside their channels together. */
export function occupiedPart({ carriers }: LimitSubject, source: string, status: LimitSettings['status']): LimitPart {
  if (gapsAmong(carriers).length > 0) {
    return {
      limits: [],
      notes: ['Carriers with a gap between them have no common occupied bandwidth: it is not judged.'],
    };
  }
  const upper = Math.max(...carriers.map((one) => one.offsetHz + one.channelBandwidthHz / 2));
  const lower = Math.min(...carriers.map((one) => one.offsetHz - one.channelBandwidthHz / 2));
  const whole = carriers.reduce((sum, one) => sum + one.channelBandwidthHz, 0);
  // Touching channels stand on whole cycles of the record and may miss each other by a little.
  const requiredHz = carriers.length === 1 ? whole : Math.max(whole, upper - lower);
  return { limits: [{ reading: 'occupiedBandwidth', requiredHz, source, status }], notes: [] };
}
