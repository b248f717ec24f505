// How a record is to be measured, and every fault of that and of the record.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import type { AclrRule } from '../../../shared/schema/measurement.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import type { LimitSettings, MaskLimitSettings } from '../../../shared/schema/scenario.ts';
import { limitSetIds } from '../../../shared/tables/limitSets.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { nextPowerOfTwo } from '../dsp/fft.ts';
import { type SpectrumOptions, segmentLengthFor } from '../dsp/spectrum.ts';
import type { WindowName } from '../dsp/windows.ts';
import { rateIssue } from '../record/sampleRate.ts';
import type { RecordInput } from './measureRecord.ts';
import { checkChannelOptions, type RecordChannelOptions } from './recordChannels.ts';
import { type RecordStatistics, statisticsOf } from './recordStatistics.ts';

export interface RecordSettings {
  readonly centreFrequencyHz?: number | null;
  /** Stored units per 1.0 of fixed-point samples, for the count of clipped ones; null for floating point. */
  readonly fullScale?: number | null;
  /** Whether the record may be continued by itself; found from its join when it is not said. */
  readonly isOnePeriod?: boolean;
  readonly channels?: RecordChannelOptions & { readonly rule?: AclrRule };
  readonly spectrum?: {
    readonly window?: WindowName;
    readonly segmentLength?: number;
    readonly overlapRatio?: number;
    /** Sets the segment length. */
    readonly resolutionBandwidthHz?: number;
    readonly averageCount?: number;
  };
  /** What the readings are held against. */
  readonly limits?: readonly LimitSettings[];
  /** A set of limits (shared/tables/limitSets.ts) for the record as one carrier; brings its channels with it. */
  readonly limitSet?: string | null;
  /** Mean power at the antenna port that the record's mean power stands for. */
  readonly meanPowerDbm?: number | null;
  /** A band inside the own channel that should be empty. */
  readonly notch?: { readonly centreHz: number; readonly bandwidthHz: number } | null;
  /** Reads the two strongest lines and their products. */
  readonly twoTone?: boolean;
}

const FEWEST_SAMPLES = 256;
const DEFAULT_SEGMENT_LENGTH = 8192;
/** Varying power under this share of the mean is rounding or dither: the record holds a constant. */
const LEAST_VARYING_RATIO = 1e-10;

/** Faults of the samples. */
export function checkStatistics(statistics: RecordStatistics): Issue[] {
  const { sampleCount, meanPower, dcPower, hasFiniteSamples } = statistics;
  const path = 'record';
  if (sampleCount < FEWEST_SAMPLES) {
    const rule = `must hold at least ${FEWEST_SAMPLES} samples`;
    return [{ path, rule, value: `${sampleCount} samples`, remedy: 'give a longer record' }];
  }
  if (!hasFiniteSamples) {
    const remedy = 'give a record of finite numbers';
    return [{ path, rule: 'must hold finite samples', value: `a mean power of ${meanPower}`, remedy }];
  }
  if (meanPower === 0) {
    return [{ path, rule: 'must hold power', value: 'zeros only', remedy: 'give a record of a signal' }];
  }
  if (meanPower - dcPower > LEAST_VARYING_RATIO * meanPower) return [];
  const value = `DC only, ${powerRatioToDb(meanPower).toFixed(1)} dBfs`;
  const remedy = 'was the receiver connected, and is the datatype right?';
  return [{ path, rule: 'must hold more than a constant', value, remedy }];
}

/** Faults of the record of what was sent. */
export function checkReference(reference: RecordInput, sampleRateHz: number): Issue[] {
  const issues: Issue[] = [];
  if (reference.sampleRateHz !== sampleRateHz) {
    const rule = `must have the record’s sample rate, ${sampleRateHz} Hz`;
    const value = `${reference.sampleRateHz} Hz`;
    issues.push({ path: 'reference', rule, value, remedy: 'resample one of them' });
  }
  const faults = checkStatistics(statisticsOf(reference.signal, null));
  return [...issues, ...faults.map((issue) => ({ ...issue, path: 'reference' }))];
}

/** Faults of the settings against the record's rate and length. */
export function checkSettings(settings: RecordSettings, sampleRateHz: number, sampleCount: number): Issue[] {
  const rate = rateIssue('sample rate', sampleRateHz);
  return [
    ...checkSpectrum(settings.spectrum ?? {}, sampleCount),
    ...checkChannelOptions(settings.channels ?? {}, sampleRateHz),
    ...checkNotch(settings.notch ?? null, sampleRateHz),
    ...checkFrequency(settings),
    ...checkLimits(settings),
    ...checkLimitSet(settings),
    ...(rate === null ? [] : [rate]),
  ];
}

function checkFrequency({ centreFrequencyHz = null }: RecordSettings): Issue[] {
  if (centreFrequencyHz === null || (centreFrequencyHz >= 0 && Number.isFinite(centreFrequencyHz))) return [];
  const remedy = 'give the carrier frequency in Hz, or leave it out';
  return [{ path: 'centreFrequencyHz', rule: 'must not be negative', value: printValue(centreFrequencyHz), remedy }];
}

function checkSpectrum(spectrum: NonNullable<RecordSettings['spectrum']>, sampleCount: number): Issue[] {
  const issues: Issue[] = [];
  const { segmentLength, resolutionBandwidthHz, averageCount } = spectrum;
  if (segmentLength !== undefined && (segmentLength > sampleCount || nextPowerOfTwo(segmentLength) !== segmentLength)) {
    const rule = `must be a power of two up to the record’s ${sampleCount} samples`;
    issues.push({ path: 'segmentLength', rule, value: printValue(segmentLength), remedy: 'pick such a length' });
  }
  if (resolutionBandwidthHz !== undefined && !(resolutionBandwidthHz > 0 && Number.isFinite(resolutionBandwidthHz))) {
    const value = printValue(resolutionBandwidthHz);
    issues.push({ path: 'resolutionBandwidthHz', rule: 'must be above 0 Hz', value, remedy: 'give it in Hz' });
  }
  if (resolutionBandwidthHz !== undefined && segmentLength !== undefined) {
    const rule = 'must not stand beside segmentLength, which it sets';
    const remedy = 'leave one of them out';
    issues.push({ path: 'resolutionBandwidthHz', rule, value: printValue(resolutionBandwidthHz), remedy });
  }
  if (averageCount !== undefined && !(Number.isInteger(averageCount) && averageCount >= 1)) {
    const rule = 'must be a whole number from 1';
    issues.push({ path: 'averageCount', rule, value: printValue(averageCount), remedy: 'count segments' });
  }
  return issues;
}

function checkNotch(notch: RecordSettings['notch'] | null, sampleRateHz: number): Issue[] {
  if (!notch) return [];
  const edge = Math.abs(notch.centreHz) + notch.bandwidthHz / 2;
  if (notch.bandwidthHz > 0 && edge <= sampleRateHz / 2) return [];
  const rule = `must have a width above 0 Hz and lie within ±${sampleRateHz / 2} Hz, half the sample rate`;
  return [{ path: 'notch', rule, value: printValue(notch), remedy: 'give centre and width in Hz' }];
}

/** Limits in dBm need to know what the record's mean power stands for. */
function checkLimits({ limits = [], meanPowerDbm }: RecordSettings): Issue[] {
  if (typeof meanPowerDbm === 'number') return [];
  return limits.flatMap((limit, i): Issue[] => {
    if (limit.reading !== 'mask' || isRelative(limit)) return [];
    const rule = `must be known: the mask limits.${i}, ${limit.name}, is in dBm`;
    const remedy = 'state the mean power at the antenna port';
    return [{ path: 'meanPowerDbm', rule, value: printValue(undefined), remedy }];
  });
}

/** What a set needs that no spectrum tells; whether the carrier fits it is seen when its channel is known. */
function checkLimitSet({ limitSet, meanPowerDbm }: RecordSettings): Issue[] {
  if (typeof limitSet !== 'string') return [];
  if (!limitSetIds.includes(limitSet)) {
    const near = nearest(limitSet, limitSetIds);
    const remedy = near === null ? `the sets are ${limitSetIds.join(', ')}` : `did you mean ${near}?`;
    return [{ path: 'limits', rule: 'must be a limit set', value: printValue(limitSet), remedy }];
  }
  if (typeof meanPowerDbm === 'number') return [];
  const rule = `must be known: the limits of ${limitSet} are powers at the antenna port`;
  const remedy = 'state the mean power at the antenna port';
  return [{ path: 'meanPowerDbm', rule, value: printValue(undefined), remedy }];
}

/** True for a mask in dB against the mean power, without absolute levels. */
export function isRelative({ unit, pieces }: MaskLimitSettings): boolean {
  return unit === 'dBr' && pieces.every(({ atMostDbm, atLeastDbm }) => atMostDbm === null && atLeastDbm === null);
}

export type RecordSpectrumOptions = Required<Omit<SpectrumOptions, 'method'>> & { readonly method: 'segments' };

/** The estimator for a record of this rate and length. */
export function spectrumOptions(
  { spectrum = {} }: RecordSettings,
  sampleRateHz: number,
  sampleCount: number,
  periodic: boolean,
): RecordSpectrumOptions {
  const window = spectrum.window ?? 'blackmanHarris';
  // A quarter of a short record keeps a few segments to average over.
  const longest = nextPowerOfTwo(Math.floor(sampleCount / 4) + 1) / 2;
  const byBandwidth =
    spectrum.resolutionBandwidthHz === undefined
      ? Math.min(DEFAULT_SEGMENT_LENGTH, longest)
      : segmentLengthFor(spectrum.resolutionBandwidthHz, sampleRateHz, window, sampleCount);
  return {
    sampleRateHz,
    method: 'segments',
    window,
    segmentLength: spectrum.segmentLength ?? byBandwidth,
    overlapRatio: spectrum.overlapRatio ?? 0.5,
    averageCount: spectrum.averageCount ?? 'all',
    periodic,
  };
}
