// The one scale between samples and watts.
//
//   |y| = 1 at the amplifier's output is saturated power, 0 dB output back-off.
//   mean output dBm = saturatedPowerDbm + 10·log10(mean |y|²)
//   antenna dBm     = output dBm − outputLossDb
//   drive dBm       = saturatedPowerDbm − gainDb + 10·log10(|g|²·mean |x|²), g the model's small-signal gain
//
// Check value: 40 W = 46.02 dBm saturated, 2 W = 33.01 dBm mean is 13.01 dB output back-off.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { AmplifierSettings, OperatingPointSettings } from '../../../shared/schema/scenario.ts';
import type { Complex } from '../dsp/complex.ts';
import { dbToPowerRatio, powerRatioToDb, wToDbm } from '../dsp/decibels.ts';

type PowerScale = Pick<AmplifierSettings, 'saturatedPowerDbm' | 'gainDb' | 'outputLossDb'>;

/** Wanted output back-off in dB below |y| = 1, or the issue that a power in dBm or W needs a saturated power. */
export function wantedOutputBackoffDb(settings: OperatingPointSettings, amplifier: PowerScale): number | Issue[] {
  if (settings.outputBackoffDb !== undefined) return settings.outputBackoffDb;
  const [field, value, wantedDbm] = wantedPower(settings, amplifier);
  if (amplifier.saturatedPowerDbm === null) {
    return [
      {
        path: `operatingPoint.${field}`,
        rule: 'needs the amplifier’s saturated power, which is not known',
        value: String(value),
        remedy: 'give amplifier.saturatedPowerDbm, or state the level as outputBackoffDb',
      },
    ];
  }
  return amplifier.saturatedPowerDbm - wantedDbm;
}

/** Which field states the power, its value, and the mean power at the amplifier's output in dBm. */
function wantedPower(settings: OperatingPointSettings, amplifier: PowerScale): [string, number, number] {
  const { meanPowerDbm, meanPowerW, antennaMeanDbm } = settings;
  if (meanPowerDbm !== undefined) return ['meanPowerDbm', meanPowerDbm, meanPowerDbm];
  if (meanPowerW !== undefined) return ['meanPowerW', meanPowerW, wToDbm(meanPowerW)];
  if (antennaMeanDbm !== undefined) return ['antennaMeanDbm', antennaMeanDbm, antennaMeanDbm + amplifier.outputLossDb];
  throw new RangeError('wantedOutputBackoffDb: the operating point states no power');
}

/** Mean |y|² of this output back-off. */
export function meanPowerOfBackoff(outputBackoffDb: number): number {
  return dbToPowerRatio(-outputBackoffDb);
}

/** Output back-off in dB of a mean |y|²; below 0 when the mean is above saturated power. */
export function outputBackoffDbOf(meanPower: number): number {
  return -powerRatioToDb(meanPower);
}

/** dBm at the amplifier's output of |y|² (mean or peak); null when the saturated power is not known. */
export function outputPowerDbm(power: number, amplifier: PowerScale): number | null {
  return amplifier.saturatedPowerDbm === null ? null : amplifier.saturatedPowerDbm + powerRatioToDb(power);
}

/** dBm at the antenna port, after the output loss, of |y|²; null when the saturated power is not known. */
export function antennaPowerDbm(power: number, amplifier: PowerScale): number | null {
  const dbm = outputPowerDbm(power, amplifier);
  return dbm === null ? null : dbm - amplifier.outputLossDb;
}

/** dBm at the amplifier's input of |x|² (mean or peak); null when the saturated power is not known. */
export function drivePowerDbm(power: number, amplifier: PowerScale, smallSignalGain: Complex): number | null {
  const gainPower = smallSignalGain.re * smallSignalGain.re + smallSignalGain.im * smallSignalGain.im;
  const dbm = outputPowerDbm(power * gainPower, amplifier);
  return dbm === null ? null : dbm - amplifier.gainDb;
}
