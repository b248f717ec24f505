// What is measured and how: spectrum, channels, slots, EVM, noise terms, and the limits readings are held against.
import * as v from 'valibot';
import { choice, count, described, quantity, quantityOr, RULE_END, text } from './field.ts';

const channelFilter = v.optional(
  choice(['square', 'rrc'], {
    label: 'Measuring filter',
    help: 'square integrates the bandwidth; rrc weighs with a root-raised-cosine filter of roll-off 0.22 (TS 25.104).',
  }),
  'square',
);

/** Rules whose tables choose the channels, their filters and the gap slots. */
export const ACLR_RULES = ['ts38104', 'ts36104', 'ts25104', 'ts38101', 'ts36101'] as const;

const channelsSchema = v.pipe(
  v.union(
    [
      v.picklist(['auto', ...ACLR_RULES]),
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
            help: 'Integration bandwidth of the measured channel; the symbol rate of an rrc filter.',
          }),
          filter: channelFilter,
        }),
      ),
    ],
    `must be "auto", ${ACLR_RULES.map((rule) => `"${rule}"`).join(', ')} or a list of { offsetHz, bandwidthHz }${RULE_END}write "auto" for adjacent and alternate`,
  ),
  v.metadata(
    described(
      'Measured channels',
      'Channels beside the outer carriers; "auto" takes adjacent and alternate of equal width, "ts38104" and the like take the channels, filters and gap slots of that standard, a list replaces them.',
    ),
  ),
);

export const slotSchema = v.strictObject({
  name: text({ label: 'Slot', help: 'Name of the slot; limits refer to it.' }),
  centreHz: quantity({
    label: 'Slot centre',
    unit: 'Hz',
    minimum: -5e9,
    maximum: 5e9,
    help: 'Against the centre of the record.',
  }),
  bandwidthHz: quantity({
    label: 'Slot bandwidth',
    unit: 'Hz',
    minimum: 1,
    maximum: 5e9,
    help: 'The mean density over this band is read.',
  }),
  referenceCarriers: v.optional(
    v.pipe(
      v.array(count({ label: 'Reference carrier', minimum: 0, maximum: 31, help: 'Index of a carrier.' })),
      v.metadata(
        described('Reference carriers', 'Carriers whose mean density the slot is compared with; empty takes all.'),
      ),
    ),
    [],
  ),
});

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
      resolutionBandwidthHz: v.optional(
        quantityOr('auto', {
          label: 'Resolution bandwidth',
          unit: 'Hz',
          minimum: 1,
          maximum: 1e9,
          help: 'Sets the segment length to the power of two whose noise bandwidth is nearest; "auto" follows the segment length.',
        }),
        'auto',
      ),
      averageCount: v.optional(
        quantityOr('all', {
          label: 'Averages',
          unit: null,
          integer: true,
          minimum: 1,
          maximum: 1e6,
          help: 'Segments averaged, in power; "all" takes the whole record.',
        }),
        'all',
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
  channels: v.optional(channelsSchema, 'auto'),
  slots: v.optional(
    v.pipe(
      v.array(slotSchema, `must be a list of slots${RULE_END}write [ { "name": …, "centreHz": …, "bandwidthHz": … } ]`),
      v.metadata(described('Slots', 'Bands read as mean density against the density of chosen carriers.')),
    ),
    [],
  ),
  evm: v.optional(
    v.strictObject({
      equalizer: v.optional(
        choice(['none', 'oneGain', 'perSubcarrier', 'smoothed'], {
          label: 'Equalizer',
          help: 'none: scaled to the reference’s rms; oneGain: one complex gain; perSubcarrier: one tap per subcarrier, averaged over all symbols; smoothed: taps of every second subcarrier, amplitude and phase averaged over 19 of them (TS 38.104 Annex B). A single carrier knows none and oneGain.',
        }),
        'perSubcarrier',
      ),
      windowPosition: v.optional(
        choice(['centre', 'standard'], {
          label: 'Transform window',
          help: 'centre: in the middle of the cyclic prefix; standard: at both ends of the table’s window W about it, the worse of the two counts.',
        }),
        'centre',
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
  noise: v.optional(
    v.strictObject({
      transmitterNoiseDbmPerHz: v.optional(
        v.nullable(
          quantity({
            label: 'Transmitter noise',
            unit: 'dBm/Hz',
            minimum: -200,
            maximum: 0,
            help: 'White noise of the transmitter at the antenna port, whatever the power; null leaves it out.',
          }),
        ),
        null,
      ),
      analyserFloorDb: v.optional(
        v.nullable(
          quantity({
            label: 'Analyser floor',
            unit: 'dB',
            minimum: 10,
            maximum: 150,
            help: 'Ratio the analyser itself would show between own channel and an empty channel as wide; null leaves it out.',
          }),
        ),
        null,
      ),
    }),
    {},
  ),
});

const source = v.optional(text({ label: 'Source', help: 'Table or contract the limit comes from.' }), 'own limit');

/** How the value came here: read in the standard's text, partly recalled, recalled from memory, or the user's own. */
const status = v.optional(
  choice(['read', 'read+recalled', 'recalled', 'own'], {
    label: 'Status',
    help: 'read in the standard, boundaries read and slopes recalled, recalled from memory only, or your own value. Check the current text.',
  }),
  'own',
);

/** One piece of an emission mask: level against distance, in one measuring bandwidth. */
export const maskPieceSchema = v.strictObject({
  fromHz: quantity({
    label: 'From',
    unit: 'Hz',
    minimum: 0,
    maximum: 5e9,
    help: 'First distance of the measuring filter’s centre from the reference.',
  }),
  toHz: quantityOr('end', {
    label: 'To',
    unit: 'Hz',
    minimum: 0,
    maximum: 5e9,
    help: 'Last distance; "end" goes as far as the record shows.',
  }),
  startLevel: quantity({
    label: 'Level at the first distance',
    unit: null,
    minimum: -200,
    maximum: 100,
    help: 'In the mask’s unit.',
  }),
  endLevel: quantity({
    label: 'Level at the last distance',
    unit: null,
    minimum: -200,
    maximum: 100,
    help: 'In the mask’s unit; straight in dB between the two.',
  }),
  measuringBandwidthHz: quantity({
    label: 'Measuring bandwidth',
    unit: 'Hz',
    minimum: 1,
    maximum: 1e8,
    help: 'The power in this bandwidth is held against the level.',
  }),
  atMostDbm: v.optional(
    v.nullable(
      quantity({
        label: 'At most',
        unit: 'dBm',
        minimum: -200,
        maximum: 100,
        help: 'An absolute level the limit does not exceed, whatever the carrier’s power; null without one.',
      }),
    ),
    null,
  ),
  atLeastDbm: v.optional(
    v.nullable(
      quantity({
        label: 'At least',
        unit: 'dBm',
        minimum: -200,
        maximum: 100,
        help: 'An absolute level below which the limit does not go, whatever the carrier’s power; null without one.',
      }),
    ),
    null,
  ),
});

const limitStart = { source, status };

export const limitSchema = v.variant(
  'reading',
  [
    v.strictObject({
      reading: v.literal('aclr'),
      channel: v.optional(
        choice(['adjacent', 'alternate', 'utraFirst', 'utraSecond', 'gap', 'all'], {
          label: 'Channel',
          help: 'Which channel the limit holds for; utraFirst and utraSecond are the 5 MHz channels beside the carrier’s edge, gap the slots between carriers.',
        }),
        'adjacent',
      ),
      requiredDb: quantity({
        label: 'ACLR required',
        unit: 'dB',
        minimum: 0,
        maximum: 120,
        help: 'Own channel over neighbouring channel.',
      }),
      absoluteDbmPerMHz: v.optional(
        v.nullable(
          quantity({
            label: 'Or at most',
            unit: 'dBm/MHz',
            minimum: -120,
            maximum: 60,
            help: 'Absolute alternative: the limit is met when either the ratio or this density is met; null without one.',
          }),
        ),
        null,
      ),
      ...limitStart,
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
      ...limitStart,
    }),
    v.strictObject({
      reading: v.literal('mask'),
      /** The words a reader finds it by. */
      name: v.optional(text({ label: 'Mask', help: 'Name of the mask.' }), 'own mask'),
      unit: v.optional(
        choice(['dBm', 'dBr', 'dBrRated'], {
          label: 'Unit',
          help: 'dBm at the antenna port; dBr against the mean power of all carriers; dBrRated against the rated power.',
        }),
        'dBm',
      ),
      measuredFrom: v.optional(
        choice(['channelEdge', 'carrierCentre'], {
          label: 'Measured from',
          help: 'Distances count from the edge of the outer carrier’s channel, or from its centre.',
        }),
        'channelEdge',
      ),
      ratedPowerDbm: v.optional(
        v.nullable(
          quantity({
            label: 'Rated power',
            unit: 'dBm',
            minimum: -50,
            maximum: 90,
            help: 'Rated carrier power for the unit dBrRated; null takes the mean power at the antenna port.',
          }),
        ),
        null,
      ),
      pieces: v.pipe(
        v.array(maskPieceSchema, `must be a list of pieces${RULE_END}write [ { "fromHz": …, "toHz": …, … } ]`),
        v.minLength(1, `must hold at least one piece${RULE_END}add a piece`),
        v.metadata(described('Pieces', 'Level against distance, piece by piece.')),
      ),
      ...limitStart,
    }),
    v.strictObject({
      reading: v.literal('occupiedBandwidth'),
      requiredHz: quantity({
        label: 'Occupied bandwidth allowed',
        unit: 'Hz',
        minimum: 1,
        maximum: 5e9,
        help: 'Band that holds 99 % of the power.',
      }),
      ...limitStart,
    }),
    v.strictObject({
      reading: v.literal('notch'),
      requiredDb: quantity({
        label: 'Notch power ratio required',
        unit: 'dB',
        minimum: 0,
        maximum: 120,
        help: 'Density beside the notch over density inside it.',
      }),
      ...limitStart,
    }),
    v.strictObject({
      reading: v.literal('slot'),
      name: text({ label: 'Slot', help: 'Name of a slot of measurement.slots.' }),
      requiredDb: quantity({
        label: 'Slot ratio required',
        unit: 'dB',
        minimum: 0,
        maximum: 120,
        help: 'Density of the reference carriers over density in the slot.',
      }),
      ...limitStart,
    }),
    v.strictObject({
      reading: v.literal('intermodulation'),
      order: v.optional(count({ label: 'Order', minimum: 3, maximum: 5, help: '3 or 5.' }), 3),
      requiredDb: quantity({
        label: 'Tone over product required',
        unit: 'dB',
        minimum: 0,
        maximum: 150,
        help: 'Two tones: weaker tone over stronger product of this order.',
      }),
      ...limitStart,
    }),
  ],
  `must be a limit on "aclr", "evm", "mask", "occupiedBandwidth", "notch", "slot" or "intermodulation"${RULE_END}set its reading`,
);

export type MeasurementSettings = v.InferOutput<typeof measurementSchema>;
export type ChannelsSettings = MeasurementSettings['channels'];
export type AclrRule = (typeof ACLR_RULES)[number];
export type SlotSettings = v.InferOutput<typeof slotSchema>;
export type LimitSettings = v.InferOutput<typeof limitSchema>;
export type MaskLimitSettings = Extract<LimitSettings, { reading: 'mask' }>;
export type MaskPiece = v.InferOutput<typeof maskPieceSchema>;
