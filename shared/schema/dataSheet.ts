// An amplifier by the figures of its data sheet. Gain and, unless stated here, saturated power are the amplifier section's.
import * as v from 'valibot';
import { choice, quantity, quantityOr } from './field.ts';

function outputDbm(label: string, help: string) {
  return v.optional(v.nullable(quantity({ label, unit: 'dBm', minimum: -80, maximum: 120, help })), null);
}

export const dataSheetSchema = v.strictObject({
  kind: v.literal('dataSheet'),
  saturatedPowerDbm: v.optional(
    quantityOr('amplifier', {
      label: 'Saturated power of the sheet',
      unit: 'dBm',
      minimum: -50,
      maximum: 90,
      help: 'Reference of the other powers; "amplifier" takes amplifier.saturatedPowerDbm. It is 0 dB output back-off.',
    }),
    'amplifier',
  ),
  saturationCompressionDb: v.optional(
    quantityOr('asymptote', {
      label: 'Saturated power stated at',
      unit: 'dB',
      minimum: 1,
      maximum: 30,
      help: 'Gain compression at which the saturated power is stated; the drive is held there, the sheet says nothing beyond. "asymptote": the largest CW output at any drive.',
    }),
    'asymptote',
  ),
  outputAtOneDbCompressionDbm: outputDbm(
    'Output at 1 dB compression',
    'CW output where the gain is 1 dB below small-signal gain.',
  ),
  outputAtThreeDbCompressionDbm: outputDbm(
    'Output at 3 dB compression',
    'CW output where the gain is 3 dB below small-signal gain.',
  ),
  outputInterceptDbm: outputDbm(
    'Third-order output intercept',
    'Per tone, extrapolated from low power, where the product rises 3 dB per dB: P + Δ/2.',
  ),
  amPmDeg: v.optional(
    quantity({
      label: 'AM/PM',
      unit: '°',
      minimum: -90,
      maximum: 90,
      help: 'Phase against that at small signal, at the back-off below.',
    }),
    0,
  ),
  amPmBackoffDb: v.optional(
    quantity({
      label: 'AM/PM stated at output back-off',
      unit: 'dB',
      minimum: -20,
      maximum: 30,
      help: 'CW output below saturated power at which the AM/PM is stated.',
    }),
    0,
  ),
  class: v.optional(
    choice(['classA', 'classABSoft', 'gainExpansion', 'twoDevice'], {
      label: 'Shape of the gain',
      help: 'What the sheet leaves open: a late knee, an early one, gain that rises first, or the dip of two devices.',
    }),
    'classABSoft',
  ),
  expansionDb: v.optional(
    quantity({
      label: 'Gain expansion',
      unit: 'dB',
      minimum: 0,
      maximum: 3,
      help: 'Highest gain over small-signal gain, for the shape gainExpansion.',
    }),
    0.5,
  ),
  dipDb: v.optional(
    quantity({
      label: 'Mid-range dip',
      unit: 'dB',
      minimum: 0,
      maximum: 2,
      help: 'Gain that the shape twoDevice lacks 6 dB below the knee, where the second device joins in.',
    }),
    0.5,
  ),
  memorySpanS: v.optional(
    quantity({
      label: 'Memory span',
      unit: 's',
      minimum: 0,
      maximum: 1e-6,
      help: 'Delay of the latest echo: half of it ahead of the nonlinearity, half behind.',
    }),
    0,
  ),
  memoryBelowSignalDb: v.optional(
    quantity({
      label: 'Memory below the signal',
      unit: 'dB',
      minimum: 10,
      maximum: 100,
      help: 'Power of the two echoes together, below the direct signal.',
    }),
    30,
  ),
  gainRippleDb: v.optional(
    quantity({
      label: 'Gain ripple',
      unit: 'dB',
      minimum: 0,
      maximum: 6,
      help: 'Peak to peak over the band below, highest at the centre: ripple/2·(cos(2πf/band) − 1).',
    }),
    0,
  ),
  rippleBandHz: v.optional(
    quantity({
      label: 'Ripple band',
      unit: 'Hz',
      minimum: 1e5,
      maximum: 5e9,
      help: 'Width over which the gain ripple is stated.',
    }),
    20e6,
  ),
});

export type DataSheetSettings = v.InferOutput<typeof dataSheetSchema>;
