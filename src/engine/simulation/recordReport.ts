// The readings of a record from its spectrum, its envelope and its sums, wherever those come from.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { CcdfTrace, MaskReading, PaprPoint, SpectrumConditions } from '../../../shared/schema/report.ts';
import type { Samples } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import type { RecordSettings, RecordSpectrumOptions } from './checkRecord.ts';
import type { RecordComparison } from './compareRecords.ts';
import { chooseChannels, type RecordChannels } from './recordChannels.ts';
import {
  limitsOf,
  maskLinesOf,
  type RecordAclrReading,
  type RecordMaskLine,
  type RecordScale,
  type RecordVerdict,
  readChannels,
  readMasks,
  recordVerdicts,
} from './recordLimits.ts';
import { type RecordNotchReading, type RecordTwoToneReading, readNotch, readTwoTone } from './recordLines.ts';
import type { RecordStatistics } from './recordStatistics.ts';

export interface RecordReport {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly durationS: number;
  readonly centreFrequencyHz: number | null;
  readonly meanPowerDbfs: number;
  readonly peakPowerDbfs: number;
  readonly peakToAverageDb: number;
  /** Mean power at the antenna port that was stated, or null. */
  readonly meanPowerDbm: number | null;
  /** Power of the mean of all samples over the mean power. */
  readonly dcRatioDb: number;
  /** Samples with a component at an end of the converter's range; null for floating point. */
  readonly clippedSampleCount: number | null;
  readonly papr: readonly PaprPoint[];
  /** 99 % of the power. */
  readonly occupiedBandwidthHz: number;
  readonly occupiedLowerHz: number;
  readonly occupiedUpperHz: number;
  readonly channels: RecordChannels;
  readonly aclr: readonly RecordAclrReading[];
  readonly masks: readonly MaskReading[];
  readonly notch: RecordNotchReading | null;
  readonly twoTone: RecordTwoToneReading | null;
  readonly verdicts: readonly RecordVerdict[];
  /** What a set of limits took for granted, in words. */
  readonly limitNotes: readonly string[];
  readonly reference: RecordComparison | null;
  readonly conditions: Omit<SpectrumConditions, 'unit'> & {
    readonly unit: 'dBfs';
    readonly periodic: boolean;
    /** True when the record was read in pieces: it is then never taken as one period. */
    readonly streamed: boolean;
  };
  readonly traces: {
    /** Mean power in the resolution bandwidth, dBfs. */
    readonly spectrum: { readonly frequencyHz: Samples; readonly level: Samples };
    readonly ccdf: CcdfTrace;
    readonly maskLines: readonly RecordMaskLine[];
  };
  readonly warnings: readonly Warning[];
}

export type MeasureOutcome =
  | { readonly kind: 'record'; readonly record: RecordReport }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export interface RecordParts {
  readonly settings: RecordSettings;
  readonly statistics: RecordStatistics;
  readonly options: RecordSpectrumOptions;
  readonly spectrum: PowerSpectrum;
  readonly papr: readonly PaprPoint[];
  readonly ccdf: CcdfTrace;
  readonly isStreamed: boolean;
  readonly compare:
    | ((channels: RecordChannels) => {
        readonly comparison: RecordComparison | null;
        readonly warnings: readonly Warning[];
      })
    | null;
}

/** The report, or why a set of limits does not fit the record. */
export function writeRecordReport(parts: RecordParts): MeasureOutcome {
  const { settings, statistics, options, spectrum, isStreamed } = parts;
  const { sampleRateHz } = options;
  const occupied = measureOccupiedBandwidth(spectrum);
  const channels = chooseChannels(occupied, settings.channels ?? {});
  const held = limitsOf(settings, channels);
  if (!('limits' in held)) return { kind: 'invalid', issues: held };
  const { limits, rule } = held;
  const scale = scaleOf(statistics.meanPower, settings.meanPowerDbm ?? null);
  const aclr = readChannels(spectrum, sampleRateHz, channels, rule, scale);
  const masks = readMasks(spectrum, sampleRateHz, channels, limits, scale);
  const notch = readNotch(spectrum, options.window, channels, settings.notch ?? null);
  const twoTone = readTwoTone(spectrum, options.window, settings.twoTone ?? false, scale.unitDbm);
  const compared = parts.compare?.(channels) ?? { comparison: null, warnings: [] };
  const { frequencyHz, binWidthHz, resolutionBandwidthHz, segmentCount } = spectrum;
  const { averageCount: _all, ...conditions } = options;
  const report = {
    ...statisticsPart(statistics, sampleRateHz),
    centreFrequencyHz: settings.centreFrequencyHz ?? null,
    meanPowerDbm: settings.meanPowerDbm ?? null,
    papr: parts.papr,
    occupiedBandwidthHz: occupied.occupiedBandwidthHz,
    occupiedLowerHz: occupied.lowerHz,
    occupiedUpperHz: occupied.upperHz,
    channels,
    aclr: aclr.readings,
    masks: masks.readings,
    notch: notch.reading,
    twoTone: twoTone.reading,
    reference: compared.comparison,
    conditions: {
      ...conditions,
      unit: 'dBfs' as const,
      binWidthHz,
      resolutionBandwidthHz,
      segmentCount,
      streamed: isStreamed,
    },
    traces: {
      spectrum: { frequencyHz, level: levelOf(spectrum) },
      ccdf: parts.ccdf,
      maskLines: maskLinesOf(spectrum, sampleRateHz, channels, limits, scale),
    },
  };
  const judged = recordVerdicts(report, limits);
  const warnings = [
    ...aclr.warnings,
    ...recordWarnings(parts, occupied.occupiedBandwidthHz),
    ...masks.warnings,
    ...notch.warnings,
    ...twoTone.warnings,
    ...judged.warnings,
    ...compared.warnings,
  ];
  const limitNotes = held.notes;
  return { kind: 'record', record: { ...report, verdicts: judged.verdicts, limitNotes, warnings } };
}

function statisticsPart(statistics: RecordStatistics, sampleRateHz: number) {
  const { sampleCount, meanPower, peakPower, dcPower, clippedSampleCount } = statistics;
  return {
    sampleRateHz,
    sampleCount,
    durationS: sampleCount / sampleRateHz,
    meanPowerDbfs: powerRatioToDb(meanPower),
    peakPowerDbfs: powerRatioToDb(peakPower),
    peakToAverageDb: powerRatioToDb(peakPower / meanPower),
    dcRatioDb: powerRatioToDb(dcPower / meanPower),
    clippedSampleCount,
  };
}

/** Without a stated power levels are relative to the mean power, which masks in dBr are content with. */
function scaleOf(meanPower: number, meanPowerDbm: number | null): RecordScale {
  const meanDbm = meanPowerDbm ?? 0;
  const unitDbm = meanDbm - powerRatioToDb(meanPower);
  return { unitDbm: meanPowerDbm === null ? null : unitDbm, mask: { unitDbm, meanDbm } };
}

function levelOf(spectrum: PowerSpectrum): Samples {
  const bins = spectrum.resolutionBandwidthHz / spectrum.binWidthHz;
  const level = new Float64Array(spectrum.power.length);
  for (let b = 0; b < level.length; b++) level[b] = powerRatioToDb(spectrum.power[b] * bins);
  return level;
}

/** A channel rarely fills more of a record that is oversampled at all. */
const FULL_RATE_RATIO = 0.9;
/** DC above this share of the power is seen beside a carrier of a hundred bins or more. */
const DC_SHARE = 0.01;

function recordWarnings({ statistics, options, settings, isStreamed, compare }: RecordParts, occupiedHz: number) {
  const warnings: Warning[] = [];
  const { sampleRateHz, periodic } = options;
  const share = occupiedHz / sampleRateHz;
  if (share > FULL_RATE_RATIO) {
    const message = `99 % of the power fills ${(100 * share).toFixed(0)} % of the sample rate: a wrong datatype or byte order looks like this. Check the record’s metadata.`;
    warnings.push({ code: 'record-fills-rate', message });
  }
  if (!periodic && !isStreamed) {
    const delay = compare === null ? '' : ' The reference is compared where the two overlap.';
    const message = `The record’s end does not lead to its start, so it is not one period: segments do not wrap around.${delay}`;
    warnings.push({ code: 'not-one-period', message });
  }
  const { clippedSampleCount: clipped, sampleCount, dcPower, meanPower } = statistics;
  if (clipped !== null && clipped > 0) {
    const message = `${clipped} of ${sampleCount} samples stand at an end of the converter’s range: it was overdriven, and what it added is read as the signal’s own. Lower the level at its input.`;
    warnings.push({ code: 'record-clipped', message });
  }
  if (dcPower > DC_SHARE * meanPower && settings.twoTone !== true) {
    const message = `A constant holds ${(100 * (dcPower / meanPower)).toFixed(1)} % of the power: a converter’s offset or a line at the centre. It is left in all readings.`;
    warnings.push({ code: 'record-dc', message });
  }
  return warnings;
}
