// The record that runs through the chain, shared by the folders of the engine that may not import each other.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { ComplexSignal } from './complex.ts';

export interface Waveform {
  /** Periodic, unit mean power, after crest-factor reduction. */
  readonly signal: ComplexSignal;
  /** Same record before crest-factor reduction, unit mean power; the same object when there was none. */
  readonly beforeReduction: ComplexSignal;
  readonly sampleRateHz: number;
  readonly carriers: readonly CarrierGeometry[];
  /** Per carrier the data symbols, row by row [symbol][subcarrier], mean power 1; null for noise. */
  readonly data: readonly (ComplexSignal | null)[];
}

/** A memoryless or dispersive device as a function of a whole periodic record. */
export type Device = (drive: ComplexSignal) => ComplexSignal;

/** Longest record the engine takes on, also at a model's rate: 2^24 samples, 256 MB per signal. */
export const MOST_SAMPLES = 2 ** 24;
