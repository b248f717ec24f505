// Where the channel of a record lies and which channels stand beside it, when only the record is known.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import type { OccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';
import { GUARD_RATIO, guessChannel, middleOf, roundTo } from '../waveform/recordBand.ts';

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
