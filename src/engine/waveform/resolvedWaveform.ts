// A waveform with nothing left to decide: what the generators need, in samples and bins of the record.
import type { BurstGeometry, CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type {
  CarrierSettings,
  CrestFactorReductionSettings,
  WaveformSettings,
} from '../../../shared/schema/scenario.ts';
import type { SuppliedRecord } from '../dsp/waveformTypes.ts';

export interface ResolvedCarrier {
  readonly geometry: CarrierGeometry;
  /** Carrier offset in whole cycles per record. */
  readonly cyclesPerRecord: number;
  /**
   * Noise, single carriers and tones lie exactly on the bins −halfBinCount … +halfBinCount about the offset; null for
   * OFDM and records.
   */
  readonly halfBinCount: number | null;
  /** Channel filter of this carrier: used as spectral edge, and by crest-factor reduction in any case. */
  readonly filter: ResolvedFilter;
  readonly crestShareRatio: number;
  /** The settings as written out; generators read payload, phase law and the like from them. */
  readonly settings: CarrierSettings;
  /** The record a carrier of that kind is made of; null for the others. */
  readonly record: SuppliedRecord | null;
}

export interface ResolvedFilter {
  readonly tapCount: number;
  readonly cutoffHz: number;
  readonly kaiserBeta: number;
}

export type ResolvedEdge =
  | { readonly kind: 'channelFilter' }
  /** Even number of samples; 0 is no overlap. */
  | { readonly kind: 'symbolOverlap'; readonly overlapSamples: number }
  | { readonly kind: 'none' };

export interface ResolvedWaveform {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  /** OFDM symbols of the widest symbol in the record; null without OFDM. */
  readonly symbolCount: number | null;
  readonly carriers: readonly ResolvedCarrier[];
  readonly edge: ResolvedEdge;
  readonly crestFactorReduction: CrestFactorReductionSettings | null;
  readonly burst: BurstGeometry | null;
  /**
   * The settings with their choices written out. One exception: a tap count or cut-off that differs between carriers has
   * no single number and stays "auto", which resolves to the same filters again.
   */
  readonly resolvedSettings: WaveformSettings;
}
