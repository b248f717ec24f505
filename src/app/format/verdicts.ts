// Limits as the page lists them: one group per limit of the scenario, one row per output, with where it is met or missed.
import { requirementWords } from '../../../shared/format/limitText.ts';
import {
  formatEngineering,
  formatFixed,
  formatOffset,
  formatQuantity,
  withUnit,
} from '../../../shared/format/numbers.ts';
import type { FloorName, Report, Verdict } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';

export interface LimitGroup {
  readonly title: string;
  /** Such as "at least 45 dB or at most −25 dBm/MHz". */
  readonly requirement: string;
  readonly source: string;
  readonly status: LimitSettings['status'];
  /** Corrected first, then uncorrected; none when the output has no reading for the limit. */
  readonly rows: readonly LimitRow[];
}

export interface LimitRow {
  readonly verdict: Verdict;
  /** The reading with its spread and unit. */
  readonly reading: string;
  /** Side, place, and the level it is held against where that differs from the group's. */
  readonly place: string;
}

/** The limits of a report in the order of its scenario. */
export function limitGroups(report: Report): LimitGroup[] {
  return report.scenario.limits.map((limit) => ({
    title: titleOf(limit),
    requirement: requirementOf(limit),
    source: limit.source,
    status: limit.status,
    rows: (['corrected', 'uncorrected'] as const).flatMap((of) => {
      const verdict = report.verdicts.find((one) => one.of === of && isOn(one, limit));
      return verdict === undefined
        ? []
        : [{ verdict, reading: readingText(verdict), place: placeText(report, verdict, limit) }];
    }),
  }));
}

/** Verdicts carry no index: a limit is known by what it asks of which reading. */
function isOn(verdict: Verdict, limit: LimitSettings): boolean {
  if (verdict.limit !== limit.reading || verdict.source !== limit.source) return false;
  switch (limit.reading) {
    case 'aclr': {
      const isChannel = limit.channel === 'all' || limit.channel === verdict.channel;
      return isChannel && [limit.requiredDb, limit.absoluteDbmPerMHz].includes(verdict.required);
    }
    case 'evm':
      return verdict.required === limit.requiredPercent;
    case 'mask':
      return verdict.name === limit.name;
    case 'occupiedBandwidth':
      return verdict.required === limit.requiredHz;
    case 'slot':
      return verdict.name === limit.name && verdict.required === limit.requiredDb;
    case 'notch':
    case 'intermodulation':
      return verdict.required === limit.requiredDb;
  }
}

/** Channels in words; the names in files stay as they are. */
export const CHANNEL_NAMES: Readonly<Record<string, string>> = {
  adjacent: 'adjacent',
  alternate: 'alternate',
  utraFirst: 'first 5 MHz',
  utraSecond: 'second 5 MHz',
  gap: 'gap',
  all: 'all channels',
};

export function channelName(channel: string): string {
  return CHANNEL_NAMES[channel] ?? channel;
}

export function titleOf(limit: LimitSettings): string {
  switch (limit.reading) {
    case 'aclr':
      return `ACLR, ${channelName(limit.channel)}`;
    case 'evm':
      return 'EVM';
    case 'mask':
      return `Mask, ${limit.name}`;
    case 'occupiedBandwidth':
      return 'Occupied bandwidth';
    case 'notch':
      return 'Notch power ratio';
    case 'slot':
      return `Slot, ${limit.name}`;
    case 'intermodulation':
      return `Intermodulation, order ${limit.order}`;
  }
}

function requirementOf(limit: LimitSettings): string {
  switch (limit.reading) {
    case 'aclr': {
      const ratio = `at least ${formatQuantity(limit.requiredDb, 'dB')}`;
      const { absoluteDbmPerMHz } = limit;
      return absoluteDbmPerMHz === null ? ratio : `${ratio} or ${formatQuantity(absoluteDbmPerMHz, 'dBm/MHz')}`;
    }
    case 'evm':
      return `at most ${formatQuantity(limit.requiredPercent, '%')}`;
    case 'mask':
      return 'below the line';
    case 'occupiedBandwidth':
      return `at most ${formatEngineering(limit.requiredHz, 'Hz', 4)}`;
    case 'notch':
    case 'slot':
    case 'intermodulation':
      return `at least ${formatQuantity(limit.requiredDb, 'dB')}`;
  }
}

function readingText({ measured, unit, spreadDb }: Verdict): string {
  if (unit === 'Hz') return formatEngineering(measured, 'Hz', 4);
  if (unit === '%') return formatQuantity(measured, unit, 2);
  const spread = spreadDb === null ? '' : ` ± ${formatFixed(spreadDb, spreadDb < 0.095 ? 2 : 1)}`;
  return withUnit(`${formatFixed(measured, 1)}${spread}`, unit);
}

function placeText(report: Report, verdict: Verdict, limit: LimitSettings): string {
  const { side, channel, metBy, required, unit, atHz } = verdict;
  const parts: string[] = [];
  if (limit.reading === 'mask') {
    const mask = report[verdict.of]?.masks.find(({ name }) => name === limit.name);
    const width = mask === undefined ? '' : ` in ${formatEngineering(mask.measuringBandwidthHz, 'Hz')}`;
    parts.push(`limit ${formatQuantity(required, unit)}${width}`);
    if (atHz !== null) parts.push(`at ${formatOffset(atHz)}`);
    if (mask?.isComplete === false) parts.push(`judged to ${formatEngineering(mask.judgedToHz, 'Hz')} only`);
    return parts.join(', ');
  }
  if (limit.reading === 'aclr' && limit.channel === 'all' && channel !== null) parts.push(channelName(channel));
  if (side !== null) parts.push(`${side} side`);
  if (metBy === 'absolute')
    parts.push(`by its density, ${requirementWords(verdict)} ${formatQuantity(required, unit)}`);
  return parts.join(', ');
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
  pass: '✓ within',
  marginal: '~ marginal',
  fail: '✕ over',
};

/** How a table's figures came here, in a word or two. */
export const STATUS_TEXTS: Readonly<Record<LimitSettings['status'], string>> = {
  read: 'read; check the current text',
  'read+recalled': 'boundaries read, slopes recalled; check the current text',
  recalled: 'recalled; check the current text',
  own: 'your own',
};
