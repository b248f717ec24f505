// The scenario: everything one run needs, as plain data. This schema drives checking, form controls,
// `--set`, the published JSON Schema and the reference documentation.
import * as v from 'valibot';
import { publishedAmplifierIds } from '../tables/publishedAmplifierIds.ts';
import { choice, complexNumber, count, described, quantity, quantityOr, RULE_END, text } from './field.ts';

/** Version of the scenario file's shape. */
export const SCENARIO_FORMAT = 1;

const relativePowerDb = quantity({
  label: 'Relative power',
  unit: 'dB',
  minimum: -60,
  maximum: 0,
  help: 'Power of this carrier against the strongest one.',
});

const offsetHz = quantity({
  label: 'Carrier offset',
  unit: 'Hz',
  minimum: -5e9,
  maximum: 5e9,
  help: 'Centre of the carrier against the centre of the record; moved to the nearest whole cycle per record.',
});

export const ofdmCarrierSchema = v.strictObject({
  kind: v.literal('ofdm'),
  offsetHz: v.optional(offsetHz, 0),
  standard: v.optional(
    choice(['lte', 'nr'], { label: 'Numerology', help: 'Whose table gives the number of subcarriers.' }),
    'nr',
  ),
  channelBandwidthHz: quantity({
    label: 'Channel bandwidth',
    unit: 'Hz',
    minimum: 1.4e6,
    maximum: 100e6,
    help: 'Channel bandwidth of the standard’s table (TS 36.104, TS 38.104 FR1).',
  }),
  subcarrierSpacingHz: v.optional(
    quantity({
      label: 'Subcarrier spacing',
      unit: 'Hz',
      minimum: 15e3,
      maximum: 60e3,
      help: '15, 30 or 60 kHz as the table allows.',
    }),
    15e3,
  ),
  modulation: v.optional(
    choice(['QPSK', '16QAM', '64QAM', '256QAM', '1024QAM'], {
      label: 'Modulation',
      help: 'Mapping of TS 38.211 clause 5.1.',
    }),
    '64QAM',
  ),
  relativePowerDb: v.optional(relativePowerDb, 0),
});

export const noiseCarrierSchema = v.strictObject({
  kind: v.literal('noise'),
  offsetHz: v.optional(offsetHz, 0),
  occupiedBandwidthHz: quantity({
    label: 'Occupied bandwidth',
    unit: 'Hz',
    minimum: 1e3,
    maximum: 2e9,
    help: 'Width of the flat band of complex Gaussian noise.',
  }),
  channelBandwidthHz: v.optional(
    quantityOr('auto', {
      label: 'Channel bandwidth',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 2e9,
      help: 'Spacing of the neighbouring channel; "auto" takes the occupied bandwidth.',
    }),
    'auto',
  ),
  relativePowerDb: v.optional(relativePowerDb, 0),
});

export const carrierSchema = v.variant(
  'kind',
  [ofdmCarrierSchema, noiseCarrierSchema],
  `must be a carrier of kind "ofdm" or "noise"${RULE_END}set its kind`,
);

const spectralEdgeSchema = v.variant(
  'kind',
  [
    v.strictObject({
      kind: v.literal('channelFilter'),
      tapCount: v.optional(
        quantityOr('auto', {
          label: 'Filter taps',
          unit: null,
          integer: true,
          minimum: 15,
          maximum: 8193,
          help: 'Length of the linear-phase channel filter (odd); "auto" fits the guard band.',
        }),
        'auto',
      ),
      cutoffHz: v.optional(
        quantityOr('auto', {
          label: 'Filter cut-off',
          unit: 'Hz',
          minimum: 1e3,
          maximum: 1e9,
          help: 'Half-amplitude frequency from the carrier centre; "auto" lies 60 % into the guard band.',
        }),
        'auto',
      ),
      kaiserBeta: v.optional(
        quantity({ label: 'Kaiser beta', unit: null, minimum: 0, maximum: 20, help: 'Window shape of the filter.' }),
        9,
      ),
    }),
    v.strictObject({
      kind: v.literal('symbolOverlap'),
      overlapS: quantity({
        label: 'Symbol overlap',
        unit: 's',
        minimum: 0,
        maximum: 10e-6,
        help: 'Length of the raised-cosine overlap between neighbouring symbols.',
      }),
    }),
    v.strictObject({ kind: v.literal('none') }),
  ],
  `must be of kind "channelFilter", "symbolOverlap" or "none"${RULE_END}set its kind`,
);

export const crestFactorReductionSchema = v.strictObject({
  targetPaprDb: quantity({
    label: 'Target crest factor',
    unit: 'dB',
    minimum: 3,
    maximum: 20,
    help: 'Peak-to-average power ratio wanted at the stated probability.',
  }),
  probability: v.optional(
    quantity({
      label: 'Probability',
      unit: null,
      minimum: 1e-6,
      maximum: 0.1,
      help: 'Share of samples allowed above the target.',
    }),
    1e-4,
  ),
  roundCount: v.optional(
    count({ label: 'Rounds', minimum: 1, maximum: 100, help: 'Rounds of clipping and filtering.' }),
    12,
  ),
  evmBudgetPercent: v.optional(
    v.nullable(
      quantity({
        label: 'EVM budget',
        unit: '%',
        minimum: 0,
        maximum: 50,
        help: 'Most EVM that crest-factor reduction may spend; a target that spends more is answered with a warning.',
      }),
    ),
    null,
  ),
});

export const waveformSchema = v.strictObject({
  carriers: v.pipe(
    v.array(carrierSchema, `must be a list of carriers${RULE_END}write [ { "kind": "ofdm", … } ]`),
    v.minLength(1, `must hold at least one carrier${RULE_END}add a carrier`),
    v.maxLength(32, `must hold at most 32 carriers${RULE_END}remove some`),
    v.metadata(described('Carriers', 'Each of kind "ofdm" or "noise".')),
  ),
  symbolCount: v.optional(
    count({
      label: 'Symbols in the record',
      minimum: 2,
      maximum: 4000,
      help: 'Record length in OFDM symbols of the widest symbol; used when any carrier is OFDM.',
    }),
    24,
  ),
  sampleCount: v.optional(
    count({
      label: 'Samples in the record',
      minimum: 4096,
      maximum: 2 ** 24,
      help: 'Record length in samples, a power of two; used when all carriers are noise.',
    }),
    2 ** 18,
  ),
  sampleRateHz: v.optional(
    quantityOr('auto', {
      label: 'Sample rate',
      unit: 'Hz',
      minimum: 1e4,
      maximum: 20e9,
      help: 'Power of two times the subcarrier spacing; "auto" makes room for fifth-order products of all carriers.',
    }),
    'auto',
  ),
  spectralEdge: v.optional(spectralEdgeSchema, {
    kind: 'channelFilter',
    tapCount: 'auto',
    cutoffHz: 'auto',
    kaiserBeta: 9,
  }),
  crestFactorReduction: v.optional(v.nullable(crestFactorReductionSchema), null),
});

const modelRateHz = quantityOr('any', {
  label: 'Model rate',
  unit: 'Hz',
  minimum: 1e4,
  maximum: 20e9,
  help: 'Sample rate at which the model’s taps hold; drive and output are resampled to it. "any" is for memoryless models: one with taps becomes another amplifier at another sample rate.',
});

const driveRange = quantityOr('none', {
  label: 'Drive range',
  unit: null,
  minimum: 1e-6,
  maximum: 1e6,
  help: 'Largest drive amplitude the polynomial was fitted for; beyond it the drive is held at the edge. "none" removes the guard.',
});

const saturatedAmplitude = quantityOr('peakOfRange', {
  label: 'Saturated amplitude',
  unit: null,
  minimum: 1e-9,
  maximum: 1e9,
  help: 'Output amplitude of the raw model that is 0 dB output back-off; "peakOfRange" takes its largest CW output within the drive range.',
});

function orderList(label: string, help: string, lowest: number) {
  return v.pipe(
    v.array(
      count({ label: 'Nonlinear order', minimum: lowest, maximum: 25, help: 'Order k of the term x·|x|^(k−1).' }),
      `must be a list of orders${RULE_END}write for example [3, 5, 7]`,
    ),
    v.minLength(1, `must hold at least one order${RULE_END}add order ${lowest}`),
    v.check(
      (orders) => orders.every((order, i) => i === 0 || order > (orders[i - 1] as number)),
      `must be strictly rising${RULE_END}sort the orders and remove repeats`,
    ),
    v.metadata(described(label, help)),
  );
}

const nonlinearOrders = orderList('Nonlinear orders', 'Orders k of the terms x·|x|^(k−1), rising.', 1);

const memoryDepth = count({
  label: 'Memory depth',
  minimum: 1,
  maximum: 64,
  help: 'Number of delays, including zero (taps).',
});

function complexList(label: string, help: string) {
  return v.pipe(
    v.array(complexNumber, `must be a list of complex numbers${RULE_END}write [ { "re": 1, "im": 0 } ]`),
    v.minLength(1, `must hold at least one number${RULE_END}add { "re": 1, "im": 0 }`),
    v.metadata(described(label, help)),
  );
}

export const filterNonlinearityFilterSchema = v.strictObject({
  kind: v.literal('filterNonlinearityFilter'),
  modelRateHz: v.optional(modelRateHz, 'any'),
  inputTaps: v.optional(complexList('Input taps', 'Filter ahead of the nonlinearity, at the model rate.'), [
    { re: 1, im: 0 },
  ]),
  biasDepthRatio: v.optional(
    quantity({
      label: 'Bias sag',
      unit: null,
      minimum: 0,
      maximum: 0.2,
      help: 'Gain lost per unit of averaged envelope power (bias-network memory).',
    }),
    0,
  ),
  biasTimeConstantS: v.optional(
    quantity({
      label: 'Bias time constant',
      unit: 's',
      minimum: 0,
      maximum: 1e-3,
      help: 'One-pole average of the envelope power.',
    }),
    0,
  ),
  kneeSharpness: quantity({
    label: 'Knee sharpness',
    unit: null,
    minimum: 0.2,
    maximum: 50,
    help: 'p in r/(1+r^2p)^(1/2p): 1 is soft, 3 is hard (Rapp 1991).',
  }),
  amPmDeg: v.optional(
    quantity({
      label: 'AM/PM',
      unit: '°',
      minimum: -90,
      maximum: 90,
      help: 'Phase at high drive: amPmDeg·r²/(amPmHalfPower + r²).',
    }),
    0,
  ),
  amPmHalfPower: v.optional(
    quantity({
      label: 'AM/PM half-way power',
      unit: null,
      minimum: 1e-3,
      maximum: 100,
      help: 'Envelope power at which half the phase is reached.',
    }),
    0.3,
  ),
  outputTaps: v.optional(complexList('Output taps', 'Filter behind the nonlinearity, at the model rate.'), [
    { re: 1, im: 0 },
  ]),
});

export const memoryPolynomialSchema = v.strictObject({
  kind: v.literal('memoryPolynomial'),
  modelRateHz: v.optional(modelRateHz, 'any'),
  nonlinearOrders,
  memoryDepth,
  coefficients: complexList('Coefficients', 'Delay by delay, in each delay order by order: index m·orderCount + k.'),
  driveRange,
  saturatedAmplitude: v.optional(saturatedAmplitude, 'peakOfRange'),
});

export const generalizedMemoryPolynomialSchema = v.strictObject({
  kind: v.literal('generalizedMemoryPolynomial'),
  modelRateHz: v.optional(modelRateHz, 'any'),
  terms: v.pipe(
    v.array(
      v.strictObject({
        delaySamples: quantity({
          label: 'Delay',
          unit: null,
          integer: true,
          minimum: -64,
          maximum: 64,
          help: 'l in x[n−l]·|x[n−l−m]|^(k−1).',
        }),
        envelopeDelaySamples: quantity({
          label: 'Envelope delay',
          unit: null,
          integer: true,
          minimum: -64,
          maximum: 64,
          help: 'm in x[n−l]·|x[n−l−m]|^(k−1).',
        }),
        nonlinearOrders,
        coefficients: complexList('Coefficients', 'One for each nonlinear order.'),
      }),
    ),
    v.minLength(1, `must hold at least one term${RULE_END}add a term`),
    v.metadata(described('Terms', 'One for each pair of delays.')),
  ),
  driveRange,
  saturatedAmplitude: v.optional(saturatedAmplitude, 'peakOfRange'),
});

export const publishedAmplifierSchema = v.strictObject({
  kind: v.literal('published'),
  id: choice(publishedAmplifierIds, {
    label: 'Published model',
    help: 'A model printed in a standards contribution or a paper, with its source.',
  }),
});

const amplifierModelSchema = v.variant(
  'kind',
  [filterNonlinearityFilterSchema, memoryPolynomialSchema, generalizedMemoryPolynomialSchema, publishedAmplifierSchema],
  `must be of kind "filterNonlinearityFilter", "memoryPolynomial", "generalizedMemoryPolynomial" or "published"${RULE_END}set its kind`,
);

export const powerModelSchema = v.strictObject({
  class: v.optional(
    choice(['A', 'AB', 'B', 'twoDevice'], {
      label: 'Class',
      help: 'Ideal power model: class A, AB or B, or two devices of which the second joins in at half the amplitude.',
    }),
    'B',
  ),
  efficiencyFactor: v.optional(
    quantity({
      label: 'Efficiency factor',
      unit: null,
      minimum: 0.1,
      maximum: 1,
      help: 'Real over ideal drain efficiency, for losses, knee voltage and bias the ideal model leaves out.',
    }),
    1,
  ),
  quiescentRatio: v.optional(
    quantity({
      label: 'Quiescent current',
      unit: null,
      minimum: 0,
      maximum: 0.5,
      help: 'Bias over peak device current, for class AB only: 0 is class B, 0.5 is class A.',
    }),
    0.1,
  ),
});

export const amplifierSchema = v.strictObject({
  model: amplifierModelSchema,
  saturatedPowerDbm: v.nullable(
    quantity({
      label: 'Saturated power',
      unit: 'dBm',
      minimum: -50,
      maximum: 90,
      help: 'Power at the amplifier’s output that is 0 dB output back-off; null when it is not known.',
    }),
  ),
  gainDb: v.optional(
    quantity({
      label: 'Gain',
      unit: 'dB',
      minimum: -20,
      maximum: 120,
      help: 'Small-signal gain; gives the drive in dBm.',
    }),
    0,
  ),
  outputLossDb: v.optional(
    quantity({
      label: 'Output loss',
      unit: 'dB',
      minimum: 0,
      maximum: 30,
      help: 'Circulator, filter and switch between amplifier and antenna port, where limits are judged.',
    }),
    0,
  ),
  power: v.optional(powerModelSchema, {}),
});

const powerChoices = {
  outputBackoffDb: quantity({
    label: 'Output back-off',
    unit: 'dB',
    minimum: 0.05,
    maximum: 60,
    help: 'Mean output power below saturated power.',
  }),
  meanPowerDbm: quantity({
    label: 'Mean output power',
    unit: 'dBm',
    minimum: -100,
    maximum: 90,
    help: 'Mean power at the amplifier’s output.',
  }),
  meanPowerW: quantity({
    label: 'Mean output power',
    unit: 'W',
    minimum: 1e-12,
    maximum: 1e6,
    help: 'Mean power at the amplifier’s output.',
  }),
  antennaMeanDbm: quantity({
    label: 'Mean power at the antenna port',
    unit: 'dBm',
    minimum: -100,
    maximum: 90,
    help: 'Mean power after the output loss.',
  }),
};

/** Exactly one of four ways to say the wanted power. */
export const operatingPointSchema = v.pipe(
  v.strictObject({
    outputBackoffDb: v.optional(powerChoices.outputBackoffDb),
    meanPowerDbm: v.optional(powerChoices.meanPowerDbm),
    meanPowerW: v.optional(powerChoices.meanPowerW),
    antennaMeanDbm: v.optional(powerChoices.antennaMeanDbm),
  }),
  v.check(
    (point) => Object.values(point).filter((value) => value !== undefined).length === 1,
    `must give exactly one of outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm${RULE_END}keep one of them`,
  ),
);

export const learningSchema = v.strictObject({
  method: v.optional(
    choice(['indirect'], {
      label: 'Learning',
      help: 'Indirect learning: fit the post-inverse, copy it in front, repeat.',
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

const memoryPolynomialPredistorterSchema = v.strictObject({
  kind: v.optional(v.literal('memoryPolynomial'), 'memoryPolynomial'),
  nonlinearOrders: v.optional(nonlinearOrders, [1, 3, 5, 7, 9]),
  memoryDepth: v.optional(memoryDepth, 3),
  learning: v.optional(learningSchema, {}),
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
  learning: v.optional(learningSchema, {}),
});

export const predistorterSchema = v.variant(
  'kind',
  [memoryPolynomialPredistorterSchema, generalizedPredistorterSchema],
  `must be of kind "memoryPolynomial" or "generalizedMemoryPolynomial"${RULE_END}set its kind`,
);

export const seedsSchema = v.pipe(
  v.strictObject({
    judging: v.optional(
      count({
        label: 'Judging seed',
        minimum: 0,
        maximum: 2 ** 31,
        help: 'Seed of the record all figures are read from.',
      }),
      1,
    ),
    training: v.optional(
      count({
        label: 'Training seed',
        minimum: 0,
        maximum: 2 ** 31,
        help: 'Seed of the record the predistorter learns on.',
      }),
      2,
    ),
    selection: v.optional(
      count({
        label: 'Selection seed',
        minimum: 0,
        maximum: 2 ** 31,
        help: 'Seed of the record on which the best pass is chosen.',
      }),
      3,
    ),
  }),
  v.check(
    (seeds) => new Set([seeds.judging, seeds.training, seeds.selection]).size === 3,
    `must be three different numbers${RULE_END}training, selection and judging records may not be the same`,
  ),
);

export const measurementSchema = v.strictObject({
  spectrum: v.optional(
    v.strictObject({
      method: v.optional(
        choice(['segments', 'wholeRecord'], {
          label: 'Estimator',
          help: 'Averaged windowed segments, or the whole periodic record on exact bins.',
        }),
        'segments',
      ),
      window: v.optional(
        choice(['blackmanHarris', 'hann', 'rectangular', 'flatTop'], {
          label: 'Window',
          help: 'Window of the segments.',
        }),
        'blackmanHarris',
      ),
      segmentLength: v.optional(
        count({
          label: 'Segment length',
          minimum: 64,
          maximum: 2 ** 20,
          help: 'Samples in a segment, a power of two.',
        }),
        8192,
      ),
      overlapRatio: v.optional(
        quantity({
          label: 'Overlap',
          unit: null,
          minimum: 0,
          maximum: 0.95,
          help: 'Share of a segment that overlaps the next.',
        }),
        0.5,
      ),
    }),
    {},
  ),
  channels: v.optional(
    v.pipe(
      v.union(
        [
          v.literal('auto'),
          v.array(
            v.strictObject({
              offsetHz: quantity({
                label: 'Channel offset',
                unit: 'Hz',
                minimum: 1,
                maximum: 5e9,
                help: 'Centre of the measured channel from the outer carrier’s centre; both sides are read.',
              }),
              bandwidthHz: quantity({
                label: 'Channel bandwidth',
                unit: 'Hz',
                minimum: 1,
                maximum: 5e9,
                help: 'Integration bandwidth of the measured channel.',
              }),
            }),
          ),
        ],
        `must be "auto" or a list of { offsetHz, bandwidthHz }${RULE_END}write "auto" for adjacent and alternate`,
      ),
      v.metadata(
        described(
          'Measured channels',
          'Channels beside the outer carriers; "auto" takes adjacent and alternate of equal width, a list replaces them.',
        ),
      ),
    ),
    'auto',
  ),
  evm: v.optional(
    v.strictObject({
      equalizer: v.optional(
        choice(['none', 'oneGain', 'perSubcarrier'], {
          label: 'Equalizer',
          help: 'none: scaled to the reference’s rms; oneGain: one complex gain; perSubcarrier: one tap per subcarrier, averaged over all symbols.',
        }),
        'perSubcarrier',
      ),
      reference: v.optional(
        choice(['data', 'shaped'], {
          label: 'Reference',
          help: 'The data before crest-factor reduction, or the waveform after it.',
        }),
        'data',
      ),
    }),
    {},
  ),
});

export const limitSchema = v.variant(
  'reading',
  [
    v.strictObject({
      reading: v.literal('aclr'),
      channel: v.optional(
        choice(['adjacent', 'alternate', 'all'], { label: 'Channel', help: 'Which channel the limit holds for.' }),
        'adjacent',
      ),
      requiredDb: quantity({
        label: 'ACLR required',
        unit: 'dB',
        minimum: 0,
        maximum: 120,
        help: 'Own channel over neighbouring channel.',
      }),
      source: v.optional(text({ label: 'Source', help: 'Table or contract the limit comes from.' }), 'own limit'),
    }),
    v.strictObject({
      reading: v.literal('evm'),
      requiredPercent: quantity({
        label: 'EVM allowed',
        unit: '%',
        minimum: 0.01,
        maximum: 100,
        help: 'Largest rms error vector magnitude.',
      }),
      source: v.optional(text({ label: 'Source', help: 'Table or contract the limit comes from.' }), 'own limit'),
    }),
  ],
  `must be a limit on "aclr" or "evm"${RULE_END}set its reading`,
);

export const scenarioSchema = v.strictObject({
  format: v.optional(
    v.pipe(
      v.literal(
        SCENARIO_FORMAT,
        `must be ${SCENARIO_FORMAT}${RULE_END}this version reads scenario format ${SCENARIO_FORMAT}`,
      ),
      v.metadata(described('Format', 'Version of the file’s shape.')),
    ),
    SCENARIO_FORMAT,
  ),
  title: v.optional(text({ label: 'Title', help: 'Name of the scenario.' }), 'Untitled scenario'),
  story: v.optional(text({ label: 'Story', help: 'What is asked and why, in a few sentences.' }), ''),
  carrierFrequencyHz: v.optional(
    v.nullable(
      quantity({
        label: 'Carrier frequency',
        unit: 'Hz',
        minimum: 1e3,
        maximum: 1e12,
        help: 'Printed with the figures and written into records; changes no figure: the model is in complex baseband.',
      }),
    ),
    null,
  ),
  waveform: waveformSchema,
  amplifier: amplifierSchema,
  operatingPoint: operatingPointSchema,
  predistorter: v.optional(v.nullable(predistorterSchema), { kind: 'memoryPolynomial' }),
  seeds: v.optional(seedsSchema, {}),
  measurement: v.optional(measurementSchema, {}),
  limits: v.optional(
    v.pipe(
      v.array(limitSchema, `must be a list of limits${RULE_END}write [ { "reading": "aclr", "requiredDb": 45 } ]`),
      v.metadata(described('Limits', 'Each on the reading "aclr" or "evm", judged at the antenna port.')),
    ),
    [],
  ),
});

/** A scenario as it may be written: fields with defaults may be left out. */
export type ScenarioInput = v.InferInput<typeof scenarioSchema>;
/** A scenario with every default filled in. */
export type Scenario = v.InferOutput<typeof scenarioSchema>;
export type WaveformSettings = Scenario['waveform'];
export type CarrierSettings = WaveformSettings['carriers'][number];
export type OfdmCarrierSettings = Extract<CarrierSettings, { kind: 'ofdm' }>;
export type NoiseCarrierSettings = Extract<CarrierSettings, { kind: 'noise' }>;
export type SpectralEdgeSettings = WaveformSettings['spectralEdge'];
export type CrestFactorReductionSettings = NonNullable<WaveformSettings['crestFactorReduction']>;
export type AmplifierSettings = Scenario['amplifier'];
export type AmplifierModelSettings = AmplifierSettings['model'];
export type FilterNonlinearityFilterSettings = Extract<AmplifierModelSettings, { kind: 'filterNonlinearityFilter' }>;
export type MemoryPolynomialSettings = Extract<AmplifierModelSettings, { kind: 'memoryPolynomial' }>;
export type GeneralizedMemoryPolynomialSettings = Extract<
  AmplifierModelSettings,
  { kind: 'generalizedMemoryPolynomial' }
>;
export type PowerModelSettings = AmplifierSettings['power'];
export type OperatingPointSettings = Scenario['operatingPoint'];
export type PredistorterSettings = NonNullable<Scenario['predistorter']>;
export type CrossTermSettings = Extract<PredistorterSettings, { kind: 'generalizedMemoryPolynomial' }>['crossTerms'];
export type LearningSettings = PredistorterSettings['learning'];
export type SeedSettings = Scenario['seeds'];
export type MeasurementSettings = Scenario['measurement'];
export type LimitSettings = Scenario['limits'][number];
