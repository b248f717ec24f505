// Emission mask: mean power in the measuring bandwidth at every distance, against the limit there.
//
//   level(f) = unitDbm + 10·log10( Σ P[b] over f ± measuring bandwidth/2 ),  bins cut at the edges in proportion
//   margin   = min over both sides and all gaps of limit(f) − level(f)
//
// The filter is rectangular. Its centre moves in steps of half a measuring bandwidth or less and stands on every
// breakpoint. Integrating finer bins is allowed (TS 38.104 clause 6.6.4.1, read); bins wider than the measuring bandwidth
// cannot be, and pieces that ask for it are not judged. Between the two the reading is right for noise-like emission, and
// a single line in it reads too low by up to 10·log10(resolution bandwidth/measuring bandwidth).
import type { MaskLimitSettings } from '../../../shared/schema/measurement.ts';
import type { MaskReading, Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, type PowerSpectrum, ratioSpreadDb } from '../dsp/spectrum.ts';
import {
  gapPoints,
  levelPieces,
  type MaskCarrier,
  type MaskPoint,
  type MaskReference,
  maskReference,
  outwardPoints,
  reachHz,
} from './maskGeometry.ts';

const SIDES: readonly Side[] = ['lower', 'upper'];

/** Where the spectrum's power stands in dBm at the antenna port. */
export interface MaskScale {
  /** dBm of linear power 1; while the transmitter is on, where it is not always. */
  readonly unitDbm: number;
  /** Mean power of all carriers, on the same scale. */
  readonly meanDbm: number;
}

export interface MaskOutcome {
  /** Null when the record shows no place of the mask, or none that the bins resolve. */
  readonly reading: MaskReading | null;
  /** The narrowest measuring bandwidth that is narrower than a bin, or null: its pieces are not judged. */
  readonly unresolvedBandwidthHz: number | null;
}

/**
 * Holds one mask against a spectrum. Levels and limits are dBm at the antenna port; with `unitDbm` and `meanDbm` relative
 * to the mean power they are dB against it. Source: TS 38.104 clause 6.6.4.1 (read).
 */
export function measureMask(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  carriers: readonly MaskCarrier[],
  mask: MaskLimitSettings,
  { unitDbm, meanDbm }: MaskScale,
): MaskOutcome {
  const reference = maskReference(carriers, mask.measuredFrom);
  const all = levelPieces(mask, meanDbm);
  const isResolved = (bandwidthHz: number) => spectrum.binWidthHz <= bandwidthHz * (1 + 1e-9);
  const pieces = all.filter(({ measuringBandwidthHz }) => isResolved(measuringBandwidthHz));
  const unresolved = all.map((piece) => piece.measuringBandwidthHz).filter((bandwidthHz) => !isResolved(bandwidthHz));
  const unresolvedBandwidthHz = unresolved.length === 0 ? null : Math.min(...unresolved);
  if (pieces.length === 0) return { reading: null, unresolvedBandwidthHz };
  const outward = SIDES.map((side) => outwardPoints(pieces, reference, side, sampleRateHz));
  const inside = reference.gaps.flatMap((gap) => gapPoints(pieces, gap));
  const worst = worstPoint(spectrum, [...outward.flat(), ...inside], unitDbm);
  if (worst === null) return { reading: null, unresolvedBandwidthHz };
  const { name, source, status, unit } = mask;
  const judgedToHz = Math.min(...outward.map((points) => Math.max(0, ...points.map(({ distanceHz }) => distanceHz))));
  const { point, levelDbm } = worst;
  const reading: MaskReading = {
    name,
    source,
    status,
    unit,
    worstMarginDb: point.limitDbm - levelDbm,
    side: point.side,
    atHz: point.centreHz,
    distanceHz: point.distanceHz,
    levelDbm,
    limitDbm: point.limitDbm,
    measuringBandwidthHz: point.measuringBandwidthHz,
    // Against each run's own power: a burst pattern gates the runs, which says nothing about the level while on.
    spreadDb: ratioSpreadDb(
      spectrum,
      (run) => bandPower(run, point.centreHz, point.measuringBandwidthHz) / totalOf(run),
    ),
    limitedBy: null,
    judgedToHz,
    isComplete: unresolved.length === 0 && isShown(pieces, reference, sampleRateHz),
  };
  return { reading, unresolvedBandwidthHz };
}

function totalOf({ power }: PowerSpectrum): number {
  return power.reduce((sum, one) => sum + one, 0);
}

/** Level of one place of the measuring filter. */
function levelIn(spectrum: PowerSpectrum, centreHz: number, bandwidthHz: number, unitDbm: number): number {
  return unitDbm + powerRatioToDb(bandPower(spectrum, centreHz, bandwidthHz));
}

function worstPoint(
  spectrum: PowerSpectrum,
  points: readonly MaskPoint[],
  unitDbm: number,
): { point: MaskPoint; levelDbm: number } | null {
  let worst: { point: MaskPoint; levelDbm: number } | null = null;
  let leastMargin = Number.POSITIVE_INFINITY;
  for (const point of points) {
    const levelDbm = levelIn(spectrum, point.centreHz, point.measuringBandwidthHz, unitDbm);
    if (point.limitDbm - levelDbm >= leastMargin) continue;
    leastMargin = point.limitDbm - levelDbm;
    worst = { point, levelDbm };
  }
  return worst;
}

/** True when every piece lies inside ±fs/2 on both sides, open ones at least with their beginning. */
function isShown(pieces: ReturnType<typeof levelPieces>, reference: MaskReference, sampleRateHz: number): boolean {
  return SIDES.every((side) =>
    pieces.every(({ fromHz, toHz, measuringBandwidthHz }) => {
      const reach = reachHz(reference, side, sampleRateHz, measuringBandwidthHz);
      return (Number.isFinite(toHz) ? toHz : fromHz) <= reach;
    }),
  );
}
