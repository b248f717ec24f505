// What identifying an amplifier from a pair of records reports. Plain data: printed as JSON, shown on the page.
import type { Warning } from './issue.ts';
import type { AmAmAmPmTrace, Side, SpectrumTrace } from './report.ts';

/** Orders 1 … of the terms x[n−l]·|x[n−l]|^(k−1), and which cross terms x[n−l]·|x[n−l−m]|^(k−1). */
export interface IdentifiedStructure {
  readonly nonlinearOrders: readonly number[];
  /** Delays including zero. */
  readonly memoryDepth: number;
  /** Delays ahead of the drive, 0 or 1. */
  readonly leadSamples: number;
  readonly cross: { readonly nonlinearOrders: readonly number[]; readonly reachSamples: number } | null;
  readonly coefficientCount: number;
  readonly trainingNmseDb: number;
  readonly heldOutNmseDb: number;
}

export interface PairReading {
  readonly delaySamples: number;
  readonly delayS: number;
  /** Of the observation against the drive; there when one was found and taken out. */
  readonly frequencyOffsetHz?: number;
  /** Of the observation over the drive (of the model's output in a validation). */
  readonly gainDb: number;
  readonly phaseDeg: number;
  /** Constant of the receiver over the output's mean power. */
  readonly carrierLeakDbc: number;
  /** Share of the receiver's conjugate. */
  readonly imageDb: number;
  /** 1 for a perfect copy, near 0 for records that do not belong together. */
  readonly correlationRatio: number;
}

export interface PredictedAclr {
  readonly channel: string;
  readonly side: Side;
  readonly offsetHz: number;
  readonly bandwidthHz: number;
  /** Of the observation without the receiver's leak and image. */
  readonly observedDb: number | null;
  readonly predictedDb: number | null;
}

export interface LoopWidthReading {
  /** One standard deviation of single samples round the mean curve. */
  readonly gainDb: number;
  readonly phaseDeg: number;
}

export interface IdentificationReport {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly driveMeanDbfs: number;
  readonly drivePeak: number;
  readonly clippedSamples: { readonly drive: number; readonly observed: number };
  readonly alignment: PairReading & {
    /** One standard deviation that the residual of the static curve explains. */
    readonly delayDeviationS: number;
  };
  readonly loops: {
    readonly asRecorded: LoopWidthReading;
    readonly wholeSamples: LoopWidthReading;
    readonly aligned: LoopWidthReading;
  };
  /** The structure taken; its model is fitted again to all samples. */
  readonly chosen: IdentifiedStructure;
  /** Residual of the model over all samples it was fitted to. */
  readonly fitNmseDb: number;
  /** Held-out error of the same structure when the receiver's leak and image are left in. */
  readonly heldOutWithReceiverErrorsDb: number;
  readonly trainingSampleCount: number;
  readonly heldOutSampleCount: number;
  /** A structure this close to the best on held-out samples is taken for as good. */
  readonly keptMarginDb: number;
  /** Held-out improvement of the best structure that has it over the best that has not; null when none was tried. */
  readonly gains: {
    readonly memoryDb: number | null;
    readonly crossTermsDb: number | null;
    readonly evenOrdersDb: number | null;
  };
  /** Every structure tried, smallest first. */
  readonly structures: readonly IdentifiedStructure[];
  readonly shares: {
    /** Held-out error of the best structure without memory. */
    readonly staticNmseDb: number;
    /** What memory explains of it, over the output's power; null when memory explains nothing. */
    readonly memoryDb: number | null;
    /** White noise of the receiver; null when the signal fills the band it would be read in. */
    readonly noiseDb: number | null;
    /** Rest: what the chosen structure cannot describe; null when the noise explains all. */
    readonly modelErrorDb: number | null;
    readonly noiseMethod: string;
  };
  readonly aclr: readonly PredictedAclr[];
  /** The own channel of the drive; null when it cannot be read. */
  readonly channels: { readonly centreHz: number; readonly ownBandwidthHz: number } | null;
  /** Own channel over the model's error in the worst adjacent channel: better ratios cannot be predicted. */
  readonly errorAclrDb: number | null;
  readonly driveRange: number;
  readonly scale: {
    readonly meanOutputDbm: number | null;
    readonly saturatedPowerDbm: number | null;
    readonly outputBackoffDb: number | null;
    /** Output amplitude, in the record's units, of 0 dB output back-off. */
    readonly saturatedAmplitude: number | null;
    /** Gain lost at the largest drive of the records against small drive. */
    readonly compressionAtPeakDb: number;
  };
  readonly validation: ValidationReading | null;
  readonly trust: { readonly level: 'good' | 'limited' | 'poor'; readonly reasons: readonly string[] };
  readonly warnings: readonly Warning[];
}

export interface ValidationReading {
  /** Error of the model on the second pair, after delay, one gain, leak and image of that observation. */
  readonly nmseDb: number;
  /** Against the held-out error: above 0 is worse. */
  readonly differenceDb: number;
  readonly alignment: PairReading;
  readonly heldSampleRatio: number;
  readonly aclr: readonly PredictedAclr[];
}

/** What the pictures of an identification are drawn from. */
export interface IdentificationTraces {
  /** Mean power in the resolution bandwidth over the aligned observation's mean power, dB, on one frequency axis. */
  readonly spectra: {
    /** Aligned, without the receiver's leak and image. */
    readonly observed: SpectrumTrace;
    readonly predicted: SpectrumTrace;
    /** Observed minus predicted: what the model does not explain. */
    readonly residual: SpectrumTrace;
  };
  readonly resolutionBandwidthHz: number;
  /**
   * Gain and phase of single samples against drive level; drive in dB re the largest of the record, gain and phase re the
   * least-squares gain of the aligned observation over the drive.
   */
  readonly loops: {
    /** Before the delay is taken out: only that one complex gain is; its axes are ±20 dB and ±180°. */
    readonly asRecorded: AmAmAmPmTrace;
    readonly aligned: AmAmAmPmTrace;
    /** The model on the same drive, on the same axes as aligned: what width is memory. */
    readonly predicted: AmAmAmPmTrace;
  };
}
