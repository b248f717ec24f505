// Where the channel of a record lies and which channels stand beside it, when only the record is known.
//
// A flat band of width W holds 99 % of its power in 0.99·W, so W is guessed as occupied bandwidth / 0.99. A guess within
// 3 % of a standard's transmission bandwidth is taken for that channel; any other is rounded to two digits and given
// the 10 % guard share of most LTE channels (TS 36.104 Table 5.6-1).
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import { type Numerology, numerologies } from '../../../shared/tables/numerologies.ts';
import type { OccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';

export interface RecordChannelOptions {
  /** Centre of the own channel in the record; default the middle of the occupied band. */
  readonly centreHz?: number;
  /** Integration bandwidth of the own channel. */
  readonly ownBandwidthHz?: number;
  /** From the own channel's centre to the adjacent one's; the alternate channel stands twice as far. */
  readonly spacingHz?: number;
  /** Integration bandwidth of the neighbouring channels; default the own channel's. */
  readonly neighbourBandwidthHz?: number;
}

export interface RecordChannels {
  readonly centreHz: number;
  readonly ownBandwidthHz: number;
  readonly spacingHz: number;
  readonly neighbourBandwidthHz: number;
  /** How the values that were not given were chosen; one sentence. */
  readonly chosenBy: string;
}

const TABLE_TOLERANCE = 0.03;
const GUARD_RATIO = 0.9;
/** A middle nearer to zero than this share of the bandwidth is zero: the occupied band scatters by about as much. */
const CENTRE_TOLERANCE = 0.02;

export function chooseChannels(occupied: OccupiedBandwidth, options: RecordChannelOptions): RecordChannels {
  const guess = guessChannel(occupied.occupiedBandwidthHz);
  const ownBandwidthHz = options.ownBandwidthHz ?? guess.ownBandwidthHz;
  const ownIsGiven = options.ownBandwidthHz !== undefined;
  const spacingHz = options.spacingHz ?? (ownIsGiven ? roundTo(ownBandwidthHz / GUARD_RATIO, 3) : guess.spacingHz);
  const given = ownIsGiven ? 'own bandwidth as given' : guess.reason;
  const spacing =
    options.spacingHz === undefined ? (ownIsGiven ? 'spacing from a 10 % guard share' : '') : 'spacing as given';
  return {
    centreHz: options.centreHz ?? middleOf(occupied),
    ownBandwidthHz,
    spacingHz,
    neighbourBandwidthHz: options.neighbourBandwidthHz ?? ownBandwidthHz,
    chosenBy: [given, spacing].filter((part) => part !== '').join('; '),
  };
}

/** Faults of the options against the record's rate. */
export function checkChannelOptions(options: RecordChannelOptions, sampleRateHz: number): Issue[] {
  const issues: Issue[] = [];
  for (const key of ['ownBandwidthHz', 'spacingHz', 'neighbourBandwidthHz'] as const) {
    const value = options[key];
    if (value === undefined || (value > 0 && Number.isFinite(value))) continue;
    issues.push({ path: key, rule: 'must be above 0 Hz', value: printValue(value), remedy: 'give a bandwidth in Hz' });
  }
  const half = sampleRateHz / 2;
  const edge = Math.abs(options.centreHz ?? 0) + (options.ownBandwidthHz ?? 0) / 2;
  if (!(edge <= half)) {
    issues.push({
      path: 'ownBandwidthHz',
      rule: `must keep the own channel within ±${half} Hz, half the sample rate`,
      value: printValue(edge),
      remedy: 'narrow it or move its centre',
    });
  }
  return issues;
}

function guessChannel(occupiedBandwidthHz: number): { ownBandwidthHz: number; spacingHz: number; reason: string } {
  const width = occupiedBandwidthHz / 0.99;
  let best: Numerology | null = null;
  for (const row of numerologies) {
    const distance = Math.abs(row.transmissionBandwidthHz - width);
    if (distance > TABLE_TOLERANCE * row.transmissionBandwidthHz) continue;
    if (best === null || distance < Math.abs(best.transmissionBandwidthHz - width)) best = row;
  }
  if (best !== null) {
    const name = `${best.standard.toUpperCase()} ${best.channelBandwidthHz / 1e6} MHz`;
    return {
      ownBandwidthHz: best.transmissionBandwidthHz,
      spacingHz: best.channelBandwidthHz,
      reason: `the standard channel nearest to the occupied bandwidth: ${name}`,
    };
  }
  const ownBandwidthHz = roundTo(width, 2);
  return {
    ownBandwidthHz,
    spacingHz: roundTo(ownBandwidthHz / GUARD_RATIO, 2),
    reason: 'the occupied bandwidth rounded, with a 10 % guard share',
  };
}

function middleOf(occupied: OccupiedBandwidth): number {
  const middle = (occupied.lowerHz + occupied.upperHz) / 2;
  return Math.abs(middle) < CENTRE_TOLERANCE * occupied.occupiedBandwidthHz ? 0 : roundTo(middle, 3);
}

/** Rounded to significant digits. */
function roundTo(value: number, digits: number): number {
  return Number(value.toPrecision(digits));
}
