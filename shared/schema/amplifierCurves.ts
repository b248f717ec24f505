// Amplifiers that are curves: those of the literature with their own parameters, and tables of measured points; and the
// slow states that any amplifier may have.
import * as v from 'valibot';
import { described, quantity, RULE_END } from './field.ts';

const parameter = (label: string, minimum: number, maximum: number, help: string, unit: string | null = null) =>
  quantity({ label, unit, minimum, maximum, help });

const LEAST = 1e-9;
const MOST = 1e9;

const curveGain = parameter('Gain', LEAST, MOST, 'Small-signal gain g of the curve, as an amplitude ratio.');
const curveSaturation = parameter('Saturated amplitude', LEAST, MOST, 'A_sat, which the output amplitude tends to.');
const curveKnee = parameter('Knee sharpness', 0.2, 50, 'p of the knee (1 + (g·r/A_sat)^2p)^(−1/2p).');

export const salehSchema = v.strictObject({
  kind: v.literal('saleh'),
  alphaAmplitude: v.optional(
    parameter('Amplitude α_a', LEAST, MOST, 'A = α_a·r/(1 + β_a·r²); held at r = 1/√β_a.'),
    2.1587,
  ),
  betaAmplitude: v.optional(parameter('Amplitude β_a', LEAST, MOST, 'A = α_a·r/(1 + β_a·r²).'), 1.1517),
  alphaPhaseRad: v.optional(parameter('Phase α_φ', -MOST, MOST, 'Φ = α_φ·r²/(1 + β_φ·r²), rad.', 'rad'), 4.0033),
  betaPhase: v.optional(parameter('Phase β_φ', 0, MOST, 'Φ = α_φ·r²/(1 + β_φ·r²).'), 9.104),
});

export const rappSchema = v.strictObject({
  kind: v.literal('rapp'),
  gainRatio: v.optional(curveGain, 1),
  saturatedAmplitude: v.optional(curveSaturation, 1),
  kneeSharpness: curveKnee,
});

export const modifiedRappSchema = v.strictObject({
  kind: v.literal('modifiedRapp'),
  gainRatio: v.optional(curveGain, 1),
  saturatedAmplitude: v.optional(curveSaturation, 1),
  kneeSharpness: curveKnee,
  alphaPhaseDeg: v.optional(parameter('Phase α', -1e12, 1e12, 'Φ = α·r^q₁/(1 + (r/β)^q₂), degrees.', '°'), 0),
  betaPhase: v.optional(parameter('Phase β', LEAST, MOST, 'Input amplitude at which the phase bends.'), 1),
  phaseOrder: v.optional(parameter('Phase order q₁', 0.1, 20, 'Order of the phase at low drive.'), 2),
  phaseSaturationOrder: v.optional(
    parameter('Phase order q₂', 0.1, 20, 'Order of its bend; q₁ where the phase saturates.'),
    2,
  ),
});

const ghorbaniHelp = 'A = x₁·r^x₂/(1 + x₃·r^x₂) + x₄·r; held at its largest output.';
const ghorbaniPhaseHelp = 'Φ = y₁·r^y₂/(1 + y₃·r^y₂) + y₄·r, rad.';

export const ghorbaniSchema = v.strictObject({
  kind: v.literal('ghorbani'),
  x1: v.optional(parameter('Amplitude x₁', LEAST, MOST, ghorbaniHelp), 8.1081),
  x2: v.optional(parameter('Amplitude x₂', 1, 20, ghorbaniHelp), 1.5413),
  x3: v.optional(parameter('Amplitude x₃', LEAST, MOST, ghorbaniHelp), 6.5202),
  x4: v.optional(parameter('Amplitude x₄', -MOST, 0, ghorbaniHelp), -0.0718),
  y1: v.optional(parameter('Phase y₁', -MOST, MOST, ghorbaniPhaseHelp), 4.6645),
  y2: v.optional(parameter('Phase y₂', 0.1, 20, ghorbaniPhaseHelp), 2.0965),
  y3: v.optional(parameter('Phase y₃', 0, MOST, ghorbaniPhaseHelp), 10.88),
  y4: v.optional(parameter('Phase y₄', -MOST, MOST, ghorbaniPhaseHelp), -0.003),
});

export const MOST_ENVELOPE_POINTS = 4096;

const envelopePointSchema = v.strictObject({
  inputDbm: parameter('Input', -200, 100, 'Power of a constant carrier at the input.', 'dBm'),
  outputDbm: parameter('Output', -200, 100, 'Power at the output.', 'dBm'),
  phaseDeg: v.optional(parameter('Phase', -1e4, 1e4, 'Phase of the output against the input.', '°'), 0),
});

export const envelopePointsSchema = v.strictObject({
  kind: v.literal('envelopePoints'),
  points: v.pipe(
    v.array(envelopePointSchema, `must be a list of points${RULE_END}write { "inputDbm": -10, "outputDbm": 20 }`),
    v.minLength(3, `must hold at least three points${RULE_END}give more points`),
    v.maxLength(MOST_ENVELOPE_POINTS, `must hold at most ${MOST_ENVELOPE_POINTS} points${RULE_END}leave points out`),
    v.check(
      (points) => points.every((point, i) => i === 0 || point.inputDbm > (points[i - 1]?.inputDbm ?? point.inputDbm)),
      `must have strictly rising input powers${RULE_END}sort the points and remove repeats`,
    ),
    v.metadata(
      described(
        'Points',
        'Measured with a constant carrier, the lowest where the gain is still constant. In between a monotone interpolation; the drive is held at the last point.',
      ),
    ),
  ),
});

/** States slower than any filter: heat and charge traps, settled with the drive actually used. */
export const slowStatesSchema = v.strictObject({
  heatDepthRatio: v.optional(
    parameter('Heating depth', 0, 0.2, 'Gain lost per unit of slowly averaged envelope power.'),
    0,
  ),
  heatTimeConstantS: v.optional(
    parameter('Thermal time constant', 1e-7, 10, 'One-pole average of the envelope power.', 's'),
    400e-6,
  ),
  trapDepthRatio: v.optional(
    parameter('Trapping depth', 0, 0.2, 'Gain lost per unit of the trap’s state, which follows envelope peaks.'),
    0,
  ),
  trapAttackS: v.optional(parameter('Trap attack', 1e-7, 10, 'Time constant while the traps fill.', 's'), 15e-6),
  trapReleaseS: v.optional(parameter('Trap release', 1e-7, 10, 'Time constant while they empty.', 's'), 3e-3),
  phasePerGainDeg: v.optional(
    parameter('Phase per gain lost', -360, 360, 'Phase for each unit of gain that the slow states take.', '°'),
    0,
  ),
});

export type SalehSettings = v.InferOutput<typeof salehSchema>;
export type RappSettings = v.InferOutput<typeof rappSchema>;
export type ModifiedRappSettings = v.InferOutput<typeof modifiedRappSchema>;
export type GhorbaniSettings = v.InferOutput<typeof ghorbaniSchema>;
export type EnvelopePointsSettings = v.InferOutput<typeof envelopePointsSchema>;
export type EnvelopePoint = EnvelopePointsSettings['points'][number];
export type SlowStatesSettings = v.InferOutput<typeof slowStatesSchema>;

/** The power scale that measured points bring along: their largest output, and the gain at the lowest. */
export function pointsScale(points: readonly EnvelopePoint[]): { saturatedPowerDbm: number; gainDb: number } {
  const [lowest] = points;
  if (lowest === undefined) throw new RangeError('pointsScale: no points');
  return {
    saturatedPowerDbm: points.reduce((most, { outputDbm }) => Math.max(most, outputDbm), Number.NEGATIVE_INFINITY),
    gainDb: lowest.outputDbm - lowest.inputDbm,
  };
}
