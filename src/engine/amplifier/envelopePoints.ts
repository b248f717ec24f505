// Amplifier from measured points: input dBm, output dBm, phase. Amplitude 1 is 0 dBm at either side.
//
// Output amplitude and phase are piecewise cubics of the input amplitude through all points, with slopes that keep each
// piece monotone (Fritsch–Carlson), so that nothing lies above or below the points on its two sides. Below the first
// point gain and phase are constant. Beyond the last nothing is known: the drive is held there, and counted.
// Phases are taken the short way round between neighbours, ±180°.
//
//   slope at a point   3(h₁ + h₂)/((2h₂ + h₁)/s₁ + (h₂ + 2h₁)/s₂), 0 where the secants s₁, s₂ differ in sign
//   h widths, s secants of the pieces on both sides
//
// Sources: Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17(2); slopes: Fritsch and Butland 1984, SIAM J. Sci. Stat.
// Comput. 5(2) (both from memory; equal to scipy's PchipInterpolator).
import { pointsScale } from '../../../shared/schema/amplifierCurves.ts';
import type { Warning } from '../../../shared/schema/issue.ts';
import type { AmplifierSettings, EnvelopePoint, EnvelopePointsSettings } from '../../../shared/schema/scenario.ts';
import type { CoreOutcome } from './modelCore.ts';
import { staticCurveCore } from './staticCurveCore.ts';
import type { StaticCurve } from './staticCurves.ts';

const RAD_PER_DEG = Math.PI / 180;
/** A cubic is monotone when both slopes are at most this many secants (Fritsch and Carlson 1980). */
const STEEPEST = 3;

/** The amplifier of these points; never invalid: the schema has seen that they rise. */
export function envelopePointsCore({ points }: EnvelopePointsSettings): CoreOutcome {
  const input = points.map((point) => amplitudeOf(point.inputDbm));
  const output = points.map((point) => amplitudeOf(point.outputDbm));
  return {
    kind: 'core',
    core: staticCurveCore({
      label: `Measured points (${points.length})`,
      source: null,
      curve: curveThrough(points),
      smallSignalGain: output[0] / input[0],
      saturatedAmplitude: Math.max(...output),
      driveRange: input[input.length - 1],
    }),
  };
}

/** Output amplitude and phase against the input amplitude, in roots of mW. */
export function curveThrough(points: readonly EnvelopePoint[]): StaticCurve {
  const x = Float64Array.from(points, (point) => amplitudeOf(point.inputDbm));
  const y = Float64Array.from(points, (point) => amplitudeOf(point.outputDbm));
  const phase = unwrapped(points).map((deg) => RAD_PER_DEG * deg);
  const gain = y[0] / x[0];
  // The straight line from zero goes on into the first piece without a kink, where that keeps it monotone.
  const secant = (y[1] - y[0]) / (x[1] - x[0]);
  const ySlopes = monotoneSlopes(x, y, Math.max(0, Math.min(gain, STEEPEST * secant)));
  const phaseSlopes = monotoneSlopes(x, phase, 0);
  return {
    amplitude: (r) => (r <= x[0] ? gain * r : cubicAt(x, y, ySlopes, r)),
    phaseRad: (r) => (r <= x[0] ? phase[0] : cubicAt(x, phase, phaseSlopes, r)),
  };
}

/** Points and power scale further apart than this do not mean the same amplifier. */
const SCALE_TOLERANCE_DB = 0.1;

/** `points-scale-differs`: the stated saturated power or gain is not that of the points, whose powers are in dBm, too. */
export function pointsScaleWarning(amplifier: AmplifierSettings): Warning | null {
  const { model, saturatedPowerDbm, gainDb } = amplifier;
  if (model.kind !== 'envelopePoints' || saturatedPowerDbm === null) return null;
  const { saturatedPowerDbm: largestDbm, gainDb: pointsGainDb } = pointsScale(model.points);
  const isNear = (a: number, b: number) => Math.abs(a - b) <= SCALE_TOLERANCE_DB;
  if (isNear(largestDbm, saturatedPowerDbm) && isNear(pointsGainDb, gainDb)) return null;
  const message =
    `The points reach ${largestDbm.toFixed(2)} dBm and begin with a gain of ${pointsGainDb.toFixed(2)} dB; the scenario states ` +
    `${saturatedPowerDbm.toFixed(2)} dBm saturated and ${gainDb.toFixed(2)} dB. Powers are read on the stated scale.`;
  return { code: 'points-scale-differs', message };
}

function amplitudeOf(dbm: number): number {
  return 10 ** (dbm / 20);
}

function unwrapped(points: readonly EnvelopePoint[]): Float64Array {
  const deg = Float64Array.from(points, (point) => point.phaseDeg);
  for (let i = 1; i < deg.length; i++) deg[i] -= 360 * Math.round((deg[i] - deg[i - 1]) / 360);
  return deg;
}

/** Slopes at the points that keep every piece monotone; the first is given, at the last the curve is level or as its piece. */
export function monotoneSlopes(x: Float64Array, y: Float64Array, firstSlope: number): Float64Array {
  const count = x.length;
  const width = Float64Array.from({ length: count - 1 }, (_, i) => x[i + 1] - x[i]);
  const secant = width.map((h, i) => (y[i + 1] - y[i]) / h);
  const slopes = new Float64Array(count);
  slopes[0] = firstSlope;
  for (let i = 1; i < count - 1; i++) {
    const [h1, h2, s1, s2] = [width[i - 1], width[i], secant[i - 1], secant[i]];
    slopes[i] = s1 * s2 > 0 ? (3 * (h1 + h2)) / ((2 * h2 + h1) / s1 + (h2 + 2 * h1) / s2) : 0;
  }
  slopes[count - 1] = endSlope(width[count - 2], width[count - 3], secant[count - 2], secant[count - 3]);
  return slopes;
}

/** Slope at the end of the parabola through the last three points, cut to what is monotone (as scipy does). */
function endSlope(h1: number, h2: number, s1: number, s2: number): number {
  const slope = ((2 * h1 + h2) * s1 - h1 * s2) / (h1 + h2);
  if (slope * s1 <= 0) return 0;
  return s1 * s2 < 0 && Math.abs(slope) > STEEPEST * Math.abs(s1) ? STEEPEST * s1 : slope;
}

/** The piecewise cubic with these slopes at r; level beyond the last point. */
function cubicAt(x: Float64Array, y: Float64Array, slopes: Float64Array, r: number): number {
  const last = x.length - 1;
  if (!(r < x[last])) return y[last];
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (x[middle] <= r) low = middle;
    else high = middle;
  }
  const h = x[high] - x[low];
  const t = (r - x[low]) / h;
  const rest = 1 - t;
  // Hermite's cubic, as a straight line and what leads away from it: exact at both ends.
  const secant = y[high] - y[low];
  const bend = rest * (h * slopes[low] - secant) - t * (h * slopes[high] - secant);
  return y[low] + t * secant + t * rest * bend;
}
