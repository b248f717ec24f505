// Readings of a record from anywhere, under the names of the report of a run; against a reference record also delay,
// gain, NMSE and EVM. The whole file is one record and is never renormalised: powers are relative to |x| = 1 (dBfs).
//
// Segments wrap around the end of a record only when it is one period (recordPeriod).
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import type { AclrReading, CcdfTrace, PaprPoint, SpectrumConditions } from '../../../shared/schema/report.ts';
import { type ComplexSignal, meanPower, peakPower, type Samples } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { nextPowerOfTwo } from '../dsp/fft.ts';
import { megahertz } from '../dsp/frequencyText.ts';
import { estimateSpectrum, isInsideAxis, type PowerSpectrum } from '../dsp/spectrum.ts';
import type { WindowName } from '../dsp/windows.ts';
import { measureAclr } from '../measurement/aclr.ts';
import { crestFactorDb, measureCcdf, measurePapr } from '../measurement/ccdf.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import { compareRecords, type RecordComparison } from './compareRecords.ts';
import {
  checkChannelOptions,
  chooseChannels,
  type RecordChannelOptions,
  type RecordChannels,
} from './recordChannels.ts';
import { isOnePeriod } from './recordPeriod.ts';

/** A record and its rate, as a reader gives it. */
export interface RecordInput {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
}

export interface MeasureRecordInput extends RecordInput {
  readonly centreFrequencyHz?: number | null;
  /** Record of what was sent: same rate and length, one period. */
  readonly reference?: RecordInput | null;
  readonly channels?: RecordChannelOptions;
  readonly spectrum?: { readonly window?: WindowName; readonly segmentLength?: number; readonly overlapRatio?: number };
}

/** As in the report of a run, but null where the channel does not exist at the record's rate. */
export type RecordAclrReading = Omit<AclrReading, 'aclrDb'> & { readonly aclrDb: number | null };

export interface RecordReport {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly durationS: number;
  readonly centreFrequencyHz: number | null;
  readonly meanPowerDbfs: number;
  readonly peakPowerDbfs: number;
  readonly peakToAverageDb: number;
  readonly papr: readonly PaprPoint[];
  /** 99 % of the power. */
  readonly occupiedBandwidthHz: number;
  readonly occupiedLowerHz: number;
  readonly occupiedUpperHz: number;
  readonly channels: RecordChannels;
  readonly aclr: readonly RecordAclrReading[];
  readonly reference: RecordComparison | null;
  readonly conditions: Omit<SpectrumConditions, 'unit'> & { readonly unit: 'dBfs'; readonly periodic: boolean };
  readonly traces: {
    /** Mean power in the resolution bandwidth, dBfs. */
    readonly spectrum: { readonly frequencyHz: Samples; readonly level: Samples };
    readonly ccdf: CcdfTrace;
  };
  readonly warnings: readonly Warning[];
}

export type MeasureOutcome =
  | { readonly kind: 'record'; readonly record: RecordReport }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

const FEWEST_SAMPLES = 256;
const DEFAULT_SEGMENT_LENGTH = 8192;
/** A channel rarely fills more of a record that is oversampled at all. */
const FULL_RATE_RATIO = 0.9;

/** Measures a record, or says what makes it unusable. */
export function measureRecord(input: MeasureRecordInput): MeasureOutcome {
  const issues = [...checkRecord(input), ...checkChannelOptions(input.channels ?? {}, input.sampleRateHz)];
  if (issues.length > 0) return { kind: 'invalid', issues };
  const { signal, sampleRateHz } = input;
  const sampleCount = signal.re.length;
  const periodic = isOnePeriod(signal);
  const options = spectrumOptions(input, periodic);
  const spectrum = estimateSpectrum(signal, options);
  const occupied = measureOccupiedBandwidth(spectrum);
  const channels = chooseChannels(occupied, input.channels ?? {});
  const { aclr, warnings } = readChannels(spectrum, sampleRateHz, channels);
  warnings.push(...recordWarnings(input, occupied.occupiedBandwidthHz, periodic));
  const comparison = input.reference ? compareRecords(input.reference.signal, signal, sampleRateHz, channels) : null;
  if (comparison !== null) warnings.push(...comparison.warnings);
  const mean = meanPower(signal);
  const { frequencyHz, binWidthHz, resolutionBandwidthHz, segmentCount } = spectrum;
  const record: RecordReport = {
    sampleRateHz,
    sampleCount,
    durationS: sampleCount / sampleRateHz,
    centreFrequencyHz: input.centreFrequencyHz ?? null,
    meanPowerDbfs: powerRatioToDb(mean),
    peakPowerDbfs: powerRatioToDb(peakPower(signal)),
    peakToAverageDb: crestFactorDb(signal),
    papr: measurePapr(signal),
    occupiedBandwidthHz: occupied.occupiedBandwidthHz,
    occupiedLowerHz: occupied.lowerHz,
    occupiedUpperHz: occupied.upperHz,
    channels,
    aclr,
    reference: comparison?.comparison ?? null,
    conditions: { ...options, unit: 'dBfs', binWidthHz, resolutionBandwidthHz, segmentCount },
    traces: { spectrum: { frequencyHz, level: levelOf(spectrum) }, ccdf: measureCcdf(signal) },
    warnings,
  };
  return { kind: 'record', record };
}

function checkRecord(input: MeasureRecordInput): Issue[] {
  const issues: Issue[] = [];
  const { signal, sampleRateHz, reference } = input;
  const count = signal.re.length;
  if (count < FEWEST_SAMPLES) {
    const rule = `must hold at least ${FEWEST_SAMPLES} samples`;
    issues.push({ path: 'record', rule, value: `${count} samples`, remedy: 'give a longer record' });
  } else if (meanPower(signal) === 0) {
    issues.push({ path: 'record', rule: 'must hold power', value: 'zeros only', remedy: 'give a record of a signal' });
  }
  if (!reference) return issues;
  if (reference.sampleRateHz !== sampleRateHz) {
    const rule = `must have the record’s sample rate, ${sampleRateHz} Hz`;
    const value = `${reference.sampleRateHz} Hz`;
    issues.push({ path: 'reference', rule, value, remedy: 'resample one of them' });
  }
  if (reference.signal.re.length !== count) {
    const rule = `must hold as many samples as the record, ${count}: both are one period`;
    const value = `${reference.signal.re.length} samples`;
    issues.push({ path: 'reference', rule, value, remedy: 'cut both to one period of the waveform' });
  } else if (count > 0 && meanPower(reference.signal) === 0) {
    issues.push({ path: 'reference', rule: 'must hold power', value: 'zeros only', remedy: 'give what was sent' });
  }
  const segment = input.spectrum?.segmentLength;
  if (segment !== undefined && (segment > count || nextPowerOfTwo(segment) !== segment)) {
    const rule = `must be a power of two up to the record’s ${count} samples`;
    issues.push({ path: 'segmentLength', rule, value: printValue(segment), remedy: 'pick such a length' });
  }
  return issues;
}

function spectrumOptions(input: MeasureRecordInput, periodic: boolean) {
  const count = input.signal.re.length;
  // A quarter of a short record keeps a few segments to average over.
  const longest = nextPowerOfTwo(Math.floor(count / 4) + 1) / 2;
  return {
    sampleRateHz: input.sampleRateHz,
    method: 'segments' as const,
    window: input.spectrum?.window ?? 'blackmanHarris',
    segmentLength: input.spectrum?.segmentLength ?? Math.min(DEFAULT_SEGMENT_LENGTH, longest),
    overlapRatio: input.spectrum?.overlapRatio ?? 0.5,
    periodic,
  };
}

function levelOf(spectrum: PowerSpectrum): Samples {
  const bins = spectrum.resolutionBandwidthHz / spectrum.binWidthHz;
  const level = new Float64Array(spectrum.power.length);
  for (let b = 0; b < level.length; b++) level[b] = powerRatioToDb(spectrum.power[b] * bins);
  return level;
}

function readChannels(spectrum: PowerSpectrum, sampleRateHz: number, channels: RecordChannels) {
  const warnings: Warning[] = [];
  const { centreHz, ownBandwidthHz, spacingHz, neighbourBandwidthHz: bandwidthHz } = channels;
  const wanted = [
    { name: 'adjacent', offsetHz: spacingHz, bandwidthHz },
    { name: 'alternate', offsetHz: 2 * spacingHz, bandwidthHz },
  ];
  const ownIsInside = isInsideAxis(sampleRateHz, centreHz, ownBandwidthHz);
  if (!ownIsInside) {
    const own = `${megahertz(centreHz)} ±${megahertz(ownBandwidthHz / 2)} MHz`;
    const message = `The own channel ${own} does not fit into ±${megahertz(sampleRateHz / 2)} MHz; no ACLR is given. State the channel’s bandwidth.`;
    warnings.push({ code: 'own-channel-outside', message });
  }
  const carriers = [{ offsetHz: centreHz, occupiedBandwidthHz: ownBandwidthHz, channelBandwidthHz: spacingHz }];
  const { readings } = ownIsInside ? measureAclr(spectrum, sampleRateHz, carriers, wanted) : { readings: [] };
  const aclr: RecordAclrReading[] = [];
  for (const channel of wanted) {
    for (const side of ['lower', 'upper'] as const) {
      const reading = readings.find((candidate) => candidate.channel === channel.name && candidate.side === side);
      const { name, ...place } = channel;
      aclr.push(
        reading ?? {
          channel: name,
          side,
          ...place,
          centreHz: centreHz + (side === 'lower' ? -1 : 1) * place.offsetHz,
          filter: 'square',
          aclrDb: null,
          spreadDb: null,
          densityDbmPerMHz: null,
          limitedBy: null,
        },
      );
    }
    const isOutside = aclr.some((reading) => reading.channel === channel.name && reading.aclrDb === null);
    if (isOutside && ownIsInside) warnings.push(outsideWarning(channel, centreHz, sampleRateHz));
  }
  return { aclr, warnings };
}

/** A channel at offset D in bandwidth W needs fs ≥ 2·(|centre| + D) + W. */
function outsideWarning(
  channel: { name: string; offsetHz: number; bandwidthHz: number },
  centreHz: number,
  sampleRateHz: number,
): Warning {
  const needed = 2 * (Math.abs(centreHz) + channel.offsetHz) + channel.bandwidthHz;
  const place = `${megahertz(channel.offsetHz)} ±${megahertz(channel.bandwidthHz / 2)} MHz from the carrier`;
  const message =
    `The ${channel.name} channel, ${place}, lies outside ±${megahertz(sampleRateHz / 2)} MHz and is not in the record; ` +
    `no ACLR is given. It needs a sample rate of at least ${megahertz(needed)} MHz.`;
  return { code: 'channel-outside-rate', message };
}

function recordWarnings(input: MeasureRecordInput, occupiedBandwidthHz: number, periodic: boolean): Warning[] {
  const warnings: Warning[] = [];
  const share = occupiedBandwidthHz / input.sampleRateHz;
  if (share > FULL_RATE_RATIO) {
    const message = `99 % of the power fills ${(100 * share).toFixed(0)} % of the sample rate: a wrong datatype or byte order looks like this. Check the record’s metadata.`;
    warnings.push({ code: 'record-fills-rate', message });
  }
  if (!periodic) {
    const delay = input.reference ? ' Delay and EVM against the reference suffer at the ends.' : '';
    const message = `The record’s end does not lead to its start, so it is not one period: segments do not wrap around.${delay}`;
    warnings.push({ code: 'not-one-period', message });
  }
  return warnings;
}
