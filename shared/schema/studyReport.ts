// What a study answers: one sentence, the figures behind it, and everything needed to repeat it.
import type { HoldResult } from './holdReport.ts';
import type { Issue } from './issue.ts';
import type { PowerModelReport } from './powerReport.ts';
import type { Report, Side, Subject, Verdict } from './report.ts';
import type { Scenario } from './scenario.ts';
import type { PathParameter, QuestionKind, Study } from './study.ts';

export const STUDY_REPORT_FORMAT = 1;

/** One scenario to run. `spectrum` asks for the corrected spectrum as well. */
export interface StudyTask {
  /** Canonical text of what is run: two tasks with the same key have the same outcome in one version. */
  readonly key: string;
  readonly scenario: Scenario;
  readonly wantsSpectrum: boolean;
  /** Where given, the scenario's judging record is sent as a burst after each of these silences in place of a run. */
  readonly silencesS?: readonly number[];
}

/** A report without its arrays: what a store keeps of one run. */
export type RunReadings = Omit<Report, 'traces' | 'cautions' | 'scenario'>;

/** A thinned spectrum: largest level of each of a few hundred columns, so that no line is lost. */
export interface ThinSpectrum {
  readonly frequencyHz: readonly number[];
  readonly level: readonly number[];
}

/** One burst after a silence, of one record. */
export interface BurstReading {
  /** Null for the warm burst: the record as it repeats. */
  readonly silenceS: number | null;
  /** EVM of each symbol, percent, without what shaping spent on it; the warm burst's equalizer. */
  readonly netPercent: readonly number[];
  /** Gain of the first symbol over the warm burst's. */
  readonly droopDb: number;
  /** First channel, worse side, over the whole burst and over its first two symbols; null where not read. */
  readonly aclrDb: number | null;
  readonly firstSymbolsAclrDb: number | null;
}

/** The bursts of one record. */
export interface RecordBursts {
  readonly symbolDurationS: number;
  /** False where no correction was asked for, or none was used. */
  readonly isCorrected: boolean;
  readonly warm: BurstReading;
  /** One for each silence of the task. */
  readonly afterSilence: readonly BurstReading[];
}

export type TaskOutcome =
  | { readonly kind: 'readings'; readonly readings: RunReadings; readonly spectrum: ThinSpectrum | null }
  | { readonly kind: 'bursts'; readonly bursts: RecordBursts }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** The smallest output back-off that meets a limit, found by root search. */
export interface LimitCrossing {
  readonly of: Subject;
  /** Such as "ACLR adjacent ≥ 45 dB"; "all limits" for the largest of them. */
  readonly limit: string;
  readonly outputBackoffDb: number;
  readonly meanPowerDbm: number | null;
  readonly meanPowerW: number | null;
  readonly antennaMeanDbm: number | null;
  readonly dcPowerW: number | null;
  readonly heatW: number | null;
  /** False when even the smallest back-off tried meets it: the true crossing lies below. */
  readonly bracketed: boolean;
  /** True while the search goes on: read between grid points, to some tenths of a dB, without DC power and heat. */
  readonly isEstimate: boolean;
}

export interface LadderPoint {
  readonly outputBackoffDb: number;
  readonly meanPowerDbm: number | null;
  readonly subjects: readonly {
    readonly of: Subject;
    readonly worstAclrDb: number | null;
    readonly evmPercent: number | null;
    /** Smallest margin over all limits; null without limits. */
    readonly worstMarginDb: number | null;
    readonly dcPowerW: number | null;
    readonly efficiencyPercent: number | null;
    /** DC power less mean output power. */
    readonly heatW: number | null;
    readonly junctionTemperatureC: number | null;
    readonly peakPowerDbm: number | null;
    readonly peakPowerW: number | null;
    readonly drivePeakDbm: number | null;
    readonly drivePeakW: number | null;
  }[];
  readonly correctionUsed: boolean;
}

export interface LadderResult {
  readonly kind: 'ladder';
  readonly points: readonly LadderPoint[];
  readonly crossings: readonly LimitCrossing[];
  /** Limits that no back-off within the range meets. */
  readonly unmet: readonly { readonly of: Subject; readonly limit: string; readonly bestMarginDb: number }[];
  readonly gain: {
    readonly backoffDb: number;
    readonly meanPowerW: number | null;
    /** At the corrected clean power: this amplifier corrected against a larger one uncorrected. */
    readonly dcPowerCorrectedW: number | null;
    readonly dcPowerUncorrectedW: number | null;
    readonly heatSavedW: number | null;
    readonly largerSaturatedPowerDbm: number | null;
  } | null;
  /** Output back-off below which correction is not used or is worse than none; null when it always helps. */
  readonly correctionFailsBelowDb: number | null;
  readonly correctionCost: StructureCost | null;
  /** The ideal power model of DC power and heat; null while no point is known. */
  readonly power: PowerModelReport | null;
}

/** What a structure costs in logic. */
export interface StructureCost {
  readonly coefficientCount: number;
  /** Real multiplications per sample in table form: one table per tap, and the magnitude. */
  readonly realMultipliesPerSample: number;
  readonly tableCount: number;
  /** At 16-bit real and imaginary parts. */
  readonly bytesPerSet: number;
  /**
   * Term by term, without tables: 8·R − 2 for the sum of R coefficients, and what makes the terms of a new sample
   * (complex · complex 6, complex + complex 2, complex · real 2, |x|² 3).
   */
  readonly floatingPointOperationsPerSample: number;
}

/** By how much the best back-off tried misses, and the limit it misses most. */
export interface NearestMiss {
  readonly limit: string;
  readonly marginDb: number;
}

export interface ShapePoint {
  /** Null: no crest-factor reduction. */
  readonly targetPaprDb: number | null;
  /** At `paprProbability`. */
  readonly reachedPaprDb: number | null;
  readonly paprProbability: number;
  readonly crestEvmPercent: number | null;
  /** Smallest output back-off that meets all limits, with and without correction; null when none does. */
  readonly correctedBackoffDb: number | null;
  readonly uncorrectedBackoffDb: number | null;
  readonly correctedPowerDbm: number | null;
  readonly correctedAclrDb: number | null;
  readonly correctedEvmPercent: number | null;
  readonly uncorrectedPowerDbm: number | null;
  /** False when the reduction alone spends more EVM than its budget; such a point is shown and not chosen. */
  readonly withinEvmBudget: boolean;
  /** Set where no back-off within the range meets all limits. */
  readonly correctedMiss: NearestMiss | null;
  readonly uncorrectedMiss: NearestMiss | null;
  /** False while runs of this point are missing. */
  readonly complete: boolean;
}

export interface ShapeResult {
  readonly kind: 'shape';
  readonly points: readonly ShapePoint[];
  /** Most clean power, corrected where there is a predistorter, within the EVM budget. */
  readonly best: ShapePoint | null;
}

export interface MapCell {
  readonly structure: 'memoryPolynomial' | 'generalizedMemoryPolynomial';
  readonly highestOrder: number;
  readonly memoryDepth: number;
  readonly cost: StructureCost;
  /** Multipliers at the question's clock; left out without one. */
  readonly physicalMultiplierCount?: number;
  readonly worstAclrDb: number | null;
  readonly evmPercent: number | null;
  readonly nmseDb: number | null;
  readonly conditionNumber: number | null;
  readonly worstMarginDb: number | null;
  readonly correctionUsed: boolean;
  /** No other cell is both cheaper and better. */
  readonly onFront: boolean;
}

/** One change of the nearest structure, run by itself. */
export interface MapTrial {
  readonly change: 'higherOrder' | 'moreTaps' | 'moreBackoff' | 'crestFactor';
  readonly highestOrder: number;
  readonly memoryDepth: number;
  /** Output back-off added, or crest factor added (negative: taken off), in dB; null for another structure. */
  readonly stepDb: number | null;
  /** Every limit's own margin, the worst first. */
  readonly margins: readonly NearestMiss[];
}

/** The structure of the largest margin where none is within the limits, and what one change would do to it. */
export interface MapNearest {
  readonly cell: MapCell;
  /** Every limit's own margin, the worst first. */
  readonly margins: readonly NearestMiss[];
  readonly trials: readonly MapTrial[];
}

export interface MapResult {
  readonly kind: 'map';
  readonly cells: readonly MapCell[];
  /** Cheapest cell with the wanted margin. */
  readonly ringed: MapCell | null;
  /** Null while cells are missing, when a cell is within the limits, and when no limit can be judged. */
  readonly nearest: MapNearest | null;
  readonly wantedMarginDb: number;
  readonly overlay: readonly {
    readonly highestOrder: number;
    readonly memoryDepth: number;
    readonly spectrum: ThinSpectrum;
  }[];
}

export interface AskOption {
  readonly corrected: boolean;
  readonly targetPaprDb: number | null;
  readonly highestOrder: number | null;
  readonly memoryDepth: number | null;
  readonly outputBackoffDb: number;
  readonly neededSaturatedPowerDbm: number;
  readonly evmPercent: number | null;
  readonly worstAclrDb: number | null;
  readonly cost: StructureCost | null;
  /** DC power of the amplifier needed, at the wanted power. */
  readonly dcPowerW: number | null;
  /** DC power less mean output power of the amplifier needed. */
  readonly heatW: number | null;
  /** Most clean antenna power that the scenario's own amplifier gives this way. */
  readonly mostAntennaMeanDbm: number | null;
  readonly crestEvmPercent: number | null;
  /** False when the reduction alone spends more EVM than its budget; such an option is listed and not advised. */
  readonly withinEvmBudget: boolean;
  /** False when even the smallest back-off tried meets all limits: less would do. */
  readonly bracketed: boolean;
}

/** A way that meets the limits at no back-off within the range. */
export interface AskRefusal {
  readonly corrected: boolean;
  readonly targetPaprDb: number | null;
  readonly highestOrder: number | null;
  readonly memoryDepth: number | null;
  readonly miss: NearestMiss;
}

export interface AskResult {
  readonly kind: 'ask';
  readonly wantedAntennaMeanDbm: number;
  /** Least saturated power first. */
  readonly options: readonly AskOption[];
  readonly refused: readonly AskRefusal[];
  /** Saturated power of the scenario's own amplifier. */
  readonly ownSaturatedPowerDbm: number;
}

export interface SpreadReading {
  readonly of: 'uncorrected' | 'corrected';
  readonly limit: string;
  readonly required: number;
  readonly unit: Verdict['unit'];
  readonly mean: number;
  readonly standardDeviation: number;
  readonly worst: number;
  /** Of the mean; EVM: 20·log10(required/mean). */
  readonly marginDb: number;
  /** Marginal: the mean lies within two standard deviations of the limit, on either side. */
  readonly state: 'pass' | 'marginal' | 'fail';
}

export interface YieldReading {
  readonly of: 'uncorrected' | 'corrected';
  readonly passCount: number;
  readonly unitCount: number;
  readonly yieldPercent: number;
  /** 95 % binomial interval (Wilson). */
  readonly lowPercent: number;
  readonly highPercent: number;
}

export interface SpreadResult {
  readonly kind: 'spread';
  readonly seedCount: number;
  /** Seeds read so far. */
  readonly seedsRead: number;
  /** Seeds with which the wanted power is out of reach: they count for no reading. */
  readonly seedsOutOfReach: number;
  readonly readings: readonly SpreadReading[];
  /** Units whose outcome is known so far; one that does not reach the wanted power fails. */
  readonly unitsRead: number;
  readonly unitsOutOfReach: number;
  readonly yields: readonly YieldReading[];
}

/** One tone and the products beside it. Powers are per tone or per product, at the antenna port. */
export interface ToneSide {
  readonly side: Side;
  readonly tonePowerDbm: number | null;
  /** The tone against saturated power at the amplifier; negative. */
  readonly toneLevelDb: number;
  /** Product over the tone of its side; negative. Null where the product lies outside the record's band. */
  readonly im3Dbc: number | null;
  readonly im5Dbc: number | null;
  readonly im7Dbc: number | null;
  readonly im3Dbm: number | null;
  readonly im5Dbm: number | null;
}

/** The same, uncorrected, with what the third-order intercept is read from. */
export interface ToneSideIntercept extends ToneSide {
  /** dB of third-order product per dB of tone output between the neighbouring levels; null without a neighbour. */
  readonly im3Slope: number | null;
  /** P + Δ/2 from this one level, per tone; null without the product. */
  readonly oip3Dbm: number | null;
  readonly oip3OverSaturationDb: number | null;
}

export interface TonePoint {
  /** As asked: one tone this far below saturated power (the mean of the two where they differ). */
  readonly toneBackoffDb: number;
  /** As placed on whole cycles of the record. */
  readonly toneSpacingHz: number;
  /** Mean power per tone at the antenna port. */
  readonly tonePowerDbm: number | null;
  /** Both tones together: 3.01 dB over one of two equal tones. */
  readonly bothTonesDbm: number | null;
  /** Peak of the envelope of both tones: 6.02 dB over one of two equal tones. */
  readonly peakEnvelopeDbm: number | null;
  /** Gain lost against tones far below saturation; null while that run is missing. */
  readonly compressionDb: number | null;
  /** Lower, then upper. */
  readonly uncorrected: readonly ToneSideIntercept[];
  /** The correction learned on these very tones; null when not asked for, or when none could be learned. */
  readonly corrected: readonly ToneSide[] | null;
  readonly correctionUsed: boolean;
}

/** The output intercept per tone, where the levels allow one. */
export interface ToneIntercept {
  /** The worse (lower) side's. */
  readonly side: Side;
  readonly oip3Dbm: number | null;
  readonly oip3OverSaturationDb: number;
  /** Of each side: lower, then upper. */
  readonly sides: readonly {
    readonly side: Side;
    readonly oip3Dbm: number | null;
    readonly oip3OverSaturationDb: number;
    /** Largest less smallest value among the levels averaged. */
    readonly spreadDb: number;
  }[];
  /** Levels averaged: highest and lowest, as back-off of one tone. */
  readonly fromToneBackoffDb: number;
  readonly toToneBackoffDb: number;
  readonly levelCount: number;
  readonly slopeLeast: number;
  readonly slopeMost: number;
}

/** Highest level up to which both sides keep an intermodulation limit. */
export interface ToneLimit {
  readonly limit: string;
  readonly order: number;
  readonly requiredDb: number;
  /** Least back-off of one tone, between two levels read; null when the lowest level misses it. */
  readonly toneBackoffDb: number | null;
  readonly tonePowerDbm: number | null;
  /** False when the highest level read keeps it too: more would do. */
  readonly bracketed: boolean;
}

export interface TonesResult {
  readonly kind: 'tones';
  /** Against level, at one spacing; highest level first. */
  readonly levels: readonly TonePoint[];
  /** Against spacing, at one level; narrowest first. */
  readonly spacings: readonly TonePoint[];
  /** Back-offs of one tone that the amplifier does not reach. */
  readonly outOfReachDb: readonly number[];
  readonly intercept: ToneIntercept | null;
  /** Why there is no single intercept; null when there is one. */
  readonly refusal: string | null;
  readonly limits: readonly ToneLimit[];
  /** Where the two sides of the third-order products differ most over the spacings; null without a spacing sweep. */
  readonly asymmetry: {
    readonly toneSpacingHz: number;
    readonly lowerDbc: number;
    readonly upperDbc: number;
  } | null;
}

/** One burst, averaged over the records. */
export interface BurstPoint {
  /** Null for the warm burst. */
  readonly silenceS: number | null;
  /** Mean EVM of each symbol without what shaping spent on it. */
  readonly netPercent: readonly number[];
  /** Sample standard deviation over the records; null with a single record. */
  readonly netSpreadPercent: readonly number[] | null;
  readonly droopDb: number;
  /** First channel, worse side; means of the records' figures in dB. */
  readonly aclrDb: number | null;
  readonly firstSymbolsAclrDb: number | null;
  /** Symbols before the first one from which on EVM stays under the threshold; null when it does not within the burst. */
  readonly settledAfterSymbols: number | null;
  readonly settledAfterS: number | null;
}

export interface BurstResult {
  readonly kind: 'burst';
  readonly recordCount: number;
  readonly recordsRead: number;
  /** Records with which the wanted power is out of reach: they count for nothing. */
  readonly recordsOutOfReach: number;
  /** Of those read, with the correction used. */
  readonly recordsCorrected: number;
  readonly evmWithinPercent: number;
  /** Null until a record is read. */
  readonly symbolDurationS: number | null;
  readonly warm: BurstPoint | null;
  /** Shortest silence first. */
  readonly bursts: readonly BurstPoint[];
}

/** The corrected output at one value of the varied figure. */
export interface PathPoint {
  /** In the unit of the parameter; null where the effect is left out altogether. */
  readonly value: number | null;
  /** Worse side of the first channel; null when it lies outside the record's band. */
  readonly worstAclrDb: number | null;
  /** Worse side of the second channel. */
  readonly alternateAclrDb: number | null;
  readonly evmPercent: number | null;
  readonly nmseDb: number;
  /** False where the correction was no better than none: the figures are what it would have done. */
  readonly correctionUsed: boolean;
}

export interface PathResult {
  readonly kind: 'path';
  readonly parameter: PathParameter;
  /** Values read so far, rising. */
  readonly points: readonly PathPoint[];
  /** The same scenario with the varied effect left out; null while not read and for the sample rate. */
  readonly without: PathPoint | null;
  /** The uncorrected output's worse side of the first channel. */
  readonly uncorrectedAclrDb: number | null;
  /** What "best" is read from: the first channel, or the error where no channel can be read. */
  readonly judgedBy: 'aclr' | 'nmse';
  readonly withinDb: number;
  /** Best of the points; larger is better (of the error: its negative). */
  readonly bestDb: number | null;
  /**
   * The knee: the run of neighbouring values around the best that stays within `withinDb` of it. Of a bandwidth, SNR,
   * word length or rate its lower end is the least that will do; of a delay both ends count.
   */
  readonly knee: { readonly from: number; readonly to: number } | null;
  /** Values with which the scenario cannot be run, each with the reason. */
  readonly refused: readonly { readonly value: number; readonly reason: string }[];
}

export type StudyResult =
  | LadderResult
  | ShapeResult
  | MapResult
  | AskResult
  | SpreadResult
  | TonesResult
  | BurstResult
  | HoldResult
  | PathResult;

export interface StudyReport {
  readonly kneepoint: { readonly version: string; readonly format: typeof STUDY_REPORT_FORMAT };
  readonly study: Study;
  /** Base scenario, fully resolved. */
  readonly scenario: Scenario;
  readonly questionKind: QuestionKind;
  /** One sentence with a figure. */
  readonly answer: string;
  readonly result: StudyResult;
  /** Conditions under every picture, one muted line. */
  readonly conditions: string;
  readonly warnings: readonly { readonly code: string; readonly message: string }[];
  /** Runs done and runs known to be needed so far. */
  readonly doneCount: number;
  readonly neededCount: number;
  readonly complete: boolean;
}
