// Pieces of an emission mask in words.
import type { MaskLimitSettings, MaskPiece } from '../schema/measurement.ts';
import type { MaskReading } from '../schema/report.ts';
import { formatEngineering, formatFixed, formatQuantity } from './numbers.ts';

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

/** Where one output comes nearest to a mask, at which level, and how far out it was judged. */
export function maskReadingText(reading: MaskReading, of: string): string {
  const { name, side, distanceHz, levelDbm, limitDbm, measuringBandwidthHz, judgedToHz, isComplete, status } = reading;
  const hz = (value: number) => formatEngineering(value, 'Hz', 4);
  const level = `${formatQuantity(levelDbm, 'dBm', 1)} in ${hz(measuringBandwidthHz)}`;
  const limit = `the limit is ${formatQuantity(limitDbm, 'dBm', 1)}`;
  const reach = `judged to ${hz(judgedToHz)}${isComplete ? '' : ', where the record ends and the mask does not'}`;
  const place = `${hz(distanceHz)} out on the ${side} side`;
  return `Mask ${name} (${STATUS_WORDS[status]}): the ${of} output is nearest ${place}, ${level}; ${limit}; ${reach}.`;
}

export const STATUS_WORDS: Readonly<Record<MaskLimitSettings['status'], string>> = {
  read: 'read in the standard or a quotation of it',
  'read+recalled': 'boundaries read, slopes recalled',
  recalled: 'recalled from memory',
  own: 'your own',
};
