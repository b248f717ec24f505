// The scenario: everything one run needs, as plain data. This schema drives checking, form controls,
// `--set`, the published JSON Schema and the reference documentation.
import * as v from 'valibot';
import { publishedAmplifierIds } from '../tables/publishedAmplifierIds.ts';
import {
  envelopePointsSchema,
  ghorbaniSchema,
  modifiedRappSchema,
  rappSchema,
  salehSchema,
  slowStatesSchema,
} from './amplifierCurves.ts';
import { dataSheetSchema } from './dataSheet.ts';
import { choice, count, described, quantity, quantityOr, RULE_END, text } from './field.ts';
import { amPmStepSchema, gainBumps } from './gainShape.ts';
import { limitSchema, measurementSchema } from './measurement.ts';
import { type OverBandInputOf, type OverBandOf, overBandSchemaOf } from './overBand.ts';
import { complexList, memoryDepth, nonlinearOrders } from './polynomialFields.ts';
import { powerModelSchema } from './powerModel.ts';
import { predistorterSchema } from './predistorter.ts';
import { transmitterSchema } from './signalPaths.ts';
import { waveformSchema } from './waveform.ts';

export type {
  EnvelopePoint,
  EnvelopePointsSettings,
  GhorbaniSettings,
  ModifiedRappSettings,
  RappSettings,
  SalehSettings,
  SlowStatesSettings,
} from './amplifierCurves.ts';
export type { DataSheetSettings } from './dataSheet.ts';
export type { AmPmStep, GainBump } from './gainShape.ts';
export * from './measurement.ts';
export { type PowerClass, powerModelSchema } from './powerModel.ts';
export * from './predistorter.ts';
export type { ObservationSettings, TransmitterSettings } from './signalPaths.ts';
export * from './waveform.ts';

/** Version of the scenario file's shape. */
export const SCENARIO_FORMAT = 1;

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
  gainBumps: v.optional(gainBumps, []),
  amPmStep: v.optional(v.nullable(amPmStepSchema), null),
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
  [
    filterNonlinearityFilterSchema,
    memoryPolynomialSchema,
    generalizedMemoryPolynomialSchema,
    publishedAmplifierSchema,
    salehSchema,
    rappSchema,
    modifiedRappSchema,
    ghorbaniSchema,
    envelopePointsSchema,
    dataSheetSchema,
  ],
  `must be of kind "filterNonlinearityFilter", "memoryPolynomial", "generalizedMemoryPolynomial", "published", "saleh", "rapp", "modifiedRapp", "ghorbani", "envelopePoints" or "dataSheet"${RULE_END}set its kind`,
);

const overBandSchema: v.GenericSchema<
  OverBandInputOf<v.InferInput<typeof amplifierModelSchema>>,
  OverBandOf<v.InferOutput<typeof amplifierModelSchema>>
> = overBandSchemaOf(amplifierModelSchema);

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
  loadVswr: v.optional(
    quantity({
      label: 'VSWR of the load',
      unit: null,
      minimum: 1,
      maximum: 100,
      help: 'Of the antenna as the antenna port sees it: what it sends back is reported. The amplifier itself is not changed by it.',
    }),
    1,
  ),
  power: v.optional(powerModelSchema, {}),
  slowStates: v.optional(v.nullable(slowStatesSchema), null),
  overBand: v.optional(v.nullable(overBandSchema), null),
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
  transmitter: v.optional(v.nullable(transmitterSchema), null),
  seeds: v.optional(seedsSchema, {}),
  measurement: v.optional(measurementSchema, {}),
  limits: v.optional(
    v.pipe(
      v.array(limitSchema, `must be a list of limits${RULE_END}write [ { "reading": "aclr", "requiredDb": 45 } ]`),
      v.metadata(described('Limits', 'Each on one reading, judged at the antenna port.')),
    ),
    [],
  ),
});

/** A scenario as it may be written: fields with defaults may be left out. */
export type ScenarioInput = v.InferInput<typeof scenarioSchema>;
/** A scenario with every default filled in. */
export type Scenario = v.InferOutput<typeof scenarioSchema>;
export type AmplifierSettings = Scenario['amplifier'];
export type AmplifierModelSettings = AmplifierSettings['model'];
export type OverBandSettings = NonNullable<AmplifierSettings['overBand']>;
export type FilterNonlinearityFilterSettings = Extract<AmplifierModelSettings, { kind: 'filterNonlinearityFilter' }>;
export type MemoryPolynomialSettings = Extract<AmplifierModelSettings, { kind: 'memoryPolynomial' }>;
export type GeneralizedMemoryPolynomialSettings = Extract<
  AmplifierModelSettings,
  { kind: 'generalizedMemoryPolynomial' }
>;
export type PowerModelSettings = AmplifierSettings['power'];
export type OperatingPointSettings = Scenario['operatingPoint'];
export type SeedSettings = Scenario['seeds'];
