// The row of the standards' tables that an OFDM carrier asks for, or the fault with what the standard has instead.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { OfdmCarrierSettings } from '../../../shared/schema/scenario.ts';
import { findNumerology, type Numerology, numerologies } from '../../../shared/tables/numerologies.ts';
import { formatHz } from '../dsp/frequencyText.ts';

/** Null, with an issue below `waveform.carriers.<index>`, when the standard has no such channel. */
export function findRow(carrier: OfdmCarrierSettings, index: number, issues: Issue[]): Numerology | null {
  const { standard, channelBandwidthHz, subcarrierSpacingHz } = carrier;
  const row = findNumerology(standard, channelBandwidthHz, subcarrierSpacingHz);
  if (row !== undefined) return row;
  const name = standard.toUpperCase();
  const ofStandard = numerologies.filter((other) => other.standard === standard);
  const sameWidth = ofStandard.filter((other) => other.channelBandwidthHz === channelBandwidthHz);
  const widths = ofStandard.filter((other) => other.subcarrierSpacingHz === subcarrierSpacingHz);
  const field = sameWidth.length > 0 ? 'subcarrierSpacingHz' : 'channelBandwidthHz';
  const list = (values: readonly number[], unitHz: number) => values.map((value) => value / unitHz).join(', ');
  const spacings = list(
    sameWidth.map((other) => other.subcarrierSpacingHz),
    1e3,
  );
  const allowedWidths =
    widths.length > 0
      ? `${list(
          widths.map((other) => other.channelBandwidthHz),
          1e6,
        )} MHz`
      : `another spacing: ${list([...new Set(ofStandard.map((other) => other.subcarrierSpacingHz))], 1e3)} kHz`;
  issues.push({
    path: `waveform.carriers.${index}.${field}`,
    rule:
      field === 'subcarrierSpacingHz'
        ? `must be a spacing ${name} has at ${formatHz(channelBandwidthHz)}`
        : `must be a channel bandwidth ${name} has at ${formatHz(subcarrierSpacingHz)}`,
    value: printValue(carrier[field]),
    remedy: field === 'subcarrierSpacingHz' ? `use ${spacings} kHz` : `use ${allowedWidths}`,
  });
  return null;
}

/** The row of a carrier that was checked before. */
export function rowOf({ standard, channelBandwidthHz, subcarrierSpacingHz }: OfdmCarrierSettings): Numerology {
  const row = findNumerology(standard, channelBandwidthHz, subcarrierSpacingHz);
  if (row !== undefined) return row;
  throw new RangeError(`rowOf: ${standard} has no row of ${channelBandwidthHz} Hz at ${subcarrierSpacingHz} Hz`);
}
