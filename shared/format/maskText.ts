// Pieces of an emission mask in words.
import type { MaskLimitSettings, MaskPiece } from '../schema/measurement.ts';
import { formatEngineering, formatFixed } from './numbers.ts';

const UNIT_WORDS: Readonly<Record<MaskLimitSettings['unit'], string>> = {
  dBm: 'dBm',
  dBr: 'dB re mean power',
  dBrRated: 'dB re rated power',
};

const REFERENCE_WORDS: Readonly<Record<MaskLimitSettings['measuredFrom'], string>> = {
  channelEdge: 'the channel’s edge',
  carrierCentre: 'the carrier’s centre',
};

/** Where a mask's distances count from. */
export function maskReferenceText({ measuredFrom }: MaskLimitSettings): string {
  return `centre of the measuring filter from ${REFERENCE_WORDS[measuredFrom]}`;
}

/** Distances, level, measuring bandwidth: the cells of one row. */
export function maskPieceCells(piece: MaskPiece, { unit }: MaskLimitSettings): [string, string, string] {
  const { fromHz, toHz, startLevel, endLevel, measuringBandwidthHz, atMostDbm, atLeastDbm } = piece;
  const hz = (value: number) => formatEngineering(value, 'Hz', 6);
  const distances = toHz === fromHz ? hz(fromHz) : `${hz(fromHz)} to ${toHz === 'end' ? 'the end' : hz(toHz)}`;
  const level = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 2);
  const slope = startLevel === endLevel ? level(startLevel) : `${level(startLevel)} to ${level(endLevel)}`;
  const bounds = [
    ...(atMostDbm === null ? [] : [`at most ${level(atMostDbm)} dBm`]),
    ...(atLeastDbm === null ? [] : [`not below ${level(atLeastDbm)} dBm`]),
  ];
  return [distances, [`${slope} ${UNIT_WORDS[unit]}`, ...bounds].join(', '), `in ${hz(measuringBandwidthHz)}`];
}

export const STATUS_WORDS: Readonly<Record<MaskLimitSettings['status'], string>> = {
  read: 'read in the standard or a quotation of it',
  'read+recalled': 'boundaries read, slopes recalled',
  recalled: 'recalled from memory',
  own: 'your own',
};
