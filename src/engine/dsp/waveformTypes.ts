// The record that runs through the chain, shared by the folders of the engine that may not import each other.
import type { BurstGeometry, CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { ComplexSignal } from './complex.ts';

export interface Waveform {
  /** Periodic, unit mean power, after crest-factor reduction. */
  readonly signal: ComplexSignal;
  /** Same record before crest-factor reduction, unit mean power; the same object when there was none. */
  readonly beforeReduction: ComplexSignal;
  readonly sampleRateHz: number;
  readonly carriers: readonly CarrierGeometry[];
  /**
   * Per carrier the data symbols, mean power 1: OFDM row by row [symbol][subcarrier], a single carrier symbol by symbol;
   * null for tones, noise and records.
   */
  readonly data: readonly (ComplexSignal | null)[];
  /** Null for a continuous record. Unit mean power then holds while on: mean |signal|² is `activeRatio`. */
  readonly burst: BurstGeometry | null;
}

/** A record handed in from outside, by the name scenarios call it. */
export interface SuppliedRecord {
  readonly name: string;
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
  /** SHA-512 of the file's samples, lower-case hexadecimal; null when nobody computed it. */
  readonly sha512: string | null;
}

export type RecordStore = ReadonlyMap<string, SuppliedRecord>;

export const NO_RECORDS: RecordStore = new Map();

/** A memoryless or dispersive device as a function of a whole periodic record. */
export type Device = (drive: ComplexSignal) => ComplexSignal;

/** Longest record the engine takes on, also at a model's rate: 2^24 samples, 256 MB per signal. */
export const MOST_SAMPLES = 2 ** 24;
