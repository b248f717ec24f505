// What stands between the digital signal and the amplifier, and between the amplifier and the receiver that observes it.
import * as v from 'valibot';
import { choice, count, quantity, quantityOr } from './field.ts';

const optional = <T extends v.GenericSchema>(schema: T) => v.optional(v.nullable(schema), null);

const image = (help: string) => quantity({ label: 'Image', unit: 'dB', minimum: -120, maximum: 0, help });
const carrierLeak = (help: string) => quantity({ label: 'Carrier leak', unit: 'dBc', minimum: -120, maximum: 0, help });
const bits = (help: string) => count({ label: 'Converter bits', minimum: 3, maximum: 24, help });
const headroom = quantity({
  label: 'Converter headroom',
  unit: 'dB',
  minimum: 0,
  maximum: 40,
  help: 'Full scale of I and of Q over the rms of either.',
});
const USUAL_HEADROOM_DB = 13;

/** The receiver that observes the output while the predistorter learns. Null fields leave the effect out. */
export const observationSchema = v.strictObject({
  bandwidthHz: v.optional(
    quantityOr('full', {
      label: 'Observation bandwidth',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 20e9,
      help: 'Two-sided, centred on the record; "full" sees the whole sample rate.',
    }),
    'full',
  ),
  transitionRatio: v.optional(
    quantity({
      label: 'Filter transition',
      unit: null,
      minimum: 0,
      maximum: 1,
      help: 'Raised-cosine edge over the bandwidth; 0 is a brick wall.',
    }),
    0,
  ),
  sampleRateHz: v.optional(
    quantityOr('same', {
      label: 'Observation rate',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 20e9,
      help: 'Rate of the receiver’s converter: below the transmit rate what lies beyond its half folds in, unless the bandwidth keeps it out.',
    }),
    'same',
  ),
  snrDb: optional(
    quantity({
      label: 'Observation SNR',
      unit: 'dB',
      minimum: 0,
      maximum: 160,
      help: 'Output power over white noise in the whole sample rate.',
    }),
  ),
  converterBitCount: optional(bits('Bits of the observation receiver’s converter.')),
  converterHeadroomDb: v.optional(headroom, USUAL_HEADROOM_DB),
  delayErrorS: v.optional(
    quantity({
      label: 'Delay error',
      unit: 's',
      minimum: -1e-6,
      maximum: 1e-6,
      help: 'Left over after alignment; positive is an observation that comes late.',
    }),
    0,
  ),
  gainRippleDb: v.optional(
    quantity({
      label: 'Gain ripple',
      unit: 'dB',
      minimum: 0,
      maximum: 6,
      help: 'Peak to peak of a cosine over the ripple period.',
    }),
    0,
  ),
  ripplePeriodHz: v.optional(
    quantity({
      label: 'Ripple period',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 20e9,
      help: 'One period of the gain ripple.',
    }),
    20e6,
  ),
  imageDb: optional(image('Conjugate of the output in the observation.')),
  carrierLeakDbc: optional(carrierLeak('Constant in the observation over the output’s mean power.')),
  noiseSeed: v.optional(
    count({ label: 'Noise seed', minimum: 0, maximum: 2 ** 31, help: 'Seed of the receiver’s noise.' }),
    11,
  ),
});

/** What the transmitter adds ahead of the amplifier, with and without correction. Null fields leave the effect out. */
export const transmitterSchema = v.strictObject({
  bandwidthHz: v.optional(
    quantityOr('full', {
      label: 'Transmit bandwidth',
      unit: 'Hz',
      minimum: 1e3,
      maximum: 20e9,
      help: 'Two-sided brick wall on the drive, centred on the record; "full" sends the whole sample rate.',
    }),
    'full',
  ),
  converterBitCount: optional(bits('Bits of the drive converter.')),
  converterHeadroomDb: v.optional(headroom, USUAL_HEADROOM_DB),
  noiseDbcPerHz: optional(
    quantity({
      label: 'Transmit noise',
      unit: 'dBc/Hz',
      minimum: -200,
      maximum: -60,
      help: 'White noise density over the drive’s mean power.',
    }),
  ),
  imageDb: optional(image('Conjugate of the drive, from gain and phase imbalance.')),
  carrierLeakDbc: optional(carrierLeak('Constant in the drive over its mean power.')),
  phaseNoiseDeg: optional(
    quantity({ label: 'Phase noise', unit: '°', minimum: 0, maximum: 30, help: 'Rms, one Gaussian process.' }),
  ),
  phaseNoiseBandwidthHz: v.optional(
    quantity({
      label: 'Phase noise bandwidth',
      unit: 'Hz',
      minimum: 1,
      maximum: 1e9,
      help: 'Flat on either side of the carrier up to this offset.',
    }),
    1e6,
  ),
  clockJitterS: optional(
    quantity({
      label: 'Clock jitter',
      unit: 's',
      minimum: 0,
      maximum: 1e-9,
      help: 'Rms of the converter’s sampling instants, white.',
    }),
  ),
  converterCentreHz: v.optional(
    quantity({
      label: 'Converter centre',
      unit: 'Hz',
      minimum: 0,
      maximum: 20e9,
      help: 'Centre frequency that the converter makes: jitter acts on it; 0 is baseband.',
    }),
    0,
  ),
  droop: v.optional(
    choice(['none', 'zeroOrderHold'], {
      label: 'Converter droop',
      help: 'Sin(x)/x of a converter that holds each sample.',
    }),
    'none',
  ),
  noiseSeed: v.optional(
    count({ label: 'Noise seed', minimum: 0, maximum: 2 ** 31, help: 'Seed of the transmitter’s noise.' }),
    12,
  ),
});

export type ObservationSettings = v.InferOutput<typeof observationSchema>;
export type TransmitterSettings = v.InferOutput<typeof transmitterSchema>;

/** Paths that leave every effect out. */
export const CLEAR_OBSERVATION: ObservationSettings = v.parse(observationSchema, {});
export const CLEAR_TRANSMITTER: TransmitterSettings = v.parse(transmitterSchema, {});
