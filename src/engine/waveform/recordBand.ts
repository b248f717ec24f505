// Where the channel of a record lies, guessed from its occupied band.
//
// A flat band of width W holds 99 % of its power in 0.99·W, so W is guessed as occupied bandwidth / 0.99. A guess within
// 3 % of a standard's transmission bandwidth is taken for that channel; any other is rounded to two digits and given
// the 10 % guard share of most LTE channels (TS 36.104 Table 5.6-1).
import { type Numerology, numerologies } from '../../../shared/tables/numerologies.ts';
import type { OccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';

const TABLE_TOLERANCE = 0.03;
export const GUARD_RATIO = 0.9;
/** A middle nearer to zero than this share of the bandwidth is zero: the occupied band scatters by about as much. */
const CENTRE_TOLERANCE = 0.02;

export interface GuessedChannel {
  readonly ownBandwidthHz: number;
  readonly spacingHz: number;
  /** How it was chosen, in words. */
  readonly reason: string;
}

export function guessChannel(occupiedBandwidthHz: number): GuessedChannel {
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

/** Centre of an occupied band. */
export function middleOf(occupied: OccupiedBandwidth): number {
  const middle = (occupied.lowerHz + occupied.upperHz) / 2;
  return Math.abs(middle) < CENTRE_TOLERANCE * occupied.occupiedBandwidthHz ? 0 : roundTo(middle, 3);
}

/** Rounded to significant digits. */
export function roundTo(value: number, digits: number): number {
  return Number(value.toPrecision(digits));
}
