// What the page does to the points of an amplifier over its band.
import { overBandFiguresAt } from '../../../shared/schema/overBand.ts';
import type { OverBandSettings } from '../../../shared/schema/scenario.ts';

type Point = OverBandSettings['points'][number];

/** Removes the noise of the scaling. */
const DIGITS = 12;

/** A start in the middle of its band: the ends fall off. */
const START_HZ = 1e9;
const START_REACH = 0.05;
const START_POINT = { gainDb: 0, phaseDeg: 0, saturatedPowerDb: 0, model: null };
const START_END = { ...START_POINT, gainDb: -1, saturatedPowerDb: -0.5 };

/** Three points round the carrier frequency, for a band switched on. */
export function overBandStart(carrierFrequencyHz: number | null): OverBandSettings {
  const channelHz = carrierFrequencyHz ?? START_HZ;
  const end = (sign: 1 | -1) => ({
    frequencyHz: Number((channelHz * (1 + sign * START_REACH)).toPrecision(DIGITS)),
    ...START_END,
  });
  return { channelHz, points: [end(-1), { frequencyHz: channelHz, ...START_POINT }, end(1)] };
}

/** The points in rising order; a channel left outside moves to the nearer end. */
export function withPoints({ channelHz }: OverBandSettings, points: readonly Point[]): OverBandSettings {
  const sorted = [...points].sort((a, b) => a.frequencyHz - b.frequencyHz);
  const [lowest, highest] = [sorted[0]?.frequencyHz ?? channelHz, sorted.at(-1)?.frequencyHz ?? channelHz];
  // What was typed for the channel may not be a number yet.
  const channel = Number.isFinite(channelHz) ? channelHz : lowest;
  return { channelHz: Math.min(highest, Math.max(lowest, channel)), points: sorted };
}

/** A new point in the middle of the widest gap, on the straight line there: the amplifier stays as it is. */
export function withNewPoint(overBand: OverBandSettings): OverBandSettings {
  const { points } = overBand;
  const gap = (i: number) => (points[i + 1]?.frequencyHz ?? 0) - (points[i]?.frequencyHz ?? 0);
  const widest = points.slice(1).reduce((best, _, i) => (gap(i) > gap(best) ? i : best), 0);
  const below = points[widest];
  if (below === undefined) return overBand;
  const frequencyHz = Number((below.frequencyHz + gap(widest) / 2).toPrecision(DIGITS));
  const added = { frequencyHz, ...overBandFiguresAt(points, frequencyHz), model: below.model };
  return withPoints(overBand, [...points, added]);
}
