// What a new part of a waveform starts from: the few fields without a default, and the schema's defaults for the rest.
import * as v from 'valibot';
import { numerologies } from '../tables/numerologies.ts';
import {
  type BurstSettings,
  burstSchema,
  type CarrierSettings,
  type CrestFactorReductionSettings,
  carrierSchema,
  crestFactorReductionSchema,
  type NotchSettings,
  notchSchema,
  type SpectralEdgeSettings,
  waveformSchema,
} from './waveform.ts';

export type CarrierKind = CarrierSettings['kind'];

/** In the order they are offered. */
export const CARRIER_KINDS: readonly CarrierKind[] = [
  'ofdm',
  'singleCarrier',
  'multitone',
  'twoTone',
  'noise',
  'record',
];

/** Above this the tables have no row at 15 kHz (TS 38.104 Table 5.3.2-1). */
const WIDEST_AT_15_KHZ = 50e6;
const START_TONES = 64;
const ROLL_OFF = 0.25;
/**
 * Share of its room that a carrier without a channel of its own fills, as most rows of the tables do: carriers are moved to
 * whole cycles of the record and must not meet there.
 */
export const FILLED_SHARE = 0.95;

/** Three figures are what a person would write; rounded down, so that a carrier still fits between its neighbours. */
function rounded(value: number): number {
  const unit = 10 ** (Math.floor(Math.log10(value)) - 2);
  return Number((Math.floor(value / unit + 1e-9) * unit).toPrecision(3));
}

/** The NR row whose channel is nearest to a width. */
function nearestRow(widthHz: number) {
  const subcarrierSpacingHz = widthHz > WIDEST_AT_15_KHZ ? 30e3 : 15e3;
  const rows = numerologies.filter((row) => row.standard === 'nr' && row.subcarrierSpacingHz === subcarrierSpacingHz);
  const widths = rows.map((row) => row.channelBandwidthHz);
  const distance = (width: number) => Math.abs(width - widthHz);
  const channelBandwidthHz = widths.reduce((best, width) => (distance(width) < distance(best) ? width : best), 10e6);
  return { channelBandwidthHz, subcarrierSpacingHz };
}

/** The fields that a kind cannot do without, for a carrier in `roomHz`. */
function requiredFields(kind: CarrierKind, roomHz: number): object {
  const widthHz = FILLED_SHARE * roomHz;
  switch (kind) {
    case 'ofdm':
      return nearestRow(roomHz);
    case 'singleCarrier':
      return { symbolRateHz: rounded(widthHz / (1 + ROLL_OFF)), rollOffRatio: ROLL_OFF };
    case 'multitone':
      return { toneCount: START_TONES, toneSpacingHz: rounded(widthHz / START_TONES) };
    case 'twoTone':
      return { toneSpacingHz: rounded(widthHz / 10) };
    case 'noise':
      return { occupiedBandwidthHz: rounded(widthHz) };
    case 'record':
      return { recordName: '' };
  }
}

/** A carrier of a kind for `roomHz` between its neighbours, as near as its kind comes; at the centre, of full power. */
export function startCarrier(kind: CarrierKind, roomHz: number): CarrierSettings {
  return v.parse(carrierSchema, { kind, ...requiredFields(kind, roomHz) });
}

/** Crest-factor reduction to a target that most signals reach cheaply: 8 dB. */
export function startReduction(): CrestFactorReductionSettings {
  return v.parse(crestFactorReductionSchema, { targetPaprDb: 8 });
}

/** Half a millisecond, on for half of it. */
export function startBurst(): BurstSettings {
  return v.parse(burstSchema, { periodS: 0.5e-3, dutyRatio: 0.5 });
}

/** A notch of a tenth of the carrier, at its centre. */
export function startNotch(widthHz: number): NotchSettings {
  return v.parse(notchSchema, { bandwidthHz: rounded(widthHz / 10) });
}

/** A spectral edge of a kind; a symbol overlap of one microsecond fits every prefix. */
export function startEdge(kind: SpectralEdgeSettings['kind']): SpectralEdgeSettings {
  const fields = kind === 'symbolOverlap' ? { kind, overlapS: 1e-6 } : { kind };
  return v.parse(waveformSchema.entries.spectralEdge, fields);
}
