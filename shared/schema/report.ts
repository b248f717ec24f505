// The report of one run: the figures every face of the tool shows, under the same names.
import type { Warning } from './issue.ts';
import type { OverBandReport } from './overBand.ts';
import type { SignalPathReport } from './pathReport.ts';
import type { LoadReport, PowerModelReport, PowerReadings } from './powerReport.ts';
import type { AmplifierCurve, AmplifierReadBack } from './readBack.ts';
import type { CarrierSettings, LimitSettings, MaskLimitSettings, Scenario } from './scenario.ts';
import type { StructureCost } from './studyReport.ts';

export type { LoadReport, PowerChoice, PowerModelReport, PowerReadings } from './powerReport.ts';

export const REPORT_FORMAT = 1;

/** Complex samples or coefficients; equal lengths. */
export interface ComplexList {
  readonly re: readonly number[] | Float64Array;
  readonly im: readonly number[] | Float64Array;
}

export type Side = 'lower' | 'upper';
export type Subject = 'uncorrected' | 'corrected' | 'ideal';

/** A floor below which an emission figure cannot go, whatever the amplifier does. */
export type FloorName = 'source' | 'estimator' | 'numbers' | 'transmitterNoise' | 'analyser' | 'idealLimiter';

export interface AclrReading {
  /** Name of the measured channel: adjacent, alternate, utraFirst, utraSecond, gap … */
  readonly channel: string;
  /** In a gap: the carrier edge it is counted from. */
  readonly side: Side;
  /**
   * Offset of the channel centre from the outer carrier's centre, positive on both sides; in a gap from the edge of the
   * channel beside it.
   */
  readonly offsetHz: number;
  /** Centre of the channel in the record. */
  readonly centreHz: number;
  readonly bandwidthHz: number;
  readonly filter: 'square' | 'rrc';
  /** Own-channel power over the power in this channel; positive, larger is better. */
  readonly aclrDb: number;
  /** One standard deviation of this reading, from the scatter of the segments; null for a whole-record spectrum. */
  readonly spreadDb: number | null;
  /** Mean density in the channel at the antenna port; null without a power scale. */
  readonly densityDbmPerMHz: number | null;
  /** The floor within 10 dB of this reading that speaks loudest, or null. */
  readonly limitedBy: FloorName | null;
}

export interface EvmReading {
  readonly rmsPercent: number;
  readonly peakPercent: number;
  readonly equalizer: 'none' | 'oneGain' | 'perSubcarrier' | 'smoothed';
  readonly reference: 'data' | 'shaped';
  /** Where the transform window stood: the worse end of the standard's two, or the middle of the prefix. */
  readonly windowPosition: 'centre' | 'early' | 'late' | 'matchedFilter';
  /** Symbols averaged; the equalizer learns from the same symbols. */
  readonly symbolCount: number;
  /** Share of the true EVM that an equalizer taught by these symbols shows. */
  readonly biasRatio: number;
  /** Index of the carrier read (in the whole report: the worst one). */
  readonly carrierIndex: number;
}

/** One emission mask held against one output. */
export interface MaskReading {
  readonly name: string;
  readonly source: string;
  readonly status: LimitSettings['status'];
  readonly unit: MaskLimitSettings['unit'];
  /** Smallest limit − level over both sides and gaps; positive is room. */
  readonly worstMarginDb: number;
  /** In a gap between carriers: below or above the gap, whichever carriers are nearer. */
  readonly side: Side;
  /** Where it is: centre of the measuring filter in the record, and its distance from the mask's reference. */
  readonly atHz: number;
  readonly distanceHz: number;
  readonly levelDbm: number;
  readonly limitDbm: number;
  readonly measuringBandwidthHz: number;
  /** One standard deviation of the level there, from the scatter of the segments; null for a whole-record spectrum. */
  readonly spreadDb: number | null;
  readonly limitedBy: FloorName | null;
  /** How far out the record shows both sides; pieces beyond are not judged. */
  readonly judgedToHz: number;
  /** False when a piece lies beyond that. */
  readonly isComplete: boolean;
}

/** Mean density in a band against the mean density of chosen carriers. */
export interface SlotReading {
  readonly name: string;
  readonly centreHz: number;
  readonly bandwidthHz: number;
  /** Positive: the slot is this far below the carriers. */
  readonly ratioDb: number;
  /** One standard deviation of this reading, from the scatter of the segments; null for a whole-record spectrum. */
  readonly spreadDb: number | null;
  readonly densityDbmPerMHz: number | null;
  readonly limitedBy: FloorName | null;
}

/** Notch (noise) power ratio: density beside the notch over density inside it. */
export interface NotchReading {
  readonly carrierIndex: number;
  readonly ratioDb: number;
  /** The same of the waveform itself; a reading within 15 dB of it is the waveform's, not the amplifier's. */
  readonly sourceRatioDb: number;
  /** OFDM is read symbol by symbol, so that the symbols' own skirts do not fill the notch. */
  readonly method: 'wholeRecord' | 'symbolSynchronous';
}

/** Two tones and their products; powers are per tone, at the antenna port. */
export interface TwoToneReading {
  readonly carrierIndex: number;
  readonly toneSpacingHz: number;
  /** `levelDb`: of one tone against saturated power at the amplifier. */
  readonly tones: readonly { readonly side: Side; readonly powerDbm: number | null; readonly levelDb: number }[];
  /** Order 3, 5 and 7, as far as they lie inside the record's band. */
  readonly products: readonly {
    readonly order: number;
    readonly side: Side;
    /** Against the carrier's centre; negative below it. */
    readonly offsetHz: number;
    readonly powerDbm: number | null;
    /** Tone of the same side over this product. */
    readonly ratioDb: number;
  }[];
}

export interface PaprPoint {
  readonly probability: number;
  /** Level over mean power exceeded with this probability; null when the record is too short to tell. */
  readonly db: number | null;
  /** The same in dBm at the amplifier's output; null with `db` or without a power scale, absent for a waveform. */
  readonly powerDbm?: number | null;
  /**
   * How far `db` may be off, one standard deviation of the number of peaks beyond it; null with `db`, absent where the
   * signal's bandwidth is not known.
   */
  readonly spreadDb?: number | null;
}

export interface WaveformReport {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly symbolCount: number | null;
  readonly durationS: number;
  /** 99 % of the power. */
  readonly occupiedBandwidthHz: number;
  readonly papr: readonly PaprPoint[];
  readonly peakToAverageDb: number;
  /** Before crest-factor reduction; equal to `papr` when there is none. */
  readonly paprBeforeReduction: readonly PaprPoint[];
  readonly aclr: readonly AclrReading[];
  /** EVM spent by crest-factor reduction, or null without it. */
  readonly crestReductionEvmPercent: number | null;
  /** The same per carrier, null where a carrier has no symbols. */
  readonly crestReductionEvmPerCarrier: readonly (number | null)[];
  /** Share of time on, for a burst pattern; 1 for a continuous record. */
  readonly activeRatio: number;
  /** Cubic metric (TS 36.101 clause 6.2.2, TS 25.101: from memory); null without a defined reference. */
  readonly cubicMetricDb: number | null;
  /**
   * EVM of the waveform itself, before crest-factor reduction, read as the outputs' EVM, which stands on it. Null
   * without symbols; nothing when the reference is the shaped waveform.
   */
  readonly sourceEvmPercent: number | null;
  readonly carriers: readonly {
    readonly offsetHz: number;
    readonly occupiedBandwidthHz: number;
    readonly channelBandwidthHz: number;
    readonly relativePowerDb: number;
    readonly label: string;
    readonly kind: CarrierSettings['kind'];
  }[];
}

/** One amplifier output, at the stated power, on the judging record. */
export interface OutputReport extends PowerReadings {
  readonly meanPowerDbm: number | null;
  readonly meanPowerW: number | null;
  readonly peakPowerDbm: number | null;
  readonly antennaMeanDbm: number | null;
  readonly outputBackoffDb: number;
  readonly peakToAverageDb: number;
  readonly papr: readonly PaprPoint[];
  /** Mean power density in the first channel, on the side where it is higher, at the antenna port. */
  readonly worstAdjacentDensityDbmPerMHz: number | null;
  readonly occupiedBandwidthHz: number;
  readonly aclr: readonly AclrReading[];
  /** One for each mask among the limits. */
  readonly masks: readonly MaskReading[];
  readonly slots: readonly SlotReading[];
  /** Null without a notch in a carrier. */
  readonly notch: NotchReading | null;
  /** Null without a two-tone carrier. */
  readonly twoTone: TwoToneReading | null;
  /** The worst carrier's; null when no carrier carries symbols. */
  readonly evm: EvmReading | null;
  readonly evmPerCarrier: readonly EvmReading[];
  /** Error against the shaped waveform after one complex least-squares gain: what the ideal limiter bounds. */
  readonly nmseDb: number;
  readonly heldSampleRatio: number;
  readonly driveMeanDbm: number | null;
  readonly drivePeakDbm: number | null;
}

/** Peak over mean at each stage, and the drive against the knee. */
export interface PeakLedger {
  readonly data: number;
  readonly shaped: number;
  /** Uncorrected drive at the amplifier's input. */
  readonly uncorrectedDrive: { readonly peakToAverageDb: number; readonly reKneeDb: number };
  readonly drive: { readonly peakToAverageDb: number; readonly reKneeDb: number } | null;
  /** Corrected drive peak over uncorrected drive peak, at the same mean output power. */
  readonly drivePeakGrowthDb: number | null;
  /** Share of the corrected drive's samples held at the drive ceiling. */
  readonly driveHeld: number | null;
  readonly output: number;
  readonly correctedOutput: number | null;
}

export interface LearningPass {
  /** Error of the amplifier output after one gain, on the training record. */
  readonly nmseDb: number;
  /** Residual of the inverse fit on the samples it was fitted to. */
  readonly fitResidualDb: number;
  /** Residual of the same inverse on the selection record. */
  readonly freshResidualDb: number;
  /** Error of the amplifier output after one gain, on the selection record. */
  readonly selectionNmseDb: number;
  /** Worst side of the first channel on the selection record; null when it lies outside the axis. */
  readonly worstAclrDb: number | null;
  readonly evmPercent: number | null;
  readonly drivePeakDb: number;
  readonly heldSampleRatio: number;
  /** Of the column-scaled regressor matrix; null when its columns are dependent in double precision. */
  readonly conditionNumber: number | null;
  /** Of the unscaled regressor matrix with the observation at unit rms. */
  readonly rawConditionNumber: number | null;
  readonly outputBackoffDb: number;
}

/** Iterative learning sample by sample on the judging record: what no structure limits. */
export interface BestDriveReport {
  /** Worst side of the first channel; null when it cannot be read at this sample rate. */
  readonly worstAclrDb: number | null;
  readonly evmPercent: number | null;
  readonly nmseDb: number;
  /** Against the knee. */
  readonly drivePeakDb: number;
  readonly passCount: number;
}

/** How far the correction is from what is possible at this mean output power, by total error. */
export interface BoundsReport {
  /** Strict: no amplifier that stops at its saturated power has a smaller error. */
  readonly idealLimiterNmseDb: number;
  /** Null when the best drive is left out. */
  readonly bestDriveNmseDb: number | null;
  /** Corrected error over that of the best drive; null without one. */
  readonly distanceFromBestDb: number | null;
  /** A floor, the amplifier (the best drive comes no nearer), or the predistorter's structure and learning. */
  readonly limitedBy: FloorName | 'amplifier' | 'predistorter';
}

/** Error before each update against the target's power, in groups of samples in a row. */
export interface LearningConvergence {
  /** Last sample of a group, counted from the first sample of the first pass. */
  readonly sampleIndex: readonly number[];
  readonly errorDb: readonly number[];
}

export interface LearningReport {
  readonly method: 'indirect' | 'forwardModel' | 'direct';
  /** Null with batch fits. */
  readonly convergence: LearningConvergence | null;
  readonly coefficientCount: number;
  /** Of the column-scaled regressor matrix, first pass; null without a pass or when its columns are dependent. */
  readonly conditionNumber: number | null;
  /** Of the unscaled regressor matrix with the observation at unit rms, first pass. */
  readonly rawConditionNumber: number | null;
  readonly trainingSampleCount: number;
  readonly passes: readonly LearningPass[];
  /** Index into `passes`, or null when none was better than no correction and than stored coefficients gone on from. */
  readonly chosenPass: number | null;
  /** Set when the correction is not used, or stored coefficients are kept in place of every pass. */
  readonly rejectedBecause: string | null;
  /** Why fewer passes were made than asked for, or null. */
  readonly stoppedBecause: string | null;
}

/** Which envelopes beside the signal sample's own a predistorter uses: x[n−l]·|x[n−l−m]|^(k−1). */
export interface CrossTermsReport {
  readonly nonlinearOrders: readonly number[];
  /** Signal delays l = 0 … memoryDepth−1. */
  readonly memoryDepth: number;
  /** m = 1 … this. */
  readonly laggingEnvelopeDelays: number;
  /** m = −1 … −this. */
  readonly leadingEnvelopeDelays: number;
}

/** What the predistorter's word lengths and tables cost, at the same mean output power on the judging record. */
export interface NumbersReport {
  /** Worst-side ACLR in double precision over that in words; null when it cannot be read. */
  readonly lossDb: number | null;
  readonly aclrDoubleDb: number | null;
  readonly aclrDb: number | null;
  /** Difference of both drives over the drive's power, after one complex gain. */
  readonly errorDb: number;
}

export interface PredistorterReport {
  readonly kind: 'memoryPolynomial' | 'generalizedMemoryPolynomial' | 'envelopeTable';
  /** Empty in a table. */
  readonly nonlinearOrders: readonly number[];
  /** Taps; the longest where each order has its own. */
  readonly memoryDepth: number;
  /** One for each order; null with one depth for all. */
  readonly memoryDepthByOrder: readonly number[] | null;
  /** Entries of an envelope table, at equal steps of amplitude from 0 to the drive ceiling; null in a polynomial. */
  readonly entryCount: number | null;
  readonly interpolation: 'linear' | 'nearest' | null;
  /** Null in double precision, and where the wanted power was not reached. */
  readonly numbers: NumbersReport | null;
  /** Null in a memory polynomial. */
  readonly crossTerms: CrossTermsReport | null;
  readonly sampleRateHz: number;
  /**
   * Delay by delay, in each delay order by order: index l·orderCount + k. Then the cross terms, delay by delay; in each
   * delay the lagging envelopes from 1 up, then the leading ones from 1 up; in each envelope order by order. Orders
   * whose own depth ends before a delay are left out. In a table delay by delay, in each from amplitude 0 up:
   * index l·entryCount + i. In double precision, whatever the words they are sent in.
   */
  readonly coefficients: ComplexList;
  readonly driveCeilingRatio: number;
  /** Scale from unit-rms waveform to predistorter input. */
  readonly driveScale: number;
  /** Amplitude of a drive at the knee in the units of records: the model's own. */
  readonly kneeAmplitude: number;
  /** Carriers, power and amplifier the coefficients were learned for. */
  readonly learnedFor: string;
  /** Null where the coefficients were learned in the run. */
  readonly stored: StoredReport | null;
  /** What the structure costs in logic. */
  readonly cost: StructureCost;
}

/** Stored coefficients in use. */
export interface StoredReport {
  readonly name: string;
  readonly levelBy: 'drive' | 'analogueGain';
  /** Level of the predistorter's input over that of the learning. */
  readonly digitalLevelDb: number;
  /** Gain behind the predistorter over that of the learning. */
  readonly analogueGainDb: number;
}

export interface Verdict {
  readonly of: 'uncorrected' | 'corrected';
  readonly limit: LimitSettings['reading'];
  /** Name of the mask or slot, or null. */
  readonly name: string | null;
  readonly channel: string | null;
  readonly side: Side | null;
  readonly source: string;
  readonly status: LimitSettings['status'];
  readonly required: number;
  readonly measured: number;
  readonly unit: 'dB' | '%' | 'dBm' | 'Hz' | 'dBm/MHz';
  /** Positive: room left. EVM: 20·log10(required/measured); occupied bandwidth: 10·log10. */
  readonly marginDb: number;
  /** Which of two alternatives is met or nearer: the ratio or the absolute level; null where there is one only. */
  readonly metBy: 'ratio' | 'absolute' | null;
  /** Frequency in the record of the worst point; null where there is none. */
  readonly atHz: number | null;
  /** One standard deviation of `measured` in dB; within two of the limit the state is marginal. */
  readonly spreadDb: number | null;
  readonly state: 'pass' | 'marginal' | 'fail';
  readonly limitedBy: FloorName | null;
}

export interface FloorReport {
  readonly name: FloorName;
  /** Worst side of the first channel; null when it cannot be read. */
  readonly aclrDb: number | null;
  /** The floor in every measured channel. */
  readonly readings: readonly {
    readonly channel: string;
    readonly side: Side;
    /** Tells the slots of several gaps apart. */
    readonly centreHz?: number;
    readonly aclrDb: number;
  }[];
  readonly meaning: string;
}

export interface AmplifierReport {
  readonly label: string;
  readonly source: string | null;
  readonly modelRateHz: number | null;
  readonly smallSignalGainDb: number;
  /** Gain compression at which the CW output comes closest to |y| = 1. */
  readonly compressionAtSaturationDb: number;
  /** Largest CW output over |y| = 1, within the drive range. */
  readonly cwSaturationDb: number;
  readonly outputAtOneDbCompressionDb: number | null;
  /** The page of a data sheet, read from the model itself. */
  readonly readBack: AmplifierReadBack;
  /** At every point of an amplifier over its band; null without one. */
  readonly overBand: OverBandReport | null;
  readonly driveRange: number | null;
  /** |y| never exceeds this, whatever the drive; null without a guard. */
  readonly outputBoundDb: number | null;
  /** What DC power, efficiency and heat are computed with. */
  readonly power: PowerModelReport;
  readonly load: LoadReport;
}

/** A line of a chart over frequency, one value per bin. */
export interface SpectrumTrace {
  readonly frequencyHz: Float64Array;
  /** Mean power in the resolution bandwidth: dBm at the antenna port, or dB re saturation when no power is stated. */
  readonly level: Float64Array;
}

export interface SpectrumConditions {
  readonly unit: 'dBm' | 'dBsat';
  readonly method: 'segments' | 'wholeRecord';
  readonly window: string;
  readonly segmentLength: number;
  readonly segmentCount: number;
  readonly overlapRatio: number;
  /** Equivalent noise bandwidth of one bin: the resolution bandwidth of every trace. */
  readonly resolutionBandwidthHz: number;
  readonly binWidthHz: number;
}

export interface CcdfTrace {
  readonly levelDb: Float64Array;
  /** Share of samples above the level. */
  readonly probability: Float64Array;
}

/** Two-dimensional histogram, row by row from the lowest ordinate. */
export interface Density {
  readonly counts: Uint32Array;
  readonly columnCount: number;
  readonly rowCount: number;
  readonly xMinimum: number;
  readonly xMaximum: number;
  readonly yMinimum: number;
  readonly yMaximum: number;
}

export interface AmAmAmPmTrace {
  /** x: drive in dB re knee; y: gain in dB re small signal. */
  readonly gain: Density;
  /** x: drive in dB re knee; y: phase in degrees re small signal. */
  readonly phase: Density;
  /** Mean curve: drive, gain, phase and rms spread about it. */
  readonly driveDb: Float64Array;
  readonly gainDb: Float64Array;
  readonly phaseDeg: Float64Array;
  readonly gainSpreadDb: Float64Array;
}

/** EVM of one carrier over its subcarriers and over its symbols; a single carrier has symbols only. */
export interface EvmTrace {
  readonly carrierIndex: number;
  readonly label: string;
  /** Against the carrier's centre. */
  readonly subcarrierHz: Float64Array;
  readonly subcarrierPercent: Float64Array;
  /** In time; each value is the rms over `symbolsPerPoint` symbols in a row (more than one in a long record only). */
  readonly symbolPercent: Float64Array;
  readonly symbolsPerPoint: number;
}

export interface ConstellationTrace {
  readonly carrierIndex: number;
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly idealRe: Float64Array;
  readonly idealIm: Float64Array;
}

/** The uncorrected output split into its linear, third-, fifth- and seventh-order parts, uncorrelated on the record. */
export interface OrderSplitTrace {
  readonly orders: readonly number[];
  readonly spectra: readonly SpectrumTrace[];
  readonly powerDb: readonly number[];
  /** Power of what no part explains, over the whole output; null when there are no parts. */
  readonly residualDb?: number | null;
}

export interface Traces {
  readonly conditions: SpectrumConditions;
  readonly spectra: {
    readonly waveform: SpectrumTrace;
    readonly uncorrected: SpectrumTrace;
    readonly corrected: SpectrumTrace | null;
    readonly ideal: SpectrumTrace;
    readonly drive: SpectrumTrace | null;
  };
  readonly ccdf: {
    readonly data: CcdfTrace;
    readonly shaped: CcdfTrace;
    readonly drive: CcdfTrace | null;
    readonly output: CcdfTrace;
    readonly correctedOutput: CcdfTrace | null;
    readonly gaussian: CcdfTrace;
  };
  readonly amAmAmPm: { readonly uncorrected: AmAmAmPmTrace; readonly corrected: AmAmAmPmTrace | null };
  /** The amplifier by itself: a constant carrier over its drive. */
  readonly amplifierCurve: AmplifierCurve;
  readonly constellation: {
    readonly uncorrected: ConstellationTrace | null;
    readonly corrected: ConstellationTrace | null;
  };
  /** One for each carrier that carries symbols. */
  readonly evm: { readonly uncorrected: readonly EvmTrace[]; readonly corrected: readonly EvmTrace[] | null };
  /** One constellation for each carrier that carries symbols; `constellation` is the first of them. */
  readonly constellations: {
    readonly uncorrected: readonly ConstellationTrace[];
    readonly corrected: readonly ConstellationTrace[] | null;
  };
  readonly orderSplit: OrderSplitTrace;
  /** Limit lines at the antenna port in the traces' resolution bandwidth. */
  readonly limitLines: readonly {
    readonly label: string;
    readonly kind: 'aclr' | 'mask';
    readonly fromHz: number;
    readonly toHz: number;
    /** At `fromHz`. */
    readonly level: number;
    /** At `toHz`; straight in between. */
    readonly toLevel: number;
  }[];
}

export interface Report {
  readonly kneepoint: { readonly version: string; readonly format: typeof REPORT_FORMAT };
  /** Fully resolved: nothing left "auto". */
  readonly scenario: Scenario;
  readonly waveform: WaveformReport;
  readonly amplifier: AmplifierReport;
  readonly uncorrected: OutputReport;
  /** Null without a predistorter. Present and marked when it is worse than uncorrected. */
  readonly corrected: OutputReport | null;
  /** False when the correction was rejected; `corrected` then shows what it would have done. */
  readonly correctionUsed: boolean;
  readonly ideal: OutputReport;
  /** Null without a predistorter, or with `learning.bestDrivePassCount` 0. */
  readonly bestDrive: BestDriveReport | null;
  /** Null without a correction. */
  readonly bounds: BoundsReport | null;
  readonly peaks: PeakLedger;
  readonly learning: LearningReport | null;
  readonly predistorter: PredistorterReport | null;
  /** What each effect of the transmitter costs by itself on the uncorrected drive; null without a transmitter. */
  readonly transmitter: SignalPathReport | null;
  /** The same of the observation, on the uncorrected output; null without one. */
  readonly observation: SignalPathReport | null;
  readonly verdicts: readonly Verdict[];
  readonly floors: readonly FloorReport[];
  /** |difference| of mean output power, uncorrected against corrected. */
  readonly powerDifferenceDb: number;
  readonly equalPower: boolean;
  readonly warnings: readonly Warning[];
  /** One sentence that answers the scenario's question. */
  readonly answer: string;
  readonly cautions: readonly string[];
  readonly traces: Traces;
}

export interface Progress {
  readonly stage: 'waveform' | 'amplifier' | 'learning' | 'measurement';
  /** 0 … 1 over the whole run. */
  readonly doneRatio: number;
  readonly label: string;
}
export type OnProgress = (progress: Progress) => void;
