// How values of a varied path figure are written.
import type { ObservationSettings, TransmitterSettings } from '../schema/signalPaths.ts';
import { PATH_PARAMETERS, type PathParameter } from '../schema/study.ts';
import { formatEngineering, formatQuantity, formatSignificant, withUnit } from './numbers.ts';

/** Such as "20 MHz", "35 dB", "10 bits", "−8.14 ns". */
export function pathValueText(parameter: PathParameter, value: number): string {
  const { unit } = PATH_PARAMETERS[parameter];
  if (unit === 'Hz' || unit === 's') return value === 0 ? withUnit('0', unit) : formatEngineering(value, unit, 4);
  return withUnit(formatSignificant(value, 4), unit);
}

const db = (value: number | null) => formatQuantity(value, 'dB', 0);
const hz = (value: number | 'full' | 'same') => (typeof value === 'number' ? formatEngineering(value, 'Hz', 4) : value);

/** Each effect of an observation in words, with its setting. */
export function observationEffectText(effect: string, settings: ObservationSettings): string {
  switch (effect) {
    case 'image':
      return `image ${db(settings.imageDb)}`;
    case 'carrierLeak':
      return `carrier leak ${formatQuantity(settings.carrierLeakDbc, 'dBc', 0)}`;
    case 'gainRipple':
      return `gain ripple ${formatQuantity(settings.gainRippleDb, 'dB', 2)}`;
    case 'bandwidth':
      return `bandwidth ${hz(settings.bandwidthHz)}`;
    case 'delayError':
      return `delay error ${formatEngineering(settings.delayErrorS, 's', 3)}`;
    case 'sampleRate':
      return `rate ${hz(settings.sampleRateHz)} with its filter`;
    case 'noise':
      return `noise at ${db(settings.snrDb)} SNR`;
    case 'converterBits':
      return `converter of ${settings.converterBitCount} bits`;
    default:
      return effect;
  }
}

/** Each effect of a transmitter in words, with its setting. */
export function transmitterEffectText(effect: string, settings: TransmitterSettings): string {
  switch (effect) {
    case 'bandwidth':
      return `bandwidth ${hz(settings.bandwidthHz)}`;
    case 'converterBits':
      return `converter of ${settings.converterBitCount} bits`;
    case 'droop':
      return 'zero-order-hold droop';
    case 'clockJitter':
      return `clock jitter ${formatEngineering(settings.clockJitterS, 's', 3)} rms`;
    case 'image':
      return `image ${db(settings.imageDb)}`;
    case 'carrierLeak':
      return `carrier leak ${formatQuantity(settings.carrierLeakDbc, 'dBc', 0)}`;
    case 'phaseNoise':
      return `phase noise ${formatQuantity(settings.phaseNoiseDeg, '°', 2)} rms`;
    case 'noise':
      return `noise ${formatQuantity(settings.noiseDbcPerHz, 'dBc/Hz', 0)}`;
    default:
      return effect;
  }
}
