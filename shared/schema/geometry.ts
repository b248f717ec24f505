// What a waveform consists of: enough for a measurement to find carriers and symbols in a record.
import type { CarrierSettings, OfdmCarrierSettings, SingleCarrierSettings } from './waveform.ts';

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
  readonly modulation: OfdmCarrierSettings['modulation'];
  /** EVM window W of the standard's table, scaled to this sample rate. */
  readonly evmWindowSamples: number;
}

/** Symbols of one single carrier. Symbol s sits at sample s·samplesPerSymbol of the record (a fraction may remain). */
export interface SingleCarrierGeometry {
  /** As placed: a whole number of symbols per record. */
  readonly symbolRateHz: number;
  readonly symbolCount: number;
  readonly samplesPerSymbol: number;
  readonly rollOffRatio: number;
  readonly modulation: SingleCarrierSettings['modulation'];
  /** Ring radii over the innermost one, APSK only; [1] otherwise. */
  readonly ringRatios: readonly number[];
}

/** Tones of a multitone or two-tone carrier against the carrier's offset, rising; on whole cycles of the record. */
export interface ToneGeometry {
  readonly toneSpacingHz: number;
  readonly frequencyHz: Float64Array;
  /** Against the strongest tone. */
  readonly levelDb: Float64Array;
}

export interface CarrierGeometry {
  readonly kind: CarrierSettings['kind'];
  /** Such as "LTE 10 MHz, 15 kHz, 64QAM". */
  readonly label: string;
  /** On a whole cycle of the record. */
  readonly offsetHz: number;
  readonly occupiedBandwidthHz: number;
  readonly channelBandwidthHz: number;
  readonly relativePowerDb: number;
  readonly ofdm: OfdmGeometry | null;
  readonly singleCarrier: SingleCarrierGeometry | null;
  readonly tones: ToneGeometry | null;
  /** Edges of the empty band against the carrier's offset: on whole bins or subcarriers. */
  readonly notch: { readonly lowerHz: number; readonly upperHz: number } | null;
}

/**
 * A periodic on/off pattern of the whole record. Burst b is fully on from b·periodSamples for onSamples − rampSamples; its
 * rise lies before, its fall behind. Lengths may be fractions.
 */
export interface BurstGeometry {
  readonly periodSamples: number;
  readonly periodCount: number;
  /** Between the half-amplitude points. */
  readonly onSamples: number;
  readonly rampSamples: number;
  /** Mean of the squared on/off envelope: mean power over the record is this share of the power while on. */
  readonly activeRatio: number;
}
