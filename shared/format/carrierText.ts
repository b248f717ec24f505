// A carrier in few words, the same on every face.
import type { CarrierSettings } from '../schema/scenario.ts';
import { formatEngineering } from './numbers.ts';

/** Such as "LTE 10 MHz, 64QAM" or "2 tones 1 MHz apart". */
export function carrierText(carrier: CarrierSettings): string {
  const hz = (value: number) => formatEngineering(value, 'Hz');
  switch (carrier.kind) {
    case 'ofdm':
      return `${carrier.standard.toUpperCase()} ${hz(carrier.channelBandwidthHz)}, ${carrier.modulation}`;
    case 'singleCarrier':
      return `${carrier.modulation} ${formatEngineering(carrier.symbolRateHz, 'sym/s')}`;
    case 'multitone':
      return `${carrier.toneCount} tones ${hz(carrier.toneSpacingHz)} apart`;
    case 'twoTone':
      return `2 tones ${hz(carrier.toneSpacingHz)} apart`;
    case 'noise':
      return `noise, ${hz(carrier.occupiedBandwidthHz)}`;
    case 'record':
      return `record ${carrier.recordName}`;
  }
}
