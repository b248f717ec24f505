// What the study of a frozen correction answers.
import type { HoldAxis } from './holdQuestion.ts';
import type { StructureCost, ThinSpectrum } from './studyReport.ts';

/** One run, as a user would see it. */
export interface HoldReading {
  /** First channel, worse side; null where not read. */
  readonly worstAclrDb: number | null;
  readonly evmPercent: number | null;
  /** Smallest margin over all limits; null without limits. */
  readonly worstMarginDb: number | null;
  /** Share of the drive's samples held at the drive ceiling. */
  readonly heldRatio: number | null;
}

/** One setting of what changes. */
export interface HoldCondition {
  /** Such as "+2 dB", "312.5 MHz" or the name of a carrier set. */
  readonly label: string;
  /** In the axis's unit; null of carriers. */
  readonly value: number | null;
  /** True for the scenario's own condition: exactly one. */
  readonly isOwn: boolean;
  /** Nulls while the run is missing. */
  readonly uncorrected: HoldReading | null;
  /** Learned under this very condition; null too where no correction could be learned. */
  readonly retrained: HoldReading | null;
  /** True where the amplifier does not give the wanted power under this condition. */
  readonly isOutOfReach: boolean;
}

/** Coefficients of one condition, frozen, under another. */
export interface HoldCell {
  /** Indices into `conditions`; equal ones are the retrained run itself. */
  readonly trainedOn: number;
  readonly usedOn: number;
  /** Null while missing, out of reach, or where the row has no coefficients. */
  readonly reading: HoldReading | null;
  /** ACLR lost against learning under that condition; null where either is not read. */
  readonly lossDb: number | null;
}

/** A number of stored sets, and what each channel gets of it. */
export interface HoldSets {
  readonly setCount: number;
  /** Where each set was learned: the centres of equal sub-bands. */
  readonly centresHz: readonly number[];
  /** One for each channel, rising. */
  readonly channels: readonly {
    readonly channelHz: number;
    readonly setIndex: number;
    readonly reading: HoldReading | null;
    /** After passes of learning that went on from the set; null where not asked for or missing. */
    readonly warm: HoldReading | null;
  }[];
  /** Over the channels; null while any is missing. */
  readonly worstAclrDb: number | null;
  readonly worstChannelHz: number | null;
  readonly medianAclrDb: number | null;
  /** The same after passes of learning that went on from the channel's set; null where not asked for. */
  readonly warm: {
    readonly passCount: number;
    readonly worstAclrDb: number | null;
    readonly medianAclrDb: number | null;
  } | null;
  /** All sets together, at 16-bit real and imaginary parts. */
  readonly memoryBytes: number;
}

export interface HoldResult {
  readonly kind: 'hold';
  readonly axis: HoldAxis;
  /** Of the conditions' values. */
  readonly unit: 'dB' | '°' | 'Hz' | '';
  /** In the order of the matrix; rows are a part of them with `trainedOn` "own". */
  readonly conditions: readonly HoldCondition[];
  readonly cells: readonly HoldCell[];
  /** The frozen cell of the lowest ACLR (highest EVM where no ACLR is read), with its spectrum and the retrained one's. */
  readonly worst: {
    readonly trainedOn: number;
    readonly usedOn: number;
    readonly reading: HoldReading;
    readonly lossDb: number | null;
    readonly spectrum: ThinSpectrum | null;
    readonly retrainedSpectrum: ThinSpectrum | null;
  } | null;
  /** Of the axis channel; fewest sets first. */
  readonly sets: readonly HoldSets[];
  readonly cost: StructureCost | null;
  /** Required ACLR of the first channel; null without such a limit. */
  readonly requiredAclrDb: number | null;
}
