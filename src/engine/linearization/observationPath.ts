// What the observation receiver makes of the amplifier's output while the predistorter learns.
//
//   output ─ image, leak ─ ripple, filter, delay ─ sampled at the receiver's rate ─ noise ─ converter ─ back to the rate
//
// Interpolated back to the transmit rate, the observation holds what the receiver knows and nothing beyond half its rate.
import { CLEAR_OBSERVATION, type ObservationSettings } from '../../../shared/schema/signalPaths.ts';
import { addScaled, type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import { addImageAndLeak, phasesOf, whiteNoise } from '../dsp/pathNoise.ts';
import { quantize } from '../dsp/quantizer.ts';
import { resamplePeriodic } from '../dsp/resample.ts';
import { lowpassGain, type Response, samplePeriodic, shapeSpectrum } from '../dsp/shapeSpectrum.ts';

export type Observe = (output: ComplexSignal) => ComplexSignal;

/** Effects of an observation, in the order they act. */
export const OBSERVATION_EFFECTS = [
  'image',
  'carrierLeak',
  'gainRipple',
  'bandwidth',
  'delayError',
  'sampleRate',
  'noise',
  'converterBits',
] as const;
export type ObservationEffect = (typeof OBSERVATION_EFFECTS)[number];

/**
 * The receiver as a function of a whole periodic output at `sampleRateHz`. `activeRatio`: share of the time that a burst
 * is on; powers are those while on. Noise is seeded by `noiseSeed` and the output (pathNoise.ts).
 */
export function createObservation(settings: ObservationSettings, sampleRateHz: number, activeRatio = 1): Observe {
  return (output) => {
    const length = output.re.length;
    const rms = Math.sqrt(meanPower(output) / activeRatio);
    const response = responseOf(settings);
    const mixed = mixedDown(settings, output, rms);
    const filtered = response === null ? mixed : shapeSpectrum(mixed, sampleRateHz, response);
    const received = receivedLength(settings, length, sampleRateHz);
    const sampled = received === length ? filtered : samplePeriodic(filtered, received);
    const converted = convert(settings, withNoise(settings, sampled, rms, output), rms);
    return received === length ? converted : resamplePeriodic(converted, length);
  };
}

function mixedDown({ imageDb, carrierLeakDbc }: ObservationSettings, output: ComplexSignal, rms: number) {
  if (imageDb === null && carrierLeakDbc === null) return output;
  return addImageAndLeak(output, amplitudeOf(imageDb), rms * amplitudeOf(carrierLeakDbc));
}

function amplitudeOf(db: number | null): number {
  return db === null ? 0 : Math.sqrt(dbToPowerRatio(db));
}

/** Filter, ripple and delay in one: g(f)·10^((r/2)·cos(2πf/p)/20)·e^(−j2πfτ); null when there is nothing of it. */
function responseOf(settings: ObservationSettings): Response | null {
  const { bandwidthHz, transitionRatio, gainRippleDb, ripplePeriodHz, delayErrorS } = settings;
  if (bandwidthHz === 'full' && gainRippleDb === 0 && delayErrorS === 0) return null;
  return (frequencyHz, out) => {
    const edge = bandwidthHz === 'full' ? 1 : lowpassGain(frequencyHz, bandwidthHz, transitionRatio);
    const rippleDb = (gainRippleDb / 2) * Math.cos((2 * Math.PI * frequencyHz) / ripplePeriodHz);
    const gain = edge * 10 ** (rippleDb / 20);
    const angle = -2 * Math.PI * frequencyHz * delayErrorS;
    out.re = gain * Math.cos(angle);
    out.im = gain * Math.sin(angle);
  };
}

/** Samples of the receiver over the record's period: a whole number, at most the transmit rate's. */
function receivedLength({ sampleRateHz: own }: ObservationSettings, length: number, sampleRateHz: number): number {
  return own === 'same' ? length : Math.min(length, Math.max(1, Math.round((length * own) / sampleRateHz)));
}

function withNoise(settings: ObservationSettings, x: ComplexSignal, rms: number, output: ComplexSignal) {
  const { snrDb, noiseSeed } = settings;
  if (snrDb === null) return x;
  const noise = whiteNoise(x.re.length, noiseSeed, `observation ${phasesOf(output)}`);
  return addScaled(x, { re: rms * amplitudeOf(-snrDb), im: 0 }, noise);
}

/** Full scale of either rail is the headroom over the rail's rms, rms/√2. */
function convert({ converterBitCount, converterHeadroomDb }: ObservationSettings, x: ComplexSignal, rms: number) {
  if (converterBitCount === null || rms === 0) return x;
  return quantize(x, converterBitCount, rms * Math.SQRT1_2 * amplitudeOf(converterHeadroomDb));
}

/** The settings with one effect only; null when that effect is left out anyway. */
export function observationWithOnly(
  settings: ObservationSettings,
  effect: ObservationEffect,
): ObservationSettings | null {
  const only = { ...CLEAR_OBSERVATION, noiseSeed: settings.noiseSeed };
  switch (effect) {
    case 'image':
      return settings.imageDb === null ? null : { ...only, imageDb: settings.imageDb };
    case 'carrierLeak':
      return settings.carrierLeakDbc === null ? null : { ...only, carrierLeakDbc: settings.carrierLeakDbc };
    case 'gainRipple': {
      const { gainRippleDb, ripplePeriodHz } = settings;
      return gainRippleDb === 0 ? null : { ...only, gainRippleDb, ripplePeriodHz };
    }
    case 'bandwidth': {
      const { bandwidthHz, transitionRatio } = settings;
      return bandwidthHz === 'full' ? null : { ...only, bandwidthHz, transitionRatio };
    }
    case 'delayError':
      return settings.delayErrorS === 0 ? null : { ...only, delayErrorS: settings.delayErrorS };
    case 'sampleRate': {
      // Behind its own filter: what the filter keeps out cannot fold.
      const { sampleRateHz, bandwidthHz, transitionRatio } = settings;
      return sampleRateHz === 'same' ? null : { ...only, sampleRateHz, bandwidthHz, transitionRatio };
    }
    case 'noise':
      return settings.snrDb === null ? null : { ...only, snrDb: settings.snrDb };
    case 'converterBits': {
      const { converterBitCount, converterHeadroomDb } = settings;
      return converterBitCount === null ? null : { ...only, converterBitCount, converterHeadroomDb };
    }
  }
}
