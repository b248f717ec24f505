// A study: one base scenario, what is varied, and which question is asked. Plain data, checked like a scenario.
import * as v from 'valibot';
import { choice, count, described, quantity, RULE_END, text } from './field.ts';
import { holdSchema } from './holdQuestion.ts';
import { crestFactorReductionSchema } from './scenario.ts';

/** Version of the study file's shape. */
export const STUDY_FORMAT = 1;

const backoffRange = {
  fromDb: v.optional(
    quantity({ label: 'From', unit: 'dB', minimum: 0.1, maximum: 40, help: 'Smallest output back-off tried.' }),
    5,
  ),
  toDb: v.optional(
    quantity({ label: 'To', unit: 'dB', minimum: 0.1, maximum: 40, help: 'Largest output back-off tried.' }),
    18,
  ),
  stepDb: v.optional(
    quantity({
      label: 'Step',
      unit: 'dB',
      minimum: 0.1,
      maximum: 10,
      help: 'Grid of the picture; answers are found between its points.',
    }),
    1,
  ),
};

const backoffSchema = v.pipe(
  v.strictObject(backoffRange),
  v.check((range) => range.toDb > range.fromDb, `must rise from fromDb to toDb${RULE_END}exchange them`),
);

/** How much back-off: every limit against output back-off, with and without correction. */
export const ladderSchema = v.strictObject({
  kind: v.literal('ladder'),
  outputBackoff: v.optional(backoffSchema, {}),
});

/** Which crest factor: targets against the EVM they spend and the power they gain. */
export const shapeSchema = v.strictObject({
  kind: v.literal('shape'),
  targetPaprDb: v.optional(
    v.pipe(
      v.array(crestFactorReductionSchema.entries.targetPaprDb),
      v.minLength(1, `must hold at least one target${RULE_END}add one`),
      v.maxLength(40, `must hold at most 40 targets${RULE_END}remove some`),
    ),
    [6.5, 7, 7.5, 8, 8.5, 9, 9.5],
  ),
  /** Whether the waveform without crest-factor reduction stands beside the targets. */
  withoutReduction: v.optional(v.boolean(`must be true or false${RULE_END}write true or false`), true),
  outputBackoff: v.optional(backoffSchema, {}),
});

const orderSchema = count({
  label: 'Highest order',
  minimum: 1,
  maximum: 15,
  help: 'Highest odd nonlinear order of a structure.',
});
const depthSchema = count({ label: 'Memory depth', minimum: 1, maximum: 12, help: 'Taps of a structure.' });

/** Which order: nonlinear order against memory depth, with the cost of each. */
export const mapSchema = v.strictObject({
  kind: v.literal('map'),
  highestOrders: v.optional(
    v.pipe(v.array(orderSchema), v.minLength(1, `must hold an order${RULE_END}add one`)),
    [1, 3, 5, 7, 9],
  ),
  memoryDepths: v.optional(
    v.pipe(v.array(depthSchema), v.minLength(1, `must hold a depth${RULE_END}add one`)),
    [1, 2, 3, 4, 5],
  ),
  structures: v.optional(
    v.array(
      choice(['memoryPolynomial', 'generalizedMemoryPolynomial'], {
        label: 'Structure',
        help: 'Basis functions compared.',
      }),
    ),
    ['memoryPolynomial', 'generalizedMemoryPolynomial'],
  ),
  clockHz: v.optional(
    v.nullable(
      quantity({
        label: 'Clock of the logic',
        unit: 'Hz',
        minimum: 1e6,
        maximum: 1e10,
        help: 'A multiplier serves as many multiplications of a sample as cycles fit into it; null leaves the count out.',
      }),
    ),
    null,
  ),
  wantedMarginDb: v.optional(
    quantity({
      label: 'Wanted margin',
      unit: 'dB',
      minimum: 0,
      maximum: 20,
      help: 'Margin to every limit that the ringed cell keeps.',
    }),
    0,
  ),
});

/** The reverse question: which amplifier, crest factor and structure for a wanted clean power. */
export const askSchema = v.strictObject({
  kind: v.literal('ask'),
  wantedAntennaMeanDbm: quantity({
    label: 'Wanted clean power',
    unit: 'dBm',
    minimum: -50,
    maximum: 90,
    help: 'Mean power wanted at the antenna port within all limits.',
  }),
  targetPaprDb: v.optional(v.array(crestFactorReductionSchema.entries.targetPaprDb), [7, 8, 9]),
  structures: v.optional(v.array(v.strictObject({ highestOrder: orderSchema, memoryDepth: depthSchema })), [
    { highestOrder: 5, memoryDepth: 2 },
    { highestOrder: 7, memoryDepth: 3 },
    { highestOrder: 9, memoryDepth: 3 },
  ]),
  outputBackoff: v.optional(backoffSchema, {}),
});

const sd = (label: string, unit: string | null, maximum: number, help: string) =>
  v.optional(quantity({ label, unit, minimum: 0, maximum, help }), 0);

/** How firm: the verdicts over seeds, and over amplifiers from one production line. */
export const spreadSchema = v.strictObject({
  kind: v.literal('spread'),
  seedCount: v.optional(
    count({ label: 'Seeds', minimum: 2, maximum: 1000, help: 'Runs with other records on the same amplifier.' }),
    8,
  ),
  unitCount: v.optional(
    count({
      label: 'Units',
      minimum: 0,
      maximum: 10000,
      help: 'Amplifiers drawn from the production spread; 0 leaves this part out.',
    }),
    0,
  ),
  unitSpread: v.optional(
    v.strictObject({
      saturatedPowerDb: sd('Saturated power', 'dB', 3, 'Standard deviation of the saturated power between units.'),
      kneeSharpness: sd('Knee sharpness', null, 1, 'Standard deviation of the knee sharpness between units.'),
      amPmDeg: sd('AM/PM', '°', 30, 'Standard deviation of the AM/PM between units.'),
      tapRatio: sd('Taps', null, 0.5, 'Standard deviation of each tap after the first, relative to its size.'),
    }),
    { saturatedPowerDb: 0.3, kneeSharpness: 0.05, amPmDeg: 1, tapRatio: 0.1 },
  ),
  unitSeed: v.optional(
    count({ label: 'Unit seed', minimum: 0, maximum: 2 ** 31, help: 'Seed of the units drawn.' }),
    1,
  ),
});

const toneBackoff = (label: string, help: string) => quantity({ label, unit: 'dB', minimum: 3.1, maximum: 60, help });

const toneSpacing = quantity({
  label: 'Tone spacing',
  unit: 'Hz',
  minimum: 100,
  maximum: 1e9,
  help: 'Distance of the two tones; moved to an odd number of half cycles per record.',
});

/** Which intercept: two-tone products against level and spacing. Levels are per tone, below saturated power. */
export const tonesSchema = v.strictObject({
  kind: v.literal('tones'),
  toneBackoff: v.optional(
    v.pipe(
      v.strictObject({
        fromDb: v.optional(toneBackoff('From', 'Highest level: one tone this far below saturated power.'), 6),
        toDb: v.optional(toneBackoff('To', 'Lowest level: one tone this far below saturated power.'), 40),
        stepDb: v.optional(
          quantity({ label: 'Step', unit: 'dB', minimum: 0.1, maximum: 10, help: 'Grid of the levels.' }),
          1,
        ),
      }),
      v.check((range) => range.toDb > range.fromDb, `must rise from fromDb to toDb${RULE_END}exchange them`),
    ),
    {},
  ),
  toneSpacingHz: v.optional(toneSpacing, 1e6),
  spacingsHz: v.optional(
    v.pipe(
      v.array(toneSpacing),
      v.maxLength(60, `must hold at most 60 spacings${RULE_END}remove some`),
      v.metadata(described('Spacings', 'Spacings of the second sweep; an empty list leaves it out.')),
    ),
    [1e5, 2e5, 5e5, 1e6, 2e6, 5e6, 10e6],
  ),
  spacingToneBackoffDb: v.optional(
    toneBackoff('Level of the spacing sweep', 'One tone this far below saturated power while the spacing changes.'),
    13,
  ),
  /** A correction learned on two tones says little of a modulated carrier, so it is left out unless asked for. */
  withCorrection: v.optional(v.boolean(`must be true or false${RULE_END}write true or false`), false),
});

/** How does a burst start: EVM symbol by symbol after silences, in which heat and traps relax. */
export const burstSchema = v.strictObject({
  kind: v.literal('burst'),
  silencesS: v.optional(
    v.pipe(
      v.array(
        quantity({
          label: 'Silence',
          unit: 's',
          minimum: 0,
          maximum: 1000,
          help: 'How long the transmitter is silent before the burst.',
        }),
      ),
      v.minLength(1, `must hold at least one silence${RULE_END}add one`),
      v.maxLength(12, `must hold at most 12 silences${RULE_END}remove some`),
      v.metadata(described('Silences', 'Times off before the burst; each gives a line of its own.')),
    ),
    [0.2e-3, 1e-3, 5e-3, 50e-3],
  ),
  recordCount: v.optional(
    count({
      label: 'Records',
      minimum: 1,
      maximum: 20,
      help: 'Records with other seeds over which every symbol is averaged: one record’s symbols scatter by some 0.3 points.',
    }),
    3,
  ),
  /** Twice what a well corrected warm burst reads: less would wait for the scatter of single symbols. */
  evmWithinPercent: v.optional(
    quantity({
      label: 'Settled under',
      unit: '%',
      minimum: 0.01,
      maximum: 100,
      help: 'A burst has settled at the first symbol from which on EVM without shaping stays under this.',
    }),
    2,
  ),
});

/** What a path study varies, with the unit of its values. */
export const PATH_PARAMETERS = {
  observationBandwidthHz: { label: 'Observation bandwidth', unit: 'Hz', place: 'predistorter.observation.bandwidthHz' },
  observationSnrDb: { label: 'Observation SNR', unit: 'dB', place: 'predistorter.observation.snrDb' },
  observationBits: {
    label: 'Observation bits',
    unit: 'bits',
    place: 'predistorter.observation.converterBitCount',
  },
  observationDelayS: { label: 'Delay error', unit: 's', place: 'predistorter.observation.delayErrorS' },
  transmitBandwidthHz: { label: 'Transmit bandwidth', unit: 'Hz', place: 'transmitter.bandwidthHz' },
  transmitBits: { label: 'Transmit bits', unit: 'bits', place: 'transmitter.converterBitCount' },
  sampleRateHz: { label: 'Sample rate', unit: 'Hz', place: 'waveform.sampleRateHz' },
} as const;

/** How good a path: correction against one figure of the observation or of the transmitter, and where more stops helping. */
export const pathSchema = v.strictObject({
  kind: v.literal('path'),
  parameter: v.optional(
    choice(
      [
        'observationBandwidthHz',
        'observationSnrDb',
        'observationBits',
        'observationDelayS',
        'transmitBandwidthHz',
        'transmitBits',
        'sampleRateHz',
      ],
      {
        label: 'Varied',
        help: 'The one figure of the paths that is varied; all others stay as the scenario has them.',
      },
    ),
    'observationBandwidthHz',
  ),
  values: v.optional(
    v.nullable(
      v.pipe(
        v.array(
          quantity({
            label: 'Value',
            unit: null,
            minimum: -1e11,
            maximum: 1e11,
            help: 'In Hz, dB, bits or s, as the varied figure is.',
          }),
        ),
        v.minLength(2, `must hold at least two values${RULE_END}add one, or write null for the usual ones`),
        v.maxLength(40, `must hold at most 40 values${RULE_END}remove some`),
        v.metadata(described('Values', 'Tried one by one; null takes the usual ones for the scenario’s signal.')),
      ),
    ),
    null,
  ),
  withinDb: v.optional(
    quantity({
      label: 'Within',
      unit: 'dB',
      minimum: 0.1,
      maximum: 10,
      help: 'A value is good enough when its ACLR stays within this of the best value’s.',
    }),
    1,
  ),
});

const questionSchema = v.variant(
  'kind',
  [ladderSchema, shapeSchema, mapSchema, askSchema, spreadSchema, tonesSchema, burstSchema, pathSchema, holdSchema],
  `must be a question of kind "ladder", "shape", "map", "ask", "spread", "tones", "burst", "path" or "hold"${RULE_END}set its kind`,
);

export const studySchema = v.strictObject({
  format: v.optional(
    v.literal(STUDY_FORMAT, `must be ${STUDY_FORMAT}${RULE_END}this version reads study format ${STUDY_FORMAT}`),
    STUDY_FORMAT,
  ),
  title: v.optional(text({ label: 'Title', help: 'Name of the study.' }), 'Untitled study'),
  story: v.optional(text({ label: 'Story', help: 'What is asked and why.' }), ''),
  /** A scenario as data, or the name of a ready-made one. Checked by the scenario's own schema. */
  scenario: v.unknown(),
  question: questionSchema,
});

export type StudyInput = v.InferInput<typeof studySchema>;
export type Study = v.InferOutput<typeof studySchema>;
export type Question = Study['question'];
export type QuestionKind = Question['kind'];
export type LadderQuestion = Extract<Question, { kind: 'ladder' }>;
export type ShapeQuestion = Extract<Question, { kind: 'shape' }>;
export type MapQuestion = Extract<Question, { kind: 'map' }>;
export type AskQuestion = Extract<Question, { kind: 'ask' }>;
export type SpreadQuestion = Extract<Question, { kind: 'spread' }>;
export type TonesQuestion = Extract<Question, { kind: 'tones' }>;
export type BurstQuestion = Extract<Question, { kind: 'burst' }>;
export type HoldQuestion = Extract<Question, { kind: 'hold' }>;
export type PathQuestion = Extract<Question, { kind: 'path' }>;
export type PathParameter = PathQuestion['parameter'];
