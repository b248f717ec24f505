// The waveform: carriers of every kind, the record they share, its spectral edge, burst pattern and crest-factor
// reduction.
import * as v from 'valibot';
import { choice, count, described, quantity, quantityOr, RULE_END, text } from './field.ts';

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

const payload = choice(['random', 'pn23'], {
  label: 'Payload',
  help: 'Data bits: seeded random, or the pseudo-random sequence PN23 (ITU-T O.150), started by the seed.',
});

/** Own share of a crest-factor correction: robust carriers can take what fragile ones cannot. */
const crestShareRatio = quantity({
  label: 'Share of crest-factor correction',
  unit: null,
  minimum: 0,
  maximum: 1,
  help: 'How much of the crest-factor correction this carrier takes, against the others: 0 leaves it untouched.',
});

/** What every carrier has. */
const place = {
  offsetHz: v.optional(offsetHz, 0),
  relativePowerDb: v.optional(relativePowerDb, 0),
  crestShareRatio: v.optional(crestShareRatio, 1),
};

const spacingOfChannelsHz = v.optional(
  quantityOr('auto', {
    label: 'Channel bandwidth',
    unit: 'Hz',
    minimum: 100,
    maximum: 5e9,
    help: 'Spacing of the neighbouring channel; "auto" takes the occupied bandwidth.',
  }),
  'auto',
);

/** A band left empty inside a carrier, for the notch power ratio. */
export const notchSchema = v.strictObject({
  offsetHz: v.optional(
    quantity({
      label: 'Notch offset',
      unit: 'Hz',
      minimum: -1e9,
      maximum: 1e9,
      help: 'Centre of the notch against the carrier’s centre.',
    }),
    0,
  ),
  bandwidthHz: quantity({
    label: 'Notch width',
    unit: 'Hz',
    minimum: 1e3,
    maximum: 1e9,
    help: 'Width of the band that carries no power.',
  }),
});
const notch = v.optional(v.nullable(notchSchema), null);

export const ofdmCarrierSchema = v.strictObject({
  kind: v.literal('ofdm'),
  ...place,
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
  payload: v.optional(payload, 'random'),
  notch,
});

const ringRatio = (label: string, help: string) =>
  v.optional(quantityOr('auto', { label, unit: null, minimum: 1.1, maximum: 10, help }), 'auto');

export const singleCarrierSchema = v.strictObject({
  kind: v.literal('singleCarrier'),
  ...place,
  symbolRateHz: quantity({
    label: 'Symbol rate',
    unit: 'Hz',
    minimum: 1e3,
    maximum: 2e9,
    help: 'Symbols a second; moved to a whole number of symbols per record.',
  }),
  rollOffRatio: v.optional(
    quantity({
      label: 'Roll-off',
      unit: null,
      minimum: 0.05,
      maximum: 0.5,
      help: 'Roll-off α of the root-raised-cosine pulse; the carrier occupies (1 + α) times the symbol rate.',
    }),
    0.25,
  ),
  modulation: v.optional(
    choice(['BPSK', 'pi/2-BPSK', 'QPSK', '8PSK', '16QAM', '64QAM', '256QAM', '1024QAM', '16APSK', '32APSK'], {
      label: 'Modulation',
      help: 'PSK and QAM as TS 38.211 clause 5.1; 8PSK Gray coded; 16APSK (4+12) and 32APSK (4+12+16) as in EN 302 307-1.',
    }),
    'QPSK',
  ),
  ringRatio: ringRatio(
    'Ring ratio',
    'APSK: second over first ring radius; "auto" takes 2.70 for 16APSK (code rate 5/6) and 2.64 for 32APSK (5/6).',
  ),
  outerRingRatio: ringRatio(
    'Outer ring ratio',
    '32APSK: third over first ring radius; "auto" takes 4.64 (code rate 5/6).',
  ),
  payload: v.optional(payload, 'random'),
  channelBandwidthHz: spacingOfChannelsHz,
});

export const multitoneCarrierSchema = v.strictObject({
  kind: v.literal('multitone'),
  ...place,
  toneCount: count({ label: 'Tones', minimum: 2, maximum: 4096, help: 'Equal tones, centred on the carrier offset.' }),
  toneSpacingHz: quantity({
    label: 'Tone spacing',
    unit: 'Hz',
    minimum: 100,
    maximum: 1e9,
    help: 'Distance of neighbouring tones; moved to whole cycles per record.',
  }),
  phaseLaw: v.optional(
    choice(['inPhase', 'newman', 'schroeder', 'random'], {
      label: 'Phases',
      help: 'inPhase gives the highest crest factor; newman (πk²/N) and schroeder (−πk(k+1)/N) the lowest; random is drawn from the seed.',
    }),
    'newman',
  ),
  channelBandwidthHz: spacingOfChannelsHz,
});

export const twoToneCarrierSchema = v.strictObject({
  kind: v.literal('twoTone'),
  ...place,
  toneSpacingHz: quantity({
    label: 'Tone spacing',
    unit: 'Hz',
    minimum: 100,
    maximum: 1e9,
    help: 'Distance of the two tones, centred on the carrier offset; moved to whole cycles per record.',
  }),
  upperOverLowerDb: v.optional(
    quantity({
      label: 'Upper over lower tone',
      unit: 'dB',
      minimum: -40,
      maximum: 40,
      help: 'Level of the upper tone against the lower one; 0 is two equal tones.',
    }),
    0,
  ),
  channelBandwidthHz: spacingOfChannelsHz,
});

export const noiseCarrierSchema = v.strictObject({
  kind: v.literal('noise'),
  ...place,
  occupiedBandwidthHz: quantity({
    label: 'Occupied bandwidth',
    unit: 'Hz',
    minimum: 1e3,
    maximum: 2e9,
    help: 'Width of the flat band of complex Gaussian noise.',
  }),
  channelBandwidthHz: spacingOfChannelsHz,
  notch,
});

export const recordCarrierSchema = v.strictObject({
  kind: v.literal('record'),
  ...place,
  recordName: text({
    label: 'Record',
    help: 'Name of the record: a SigMF or CSV file beside the scenario on the command line, a dropped file in the app.',
  }),
  sha512: v.optional(
    v.nullable(text({ label: 'Digest', help: 'SHA-512 of the samples; another record of the same name is refused.' })),
    null,
  ),
  partCount: v.optional(
    count({
      label: 'Parts',
      minimum: 1,
      maximum: 64,
      help: 'The record is cut into this many parts; seed s takes part s modulo this. 1 trains and judges on the same samples.',
    }),
    3,
  ),
  joinRatio: v.optional(
    quantity({
      label: 'Join',
      unit: null,
      minimum: 0,
      maximum: 0.2,
      help: 'Share of a part over which its end fades into its beginning where the two do not meet; 0 leaves the step.',
    }),
    0.01,
  ),
  occupiedBandwidthHz: v.optional(
    quantityOr('auto', {
      label: 'Occupied bandwidth',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 2e9,
      help: 'Width of the own channel; "auto" takes 99 % of the power and the nearest row of the standards’ tables.',
    }),
    'auto',
  ),
  channelBandwidthHz: spacingOfChannelsHz,
});

export const carrierSchema = v.variant(
  'kind',
  [
    ofdmCarrierSchema,
    singleCarrierSchema,
    multitoneCarrierSchema,
    twoToneCarrierSchema,
    noiseCarrierSchema,
    recordCarrierSchema,
  ],
  `must be a carrier of kind "ofdm", "singleCarrier", "multitone", "twoTone", "noise" or "record"${RULE_END}set its kind`,
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
  method: v.optional(
    choice(['clipAndFilter', 'peakCancellation'], {
      label: 'Method',
      help: 'Repeated clipping and filtering, or subtraction of a stored pulse at every peak.',
    }),
    'clipAndFilter',
  ),
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
  roundCount: v.optional(count({ label: 'Rounds', minimum: 1, maximum: 100, help: 'Rounds of correction.' }), 12),
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

export const burstSchema = v.strictObject({
  periodS: quantity({
    label: 'Burst period',
    unit: 's',
    minimum: 1e-6,
    maximum: 1,
    help: 'From one burst’s start to the next; moved so that whole periods fill the record.',
  }),
  dutyRatio: quantity({
    label: 'Duty',
    unit: null,
    minimum: 0.01,
    maximum: 0.99,
    help: 'Share of the period that is on, between the half-amplitude points of the ramps.',
  }),
  rampS: v.optional(
    quantity({
      label: 'Ramp',
      unit: 's',
      minimum: 0,
      maximum: 1e-3,
      help: 'Raised-cosine rise and fall of the amplitude.',
    }),
    5e-6,
  ),
});

export const waveformSchema = v.strictObject({
  carriers: v.pipe(
    v.array(carrierSchema, `must be a list of carriers${RULE_END}write [ { "kind": "ofdm", … } ]`),
    v.minLength(1, `must hold at least one carrier${RULE_END}add a carrier`),
    v.maxLength(32, `must hold at most 32 carriers${RULE_END}remove some`),
    v.metadata(described('Carriers', 'Each of one kind; kinds may be mixed on one record.')),
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
      help: 'Record length in samples, a power of two; used when no carrier is OFDM or a record.',
    }),
    2 ** 18,
  ),
  sampleRateHz: v.optional(
    quantityOr('auto', {
      label: 'Sample rate',
      unit: 'Hz',
      minimum: 1e4,
      maximum: 20e9,
      help: 'Power of two times the subcarrier spacing or the symbol rate; "auto" makes room for fifth-order products of all carriers.',
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
  burst: v.optional(v.nullable(burstSchema), null),
});

export type WaveformSettings = v.InferOutput<typeof waveformSchema>;
export type CarrierSettings = WaveformSettings['carriers'][number];
export type OfdmCarrierSettings = Extract<CarrierSettings, { kind: 'ofdm' }>;
export type SingleCarrierSettings = Extract<CarrierSettings, { kind: 'singleCarrier' }>;
export type MultitoneCarrierSettings = Extract<CarrierSettings, { kind: 'multitone' }>;
export type TwoToneCarrierSettings = Extract<CarrierSettings, { kind: 'twoTone' }>;
export type NoiseCarrierSettings = Extract<CarrierSettings, { kind: 'noise' }>;
export type RecordCarrierSettings = Extract<CarrierSettings, { kind: 'record' }>;
export type NotchSettings = v.InferOutput<typeof notchSchema>;
export type SpectralEdgeSettings = WaveformSettings['spectralEdge'];
export type CrestFactorReductionSettings = NonNullable<WaveformSettings['crestFactorReduction']>;
export type BurstSettings = NonNullable<WaveformSettings['burst']>;
