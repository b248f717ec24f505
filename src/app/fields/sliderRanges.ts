// Ranges of the sliders: the part of a field's range that is worth dragging through. The number beside a slider takes the
// whole range. Common practice, no source.

export interface SliderRange {
  readonly minimum: number;
  readonly maximum: number;
  /** In shown units. */
  readonly step: number;
}

/** By field name, in the unit shown. */
export const SLIDER_RANGES: Readonly<Record<string, SliderRange>> = {
  outputBackoffDb: { minimum: 0.5, maximum: 20, step: 0.1 },
  targetPaprDb: { minimum: 5, maximum: 12, step: 0.1 },
  memoryDepth: { minimum: 1, maximum: 10, step: 1 },
  passCount: { minimum: 1, maximum: 10, step: 1 },
  driveCeilingRatio: { minimum: 0.6, maximum: 4, step: 0.05 },
  kneeSharpness: { minimum: 0.5, maximum: 5, step: 0.05 },
  amPmDeg: { minimum: -45, maximum: 45, step: 0.5 },
  amPmHalfPower: { minimum: 0.05, maximum: 2, step: 0.01 },
  biasDepthRatio: { minimum: 0, maximum: 0.2, step: 0.005 },
  outputLossDb: { minimum: 0, maximum: 5, step: 0.1 },
};

/** How far below saturated power a slider of mean power reaches. */
const POWER_SPAN_DB = 20;

/** Mean power in dBm follows the amplifier: from 20 dB below its saturated power (over a band the channel's) up to it. */
export function powerRange(saturatedPowerDbm: number | null): SliderRange | null {
  if (saturatedPowerDbm === null) return null;
  return { minimum: saturatedPowerDbm - POWER_SPAN_DB, maximum: saturatedPowerDbm, step: 0.1 };
}
