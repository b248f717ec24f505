// The width of a carrier of any kind.
//
// OFDM: 12·N_RB subcarriers (TS 38.104 clause 5.3.2). Single carrier: (1 + α)·symbol rate, beyond which a
// root-raised-cosine pulse has no power. Tones: count × spacing, each tone the owner of half a spacing on either side, so
// that two tones and their third- and fifth-order products lie in channels of equal width. Noise: its bins. Records: the
// band that holds 99 % of the power.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { CarrierSettings } from '../../../shared/schema/scenario.ts';
import type { RecordStore } from '../dsp/waveformTypes.ts';
import { findRow } from './numerologyRow.ts';
import { findRecord, recordWidths } from './recordCarrier.ts';

/** One carrier's place in the spectrum. */
export interface Band {
  readonly carrierIndex: number;
  readonly offsetHz: number;
  readonly occupiedBandwidthHz: number;
  readonly channelBandwidthHz: number;
  /** Null for all but OFDM. */
  readonly subcarrierSpacingHz: number | null;
  /** Null for all but single carriers. */
  readonly symbolRateHz: number | null;
}

/** The band of a carrier, or null with an issue when its row or record does not exist. */
export function bandOf(
  carrier: CarrierSettings,
  carrierIndex: number,
  records: RecordStore,
  issues: Issue[],
): Band | null {
  const { offsetHz } = carrier;
  const place = { carrierIndex, offsetHz, subcarrierSpacingHz: null, symbolRateHz: null };
  switch (carrier.kind) {
    case 'ofdm': {
      const row = findRow(carrier, carrierIndex, issues);
      if (row === null) return null;
      const { transmissionBandwidthHz, channelBandwidthHz, subcarrierSpacingHz } = row;
      return { ...place, occupiedBandwidthHz: transmissionBandwidthHz, channelBandwidthHz, subcarrierSpacingHz };
    }
    case 'singleCarrier': {
      const { symbolRateHz, rollOffRatio } = carrier;
      return { ...place, ...widths((1 + rollOffRatio) * symbolRateHz, carrier), symbolRateHz };
    }
    case 'multitone':
      return { ...place, ...widths(carrier.toneCount * carrier.toneSpacingHz, carrier) };
    case 'twoTone':
      return { ...place, ...widths(2 * carrier.toneSpacingHz, carrier) };
    case 'noise':
      return { ...place, ...widths(carrier.occupiedBandwidthHz, carrier) };
    case 'record': {
      const record = findRecord(carrier, carrierIndex, records, issues);
      return record && { ...place, ...recordWidths(carrier, record) };
    }
  }
}

function widths(
  occupiedBandwidthHz: number,
  { channelBandwidthHz }: { readonly channelBandwidthHz: number | 'auto' },
): Pick<Band, 'occupiedBandwidthHz' | 'channelBandwidthHz'> {
  return {
    occupiedBandwidthHz,
    channelBandwidthHz: channelBandwidthHz === 'auto' ? occupiedBandwidthHz : channelBandwidthHz,
  };
}
