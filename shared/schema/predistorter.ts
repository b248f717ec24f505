// The predistorter: its structure, how its coefficients are learned, through which observation, in which numbers.
import * as v from 'valibot';
import { choice, count, described, quantity, quantityOr, RULE_END, text } from './field.ts';
import { complexList, memoryDepth, nonlinearOrders, orderList } from './polynomialFields.ts';
import { observationSchema } from './signalPaths.ts';

/** Structure of the amplifier model that forward-model learning fits. */
const forwardModelSchema = v.strictObject({
  nonlinearOrders: v.optional(nonlinearOrders, [1, 3, 5, 7, 9]),
  memoryDepth: v.optional(memoryDepth, 3),
});

/** Sample-recursive in place of batch fits: coefficients move with every sample of the training record. */
const adaptationSchema = v.strictObject({
  kind: choice(['lms', 'rls'], {
    label: 'Adaptation',
    help: 'Normalised least mean squares, or recursive least squares.',
  }),
  stepRatio: v.optional(
    quantity({ label: 'Step', unit: null, minimum: 1e-6, maximum: 2, help: 'μ of least mean squares.' }),
    0.1,
  ),
  forgettingRatio: v.optional(
    quantity({ label: 'Forgetting', unit: null, minimum: 0.9, maximum: 1, help: 'λ of recursive least squares.' }),
    0.9999,
  ),
});

export const learningSchema = v.strictObject({
  method: v.optional(
    choice(['indirect', 'forwardModel', 'direct'], {
      label: 'Learning',
      help: 'Indirect: fit the post-inverse, copy it in front, repeat. Forward model: fit the amplifier, invert the fit, so that observation noise does not shrink the inverse. Direct: correct the coefficients by the damped output error, pass by pass.',
    }),
    'indirect',
  ),
  passCount: v.optional(
    count({
      label: 'Passes',
      minimum: 1,
      maximum: 20,
      help: 'Fits in a row; the best on the selection record is kept.',
    }),
    3,
  ),
  ridge: v.optional(
    quantity({ label: 'Ridge', unit: null, minimum: 0, maximum: 1, help: 'λ added to the unit-diagonal Gram matrix.' }),
    0,
  ),
  solver: v.optional(
    choice(['cholesky', 'qr'], {
      label: 'Solver',
      help: 'Normal equations by Cholesky, or QR of the regressor matrix.',
    }),
    'cholesky',
  ),
  basis: v.optional(
    choice(['monomial', 'gaussian', 'uniform'], {
      label: 'Basis of the fit',
      help: 'The same functions for polynomials, by a numerically better route: powers as they are, or polynomials orthogonal for a Gaussian signal or for a uniform amplitude.',
    }),
    'monomial',
  ),
  dampingRatio: v.optional(
    quantity({
      label: 'Damping',
      unit: null,
      minimum: 0.05,
      maximum: 1,
      help: 'Share of the found correction that a pass of direct learning takes.',
    }),
    0.6,
  ),
  forwardModel: v.optional(v.nullable(forwardModelSchema), null),
  adaptation: v.optional(v.nullable(adaptationSchema), null),
  bestDrivePassCount: v.optional(
    count({
      label: 'Passes of the best drive',
      minimum: 0,
      maximum: 40,
      help: 'Sample-wise iterative learning on the judging record: the drive no structure limits, shown as the best possible. Eight passes take about a fifth of a run; 0 leaves it out, and studies do.',
    }),
    8,
  ),
  trainingSampleCount: v.optional(
    quantityOr('all', {
      label: 'Training samples',
      unit: null,
      integer: true,
      minimum: 50,
      maximum: 2 ** 24,
      help: 'Consecutive samples the fit sees; "all" takes the whole record.',
    }),
    'all',
  ),
  driveCeilingRatio: v.optional(
    quantity({
      label: 'Drive ceiling',
      unit: null,
      minimum: 0.1,
      maximum: 100,
      help: 'Largest drive amplitude sent, in units of the knee (small-signal drive that would reach saturation).',
    }),
    2.2,
  ),
});

/** Word lengths of the predistorter's logic; "double" is what everything else is computed with. */
const numberFormatSchema = v.strictObject({
  coefficientBitCount: v.optional(
    quantityOr('double', {
      label: 'Coefficient word',
      unit: null,
      integer: true,
      minimum: 4,
      maximum: 32,
      help: 'Bits of real and of imaginary part, of the table’s gains where there is a table; full scale is the largest.',
    }),
    'double',
  ),
  dataBitCount: v.optional(
    quantityOr('double', {
      label: 'Data word',
      unit: null,
      integer: true,
      minimum: 4,
      maximum: 32,
      help: 'Bits of real and of imaginary part of the drive, the predistorter’s output; full scale is the drive ceiling.',
    }),
    'double',
  ),
  tableEntryCount: v.optional(
    quantityOr('none', {
      label: 'Gain table',
      unit: null,
      integer: true,
      minimum: 2,
      maximum: 65536,
      help: 'Entries of the table that stands for a polynomial’s gain, at equal steps from zero to the waveform’s largest amplitude; "none" computes the polynomial.',
    }),
    'none',
  ),
  tableInterpolation: v.optional(
    choice(['linear', 'nearest'], { label: 'Between table entries', help: 'Straight line, or the nearest entry.' }),
    'linear',
  ),
  rounding: v.optional(
    choice(['nearest', 'truncate'], { label: 'Rounding', help: 'To the nearest value, or towards minus infinity.' }),
    'nearest',
  ),
});

/** Coefficients learned before: used as they are, or gone on from. */
const storedSchema = v.strictObject({
  name: v.optional(text({ label: 'Stored as', help: 'Name of the stored predistorter.' }), ''),
  coefficients: complexList('Stored coefficients', 'In the order of the structure, for the drive scale below.'),
  sampleRateHz: quantity({
    label: 'Sample rate of the coefficients',
    unit: 'Hz',
    minimum: 1e3,
    maximum: 20e9,
    help: 'Taps hold at one rate only.',
  }),
  driveScaleRatio: quantity({
    label: 'Drive scale',
    unit: null,
    minimum: 1e-9,
    maximum: 1e9,
    help: 'From a waveform of unit rms to the predistorter’s input at the power it was learned for.',
  }),
  kneeAmplitude: v.optional(
    quantity({
      label: 'Knee in record units',
      unit: null,
      minimum: 1e-9,
      maximum: 1e9,
      help: 'Amplitude of a drive at the knee in the units of records that predistort takes: the model’s own.',
    }),
    1,
  ),
  levelBy: v.optional(
    choice(['drive', 'analogueGain'], {
      label: 'Power is set by',
      help: 'The digital level ahead of the predistorter, or an analogue gain behind it: two different axes.',
    }),
    'drive',
  ),
  passCount: v.optional(
    count({
      label: 'Passes from there',
      minimum: 0,
      maximum: 20,
      help: 'Passes of learning that go on from the stored coefficients; 0 uses them as they are.',
    }),
    0,
  ),
  learnedFor: v.optional(
    text({ label: 'Learned for', help: 'Carriers, power and amplifier the coefficients were learned for.' }),
    '',
  ),
});

const memoryDepthByOrder = v.optional(
  v.nullable(
    v.pipe(
      v.array(memoryDepth, `must be a list of depths${RULE_END}write one for each order, such as [3, 3, 2]`),
      v.metadata(
        described('Memory depth by order', 'One for each nonlinear order, in place of one for all; null for none.'),
      ),
    ),
  ),
  null,
);

const commonParts = {
  learning: v.optional(learningSchema, {}),
  observation: v.optional(v.nullable(observationSchema), null),
  numbers: v.optional(v.nullable(numberFormatSchema), null),
  stored: v.optional(v.nullable(storedSchema), null),
};

const memoryPolynomialPredistorterSchema = v.strictObject({
  kind: v.optional(v.literal('memoryPolynomial'), 'memoryPolynomial'),
  nonlinearOrders: v.optional(nonlinearOrders, [1, 3, 5, 7, 9]),
  memoryDepth: v.optional(memoryDepth, 3),
  memoryDepthByOrder,
  ...commonParts,
});

const envelopeDelayCount = (label: string, help: string) =>
  count({ label, minimum: 0, maximum: 16, help: `${help}; 0 leaves these terms out.` });

/** Order 1 has no envelope: with an envelope delay it would be the same term again. */
const crossTermOrders = orderList(
  'Cross-term orders',
  'Orders k of the cross terms x[n−l]·|x[n−l−m]|^(k−1), rising; order 1 has no envelope to delay.',
  2,
);

export const crossTermsSchema = v.strictObject({
  nonlinearOrders: v.optional(crossTermOrders, [3, 5]),
  laggingEnvelopeDelays: v.optional(
    envelopeDelayCount('Lagging envelope delays', 'Envelopes 1, 2, … samples behind the signal sample'),
    1,
  ),
  leadingEnvelopeDelays: v.optional(
    envelopeDelayCount('Leading envelope delays', 'Envelopes 1, 2, … samples ahead of the signal sample'),
    1,
  ),
  memoryDepth: v.optional(
    quantityOr('same', {
      label: 'Cross-term memory depth',
      unit: null,
      integer: true,
      minimum: 1,
      maximum: 64,
      help: 'Number of signal delays l of the cross terms, including zero; "same" takes the predistorter’s memory depth.',
    }),
    'same',
  ),
});

const generalizedPredistorterSchema = v.strictObject({
  kind: v.literal('generalizedMemoryPolynomial'),
  nonlinearOrders: v.optional(nonlinearOrders, [1, 3, 5, 7, 9]),
  memoryDepth: v.optional(memoryDepth, 3),
  crossTerms: v.optional(crossTermsSchema, {}),
  ...commonParts,
});

const envelopeTableSchema = v.strictObject({
  kind: v.literal('envelopeTable'),
  entryCount: v.optional(
    count({
      label: 'Table entries',
      minimum: 2,
      maximum: 512,
      help: 'Complex gains at equal steps of the drive amplitude, from zero to the drive ceiling; one table for each tap.',
    }),
    32,
  ),
  interpolation: v.optional(
    choice(['linear', 'nearest'], {
      label: 'Between entries',
      help: 'Straight line between two entries, or the nearest one.',
    }),
    'linear',
  ),
  memoryDepth: v.optional(memoryDepth, 1),
  ...commonParts,
});

export const predistorterSchema = v.variant(
  'kind',
  [memoryPolynomialPredistorterSchema, generalizedPredistorterSchema, envelopeTableSchema],
  `must be of kind "memoryPolynomial", "generalizedMemoryPolynomial" or "envelopeTable"${RULE_END}set its kind`,
);

/** Learning as it is when nothing is said of it. */
export const USUAL_LEARNING: LearningSettings = v.parse(learningSchema, {});

export type PredistorterSettings = v.InferOutput<typeof predistorterSchema>;
export type PolynomialPredistorterSettings = Exclude<PredistorterSettings, { kind: 'envelopeTable' }>;
export type CrossTermSettings = Extract<PredistorterSettings, { kind: 'generalizedMemoryPolynomial' }>['crossTerms'];
export type LearningSettings = PredistorterSettings['learning'];
export type StoredPredistorter = NonNullable<PredistorterSettings['stored']>;
export type NumberFormatSettings = NonNullable<PredistorterSettings['numbers']>;
