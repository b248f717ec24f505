// Bumps of the gain and a step of the phase: what amplifiers of two devices or with little standing current add to a knee.
import * as v from 'valibot';
import { described, quantity, RULE_END } from './field.ts';

const HIGHEST_AMPLITUDE = 4;
/** A feature narrower than this is no amplifier's, and would need a table of its own. */
const LEAST_WIDTH = 0.02;
/** Dips together may take this much of the gain at most: beyond it the output could turn back on itself or vanish. */
export const DEEPEST_DIP_RATIO = 0.9;

const amplitude = (label: string, minimum: number, help: string) =>
  quantity({ label, unit: null, minimum, maximum: HIGHEST_AMPLITUDE, help });

const gainBumpSchema = v.strictObject({
  heightRatio: quantity({
    label: 'Bump height',
    unit: null,
    minimum: -DEEPEST_DIP_RATIO,
    maximum: 1,
    help: 'Share of the gain added at the centre, negative for a dip: factor 1 + Σ heightRatio·exp(−((r − centreAmplitude)/widthAmplitude)²).',
  }),
  centreAmplitude: amplitude('Bump centre', 0, 'Envelope amplitude at the nonlinearity, 1 at the knee.'),
  widthAmplitude: amplitude('Bump width', LEAST_WIDTH, 'Distance from the centre at which 1/e of the height is left.'),
});

export const gainBumps = v.pipe(
  v.array(gainBumpSchema, `must be a list of bumps${RULE_END}write [] for none`),
  v.maxLength(8, `must hold at most 8 bumps${RULE_END}leave bumps out`),
  v.check(
    (bumps) => bumps.reduce((sum, bump) => sum + Math.min(bump.heightRatio, 0), 0) >= -DEEPEST_DIP_RATIO,
    `must leave gain: all dips together must not be below −${DEEPEST_DIP_RATIO}${RULE_END}make the dips shallower`,
  ),
  v.metadata(described('Gain bumps', 'Expansion or dips of the gain, on top of the knee.')),
);

export const amPmStepSchema = v.strictObject({
  amPmDeg: quantity({
    label: 'AM/PM step',
    unit: '°',
    minimum: -90,
    maximum: 90,
    help: 'Phase gained across the step: amPmDeg/2·(1 + tanh((r − centreAmplitude)/widthAmplitude)), besides the other AM/PM.',
  }),
  centreAmplitude: amplitude(
    'Step centre',
    0,
    'Envelope amplitude at the nonlinearity where half the phase is reached.',
  ),
  widthAmplitude: amplitude(
    'Step width',
    LEAST_WIDTH,
    'Distance from the centre at which 88 % of the phase is reached.',
  ),
});

export type GainBump = v.InferOutput<typeof gainBumpSchema>;
export type AmPmStep = v.InferOutput<typeof amPmStepSchema>;
