// The scale of an identified model: records alone do not say at which amplitude the amplifier saturates.
//   saturated amplitude = rms output · 10^(output back-off/20),   output back-off = saturated − mean output power in dB
import type { IdentificationReport } from '../../../shared/schema/identificationReport.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { dbToAmplitudeRatio } from '../dsp/decibels.ts';

export interface IdentifyScale {
  /** Mean output power that the observation stands for. */
  readonly outputPowerDbm?: number | null;
  readonly saturatedPowerDbm?: number | null;
  /** In place of one of the two, or alone. */
  readonly outputBackoffDb?: number | null;
}

/** Three figures where two suffice may differ by this much: they are given to a tenth. */
const AGREEMENT_DB = 0.11;

/** Of amplifier.saturatedPowerDbm in a scenario. */
const [LOWEST_DBM, HIGHEST_DBM] = [-50, 90];

export function checkScale(input: IdentifyScale): Issue[] {
  const { saturated, mean, backoff } = completed(input);
  const issues: Issue[] = [];
  for (const path of ['outputPowerDbm', 'saturatedPowerDbm', 'outputBackoffDb'] as const) {
    const value = input[path] ?? 0;
    if (Number.isFinite(value) && Math.abs(value) <= 100) continue;
    issues.push({
      path,
      rule: 'must be a level from −100 to 100',
      value: String(value),
      remedy: 'give it in dB or dBm',
    });
  }
  if (issues.length === 0 && saturated !== null && (saturated < LOWEST_DBM || saturated > HIGHEST_DBM)) {
    issues.push({
      path: 'saturatedPowerDbm',
      rule: `must lie from ${LOWEST_DBM} to ${HIGHEST_DBM} dBm, the range of scenarios`,
      value: `${saturated.toFixed(2)} dBm`,
      remedy: 'check output power, saturated power and output back-off',
    });
  }
  if (issues.length > 0 || backoff === null) return issues;
  if (!(backoff > 0)) {
    issues.push({
      path: 'outputBackoffDb',
      rule: 'must be above 0 dB: the mean output power lies below saturated power',
      value: `${backoff.toFixed(2)} dB`,
      remedy: 'check output power and saturated power',
    });
  } else if (saturated !== null && mean !== null && Math.abs(saturated - mean - backoff) > AGREEMENT_DB) {
    issues.push({
      path: 'outputBackoffDb',
      rule: `must be saturated less output power, ${(saturated - mean).toFixed(2)} dB`,
      value: `${backoff.toFixed(2)} dB`,
      remedy: 'give two of the three',
    });
  }
  return issues;
}

/** The third of the three from any two. */
function completed({ outputPowerDbm, saturatedPowerDbm, outputBackoffDb }: IdentifyScale) {
  const [mean, saturated, backoff] = [outputPowerDbm ?? null, saturatedPowerDbm ?? null, outputBackoffDb ?? null];
  return {
    backoff: backoff ?? (mean !== null && saturated !== null ? saturated - mean : null),
    mean: mean ?? (saturated !== null && backoff !== null ? saturated - backoff : null),
    saturated: saturated ?? (mean !== null && backoff !== null ? mean + backoff : null),
  };
}

export interface ModelScale {
  readonly scale: Omit<IdentificationReport['scale'], 'compressionAtPeakDb'>;
  readonly saturatedAmplitude: number | 'peakOfRange';
  readonly warnings: readonly Warning[];
}

/** outputPower: mean |y|² of the model's output, in the record's units. */
export function scaleOf(input: IdentifyScale, outputPower: number): ModelScale {
  const { saturated, mean, backoff } = completed(input);
  const amplitude = backoff === null ? null : Math.sqrt(outputPower) * dbToAmplitudeRatio(backoff);
  return {
    scale: {
      meanOutputDbm: mean,
      saturatedPowerDbm: saturated,
      outputBackoffDb: backoff,
      saturatedAmplitude: amplitude,
    },
    saturatedAmplitude: amplitude ?? 'peakOfRange',
    warnings: backoff === null || mean === null ? [unknownScale(backoff)] : [],
  };
}

function unknownScale(backoff: number | null): Warning {
  const message =
    backoff === null
      ? 'The records do not say what power they stand for, so dBm and output back-off are not given, and the model counts its own largest output within the drive range as 0 dB output back-off. Give two of output power, saturated power and output back-off.'
      : 'The records do not say what power they stand for, so powers in dBm are not given. Give the output power or the saturated power.';
  return { code: 'scale-unknown', message };
}
