// What a waveform consists of: enough for a measurement to find carriers and symbols in a record.

/** How the OFDM symbols of one carrier lie in the record. Lengths are in samples of the record. */
export interface OfdmGeometry {
  readonly subcarrierSpacingHz: number;
  /** Power of two: sample rate / subcarrier spacing. */
  readonly fftLength: number;
  readonly cyclicPrefixSamples: number;
  /** fftLength + cyclicPrefixSamples; symbol s starts (with its prefix) at s·symbolSamples. */
  readonly symbolSamples: number;
  readonly symbolCount: number;
  /** Subcarrier positions against the carrier centre, rising, in units of the spacing. Shape [subcarrierCount]. */
  readonly subcarriers: Int32Array;
  readonly modulation: 'QPSK' | '16QAM' | '64QAM' | '256QAM' | '1024QAM';
  /** EVM window W of the standard's table, scaled to this sample rate. */
  readonly evmWindowSamples: number;
}

export interface CarrierGeometry {
  readonly kind: 'ofdm' | 'noise';
  /** Such as "LTE 10 MHz, 15 kHz, 64QAM". */
  readonly label: string;
  /** On a whole cycle of the record. */
  readonly offsetHz: number;
  readonly occupiedBandwidthHz: number;
  readonly channelBandwidthHz: number;
  readonly relativePowerDb: number;
  readonly ofdm: OfdmGeometry | null;
}
