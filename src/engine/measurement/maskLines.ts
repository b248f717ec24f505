// A mask as lines on a spectrum: the level that noise-like emission just at the limit would have in the displayed
// resolution bandwidth, level + 10·log10(resolution bandwidth/measuring bandwidth).
import type { Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import {
  gapPoints,
  type LevelPiece,
  type MaskPoint,
  type MaskReference,
  outwardPoints,
  reachHz,
} from './maskGeometry.ts';

/** From left to right, straight in between. */
export interface MaskLine {
  readonly fromHz: number;
  readonly toHz: number;
  readonly level: number;
  readonly toLevel: number;
}

/** In a gap a slope makes the sum of both sides a curve: straight lines follow it within this. */
const LINE_TOLERANCE_DB = 0.04;

/** Lines of both sides and of every gap, inside ±fs/2. A piece of one place is drawn as wide as its filter. */
export function maskLines(
  pieces: readonly LevelPiece[],
  reference: MaskReference,
  sampleRateHz: number,
  resolutionBandwidthHz: number,
): MaskLine[] {
  const shift = (bandwidthHz: number) => powerRatioToDb(resolutionBandwidthHz / bandwidthHz);
  const outward = (['lower', 'upper'] as const).flatMap((side) =>
    pieces.flatMap((piece) => outwardLine(piece, reference, side, sampleRateHz, shift(piece.measuringBandwidthHz))),
  );
  const inside = reference.gaps.flatMap((gap) => joinPoints(gapPoints(pieces, gap), shift));
  return [...outward, ...inside];
}

function outwardLine(
  piece: LevelPiece,
  reference: MaskReference,
  side: Side,
  sampleRateHz: number,
  shiftDb: number,
): MaskLine[] {
  const { measuringBandwidthHz, fromHz, toHz } = piece;
  if (fromHz > reachHz(reference, side, sampleRateHz, measuringBandwidthHz)) return [];
  const points = outwardPoints([piece], reference, side, sampleRateHz);
  const [first, last] = [points[0], points[points.length - 1]];
  const widen = fromHz === toHz ? measuringBandwidthHz / 2 : 0;
  const [left, right] = side === 'lower' ? [last, first] : [first, last];
  return [
    {
      fromHz: left.centreHz - widen,
      toHz: right.centreHz + widen,
      level: left.limitDbm + shiftDb,
      toLevel: right.limitDbm + shiftDb,
    },
  ];
}

/** Neighbouring places of one piece, joined by as few straight lines as follow them. */
function joinPoints(points: readonly MaskPoint[], shift: (bandwidthHz: number) => number): MaskLine[] {
  const runs: MaskPoint[][] = [];
  for (const point of points) {
    const run = runs.at(-1);
    const before = run?.at(-1);
    const continues =
      before !== undefined &&
      before.side === point.side &&
      before.measuringBandwidthHz === point.measuringBandwidthHz &&
      point.distanceHz > before.distanceHz &&
      point.distanceHz - before.distanceHz <= point.measuringBandwidthHz / 2 + 1;
    if (run !== undefined && continues) run.push(point);
    else runs.push([point]);
  }
  return runs.flatMap((run) => joined(run, shift));
}

function joined(run: readonly MaskPoint[], shift: (bandwidthHz: number) => number): MaskLine[] {
  const kept = cornersOf(run, 0, run.length - 1).map((i) => run[i]);
  return kept.slice(1).map((point, i) => {
    const [left, right] = point.centreHz > kept[i].centreHz ? [kept[i], point] : [point, kept[i]];
    return {
      fromHz: left.centreHz,
      toHz: right.centreHz,
      level: left.limitDbm + shift(left.measuringBandwidthHz),
      toLevel: right.limitDbm + shift(right.measuringBandwidthHz),
    };
  });
}

/** Places between which straight lines follow the limit: parted at the farthest one until none is far (Ramer 1972). */
function cornersOf(run: readonly MaskPoint[], first: number, last: number): number[] {
  const [a, b] = [run[first], run[last]];
  let [farthest, most] = [-1, LINE_TOLERANCE_DB];
  for (let i = first + 1; i < last; i++) {
    const share = (run[i].distanceHz - a.distanceHz) / (b.distanceHz - a.distanceHz);
    const away = Math.abs(run[i].limitDbm - a.limitDbm - share * (b.limitDbm - a.limitDbm));
    if (away > most) [farthest, most] = [i, away];
  }
  if (farthest < 0) return first === last ? [first] : [first, last];
  return [...cornersOf(run, first, farthest), ...cornersOf(run, farthest, last).slice(1)];
}
