// Where an emission mask holds and how high it is there.
//
//   outward of the outer carriers, and in every gap between carriers from both sides
//   in a gap the limits of the two sides add as powers, the farther one scaled to the measuring bandwidth of the nearer
//       (TS 38.104 clause 6.6.4.1: cumulative sum (read); scaled (from memory))
//   distances go to the centre of the measuring filter
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { MaskLimitSettings, MaskPiece } from '../../../shared/schema/measurement.ts';
import type { Side } from '../../../shared/schema/report.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';

export type MaskCarrier = Pick<CarrierGeometry, 'offsetHz' | 'channelBandwidthHz'>;

/** The frequencies in the record that a mask's distances count from. */
export interface MaskReference {
  readonly lowerHz: number;
  readonly upperHz: number;
  readonly gaps: readonly { readonly fromHz: number; readonly toHz: number }[];
}

/** A piece in dBm, straight between its ends. */
export interface LevelPiece {
  readonly fromHz: number;
  /** Infinity: as far as the record shows; such a piece is flat. */
  readonly toHz: number;
  readonly startDbm: number;
  readonly endDbm: number;
  readonly measuringBandwidthHz: number;
}

/** One place of the measuring filter. */
export interface MaskPoint {
  readonly centreHz: number;
  /** In a gap: the carriers it is nearer to, below or above the gap. */
  readonly side: Side;
  readonly distanceHz: number;
  readonly limitDbm: number;
  readonly measuringBandwidthHz: number;
}

/** Edges (or centres) of the outer carriers, and the gaps between carriers that do not touch. */
export function maskReference(
  carriers: readonly MaskCarrier[],
  measuredFrom: MaskLimitSettings['measuredFrom'],
): MaskReference {
  const half = (carrier: MaskCarrier) => (measuredFrom === 'channelEdge' ? carrier.channelBandwidthHz / 2 : 0);
  const bands = carriers
    .map((carrier) => ({ fromHz: carrier.offsetHz - half(carrier), toHz: carrier.offsetHz + half(carrier) }))
    .sort((a, b) => a.fromHz - b.fromHz);
  const gaps: { fromHz: number; toHz: number }[] = [];
  let upperHz = bands[0].toHz;
  for (const { fromHz, toHz } of bands) {
    if (fromHz > upperHz) gaps.push({ fromHz: upperHz, toHz: fromHz });
    upperHz = Math.max(upperHz, toHz);
  }
  return { lowerHz: bands[0].fromHz, upperHz, gaps };
}

/**
 * The pieces in dBm at the antenna port. Masks in dBr stand on `meanDbm`, the mean power of all carriers there; masks
 * against rated power on that power, or on the mean where none is stated. An absolute bound that a slope crosses parts
 * the piece.
 */
export function levelPieces(mask: MaskLimitSettings, meanDbm: number): LevelPiece[] {
  const base = mask.unit === 'dBm' ? 0 : mask.unit === 'dBr' ? meanDbm : (mask.ratedPowerDbm ?? meanDbm);
  return mask.pieces
    .flatMap((piece) => boundedPiece(piece, base))
    .sort((a, b) => a.fromHz - b.fromHz || a.toHz - b.toHz);
}

function boundedPiece(piece: MaskPiece, base: number): LevelPiece[] {
  const { fromHz, measuringBandwidthHz, atMostDbm, atLeastDbm } = piece;
  const toHz = piece.toHz === 'end' ? Number.POSITIVE_INFINITY : piece.toHz;
  const start = base + piece.startLevel;
  const end = base + (piece.toHz === 'end' ? piece.startLevel : piece.endLevel);
  const most = atMostDbm ?? Number.POSITIVE_INFINITY;
  const least = atLeastDbm ?? Number.NEGATIVE_INFINITY;
  const bounded = (level: number) => Math.max(least, Math.min(most, level));
  const crossings = [most, least]
    .map((bound) => (bound - start) / (end - start))
    .filter((share) => share > 0 && share < 1)
    .sort((a, b) => a - b);
  const shares = [0, ...crossings, 1];
  // An open piece has an infinite end, and no crossing: it is flat.
  const at = (share: number) => (share === 0 ? fromHz : share === 1 ? toHz : fromHz + share * (toHz - fromHz));
  return shares.slice(1).map((to, i) => ({
    fromHz: at(shares[i]),
    toHz: at(to),
    startDbm: bounded(start + shares[i] * (end - start)),
    endDbm: bounded(start + to * (end - start)),
    measuringBandwidthHz,
  }));
}

function levelAt({ fromHz, toHz, startDbm, endDbm }: LevelPiece, distanceHz: number): number {
  if (!Number.isFinite(toHz) || toHz <= fromHz) return startDbm;
  const share = Math.min(1, Math.max(0, (distanceHz - fromHz) / (toHz - fromHz)));
  return startDbm + share * (endDbm - startDbm);
}

/** What the farther side allows in a gap, in another measuring bandwidth, linear; 0 beyond the end of its mask. */
function farPower(pieces: readonly LevelPiece[], distanceHz: number, bandwidthHz: number): number {
  let holding: LevelPiece | null = null;
  for (const piece of pieces) if (piece.fromHz <= distanceHz) holding = piece;
  const end = Math.max(...pieces.map(({ toHz }) => toHz));
  if (holding === null || distanceHz > end) return 0;
  return (dbToPowerRatio(levelAt(holding, distanceHz)) * bandwidthHz) / holding.measuringBandwidthHz;
}

/** Distances from … to with both ends, at most half a measuring bandwidth apart. */
function distancesOf(fromHz: number, toHz: number, bandwidthHz: number): number[] {
  const stepCount = Math.max(1, Math.ceil((toHz - fromHz) / (bandwidthHz / 2)));
  if (toHz <= fromHz) return toHz === fromHz ? [fromHz] : [];
  return Array.from({ length: stepCount + 1 }, (_, i) => fromHz + (i / stepCount) * (toHz - fromHz));
}

/** How far out one side is shown: largest distance at which a filter of this width lies inside ±fs/2. */
export function reachHz(reference: MaskReference, side: Side, sampleRateHz: number, bandwidthHz: number): number {
  const edge = side === 'lower' ? -reference.lowerHz : reference.upperHz;
  return sampleRateHz / 2 - edge - bandwidthHz / 2;
}

/** Every place of the filter outward of one side's outer carrier, inside ±fs/2. */
export function outwardPoints(
  pieces: readonly LevelPiece[],
  reference: MaskReference,
  side: Side,
  sampleRateHz: number,
): MaskPoint[] {
  const [edge, sign] = side === 'lower' ? [reference.lowerHz, -1] : [reference.upperHz, 1];
  return pieces.flatMap((piece) => {
    const { fromHz, toHz, measuringBandwidthHz } = piece;
    const last = Math.min(toHz, reachHz(reference, side, sampleRateHz, measuringBandwidthHz));
    return distancesOf(fromHz, last, measuringBandwidthHz).map((distanceHz) => ({
      centreHz: edge + sign * distanceHz,
      side,
      distanceHz,
      limitDbm: levelAt(piece, distanceHz),
      measuringBandwidthHz,
    }));
  });
}

/** Every place of the filter in one gap: each half is measured as the nearer side's mask has it. */
export function gapPoints(pieces: readonly LevelPiece[], gap: MaskReference['gaps'][number]): MaskPoint[] {
  const width = gap.toHz - gap.fromHz;
  const nearest = pieces[0].fromHz;
  return (['lower', 'upper'] as const).flatMap((side) =>
    pieces.flatMap((piece) => {
      const { fromHz, toHz, measuringBandwidthHz } = piece;
      const last = Math.min(toHz, width / 2, width - Math.max(nearest, measuringBandwidthHz / 2));
      return distancesOf(fromHz, last, measuringBandwidthHz).map((distanceHz) => {
        const far = farPower(pieces, width - distanceHz, measuringBandwidthHz);
        return {
          centreHz: side === 'lower' ? gap.fromHz + distanceHz : gap.toHz - distanceHz,
          side,
          distanceHz,
          limitDbm: powerRatioToDb(dbToPowerRatio(levelAt(piece, distanceHz)) + far),
          measuringBandwidthHz,
        };
      });
    }),
  );
}
