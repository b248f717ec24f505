// A record from outside as a carrier: found, checked, cut into one period, its band found, brought to the waveform's rate.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { RecordCarrierSettings } from '../../../shared/schema/scenario.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { measureOccupiedBandwidth, type OccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';
import { resamplePeriodic } from '../dsp/resample.ts';
import { estimateSpectrum } from '../dsp/spectrum.ts';
import type { RecordStore, SuppliedRecord } from '../dsp/waveformTypes.ts';
import { guessChannel, middleOf } from './recordBand.ts';
import { type PartPlan, planParts, takePart } from './recordParts.ts';

/** Fewer samples in a part hold no spectrum worth the name. */
const LEAST_PART_SAMPLES = 1024;
const DC_ONLY = 1e-12;
/** The band is found on this much of a long record. */
const BAND_SAMPLES = 2 ** 22;
const BAND_SEGMENT = 8192;

interface RecordFacts {
  readonly hasFinitePower: boolean;
  readonly meanPower: number;
  /** Power beside the mean, over all power. */
  readonly alternatingRatio: number;
  readonly occupied: OccupiedBandwidth | null;
  readonly plans: Map<string, PartPlan>;
}

/** What was found out about a record stays with it: settings are checked at every keystroke. */
const known = new WeakMap<SuppliedRecord, RecordFacts>();

function factsOf(record: SuppliedRecord): RecordFacts {
  const before = known.get(record);
  if (before !== undefined) return before;
  const facts = { ...powersOf(record.signal), occupied: occupiedOf(record), plans: new Map<string, PartPlan>() };
  known.set(record, facts);
  return facts;
}

function powersOf({ re, im }: ComplexSignal): Pick<RecordFacts, 'hasFinitePower' | 'meanPower' | 'alternatingRatio'> {
  let [power, meanRe, meanIm] = [0, 0, 0];
  for (let n = 0; n < re.length; n++) {
    power += re[n] * re[n] + im[n] * im[n];
    meanRe += re[n];
    meanIm += im[n];
  }
  const count = Math.max(1, re.length);
  const constant = (meanRe * meanRe + meanIm * meanIm) / (count * count);
  const meanPower = power / count;
  const alternatingRatio = meanPower > 0 ? 1 - constant / meanPower : 0;
  return { hasFinitePower: Number.isFinite(power), meanPower, alternatingRatio };
}

function occupiedOf({ signal, sampleRateHz }: SuppliedRecord): OccupiedBandwidth | null {
  const count = Math.min(signal.re.length, BAND_SAMPLES);
  if (count < LEAST_PART_SAMPLES || !(sampleRateHz > 0)) return null;
  const part = { re: signal.re.subarray(0, count), im: signal.im.subarray(0, count) };
  const segmentLength = Math.min(BAND_SEGMENT, 2 ** Math.floor(Math.log2(count / 4)));
  const options = { sampleRateHz, window: 'blackmanHarris', segmentLength, overlapRatio: 0.5 } as const;
  return measureOccupiedBandwidth(estimateSpectrum(part, { ...options, method: 'segments', periodic: false }));
}

/** The record of a carrier, or null with everything in the way of using it. Paths are below `waveform.carriers`. */
export function findRecord(
  carrier: RecordCarrierSettings,
  carrierIndex: number,
  records: RecordStore,
  issues: Issue[],
): SuppliedRecord | null {
  const path = `waveform.carriers.${carrierIndex}`;
  const { recordName } = carrier;
  const record = records.get(recordName);
  if (record === undefined) {
    const names = [...records.keys()].map((name) => `"${name}"`).join(', ');
    const rule = `must name a record that is at hand; ${names === '' ? 'there is none' : `there are ${names}`}`;
    const remedy = 'give the file (SigMF or CSV) beside the scenario, or name another record';
    issues.push({ path: `${path}.recordName`, rule, value: printValue(recordName), remedy });
    return null;
  }
  const faults = [...digestIssues(carrier, record, path), ...sampleIssues(carrier, record, path)];
  issues.push(...faults);
  return faults.length > 0 ? null : record;
}

function digestIssues({ sha512 }: RecordCarrierSettings, record: SuppliedRecord, path: string): Issue[] {
  if (sha512 === null || record.sha512 === null || sha512.toLowerCase() === record.sha512) return [];
  const rule = `must be the digest of record "${record.name}", ${record.sha512.slice(0, 16)}…`;
  const remedy = 'give the record the scenario was made with, or set sha512 to null to take this one';
  return [{ path: `${path}.sha512`, rule, value: `"${sha512.slice(0, 16)}…"`, remedy }];
}

function sampleIssues(carrier: RecordCarrierSettings, record: SuppliedRecord, path: string): Issue[] {
  const name = `record "${record.name}"`;
  const count = record.signal.re.length;
  const { sampleRateHz } = record;
  const issue = (field: string, rule: string, value: string, remedy: string): Issue[] => [
    { path: `${path}.${field}`, rule, value, remedy },
  ];
  if (!(sampleRateHz > 0 && Number.isFinite(sampleRateHz))) {
    return issue(
      'recordName',
      `must name a record with a sample rate (${name})`,
      `${sampleRateHz} Hz`,
      'state its rate',
    );
  }
  const { hasFinitePower, meanPower, alternatingRatio } = factsOf(record);
  if (!hasFinitePower) {
    return issue(
      'recordName',
      `must name a record of finite samples (${name})`,
      'NaN or infinite samples',
      'repair the file',
    );
  }
  if (count > 0 && alternatingRatio < DC_ONLY) {
    const value = meanPower > 0 ? 'a constant (DC only)' : 'zeros only';
    return issue('recordName', `must name a record of a signal (${name})`, value, 'give another record');
  }
  if (Math.floor(count / carrier.partCount) < LEAST_PART_SAMPLES) {
    const rule = `must leave at least ${LEAST_PART_SAMPLES} samples in a part of ${name}, which has ${count}`;
    const most = Math.floor(count / LEAST_PART_SAMPLES);
    const remedy = most > 0 ? `use at most ${most} parts` : 'give a longer record';
    return issue('partCount', rule, printValue(carrier.partCount), remedy);
  }
  const width = carrier.occupiedBandwidthHz;
  if (width !== 'auto' && width > sampleRateHz) {
    const rule = `must lie within the sample rate of ${name}, ${formatHz(sampleRateHz)}`;
    return issue('occupiedBandwidthHz', rule, printValue(width), 'use "auto" or a smaller width');
  }
  return [];
}

/** Own channel and spacing: as set, or guessed from the band that holds 99 % of the power. */
export function recordWidths(
  carrier: RecordCarrierSettings,
  record: SuppliedRecord,
): { readonly occupiedBandwidthHz: number; readonly channelBandwidthHz: number } {
  const guess = guessChannel(factsOf(record).occupied?.occupiedBandwidthHz ?? record.sampleRateHz);
  const isGuessed = carrier.occupiedBandwidthHz === 'auto' || carrier.occupiedBandwidthHz === guess.ownBandwidthHz;
  const occupiedBandwidthHz =
    carrier.occupiedBandwidthHz === 'auto'
      ? Math.min(guess.ownBandwidthHz, record.sampleRateHz)
      : carrier.occupiedBandwidthHz;
  const spacingHz = isGuessed ? guess.spacingHz : occupiedBandwidthHz;
  return {
    occupiedBandwidthHz,
    channelBandwidthHz: carrier.channelBandwidthHz === 'auto' ? spacingHz : carrier.channelBandwidthHz,
  };
}

/** Middle of the band in the record's own frequency; the carrier's offset is where it goes. */
function recordCentreHz(record: SuppliedRecord): number {
  const { occupied } = factsOf(record);
  return occupied === null ? 0 : middleOf(occupied);
}

/** How the record is cut, with periods of a multiple of `multiple` samples where it may choose. */
export function recordPlan(
  { partCount, joinRatio }: RecordCarrierSettings,
  record: SuppliedRecord,
  multiple: number,
): PartPlan {
  const { plans } = factsOf(record);
  const key = `${partCount}/${joinRatio}/${multiple}`;
  const made = plans.get(key) ?? planParts(record, partCount, joinRatio, multiple);
  plans.set(key, made);
  return made;
}

/** One period of the carrier for a seed, about its own centre, at the waveform's length. */
export function recordSignal(
  carrier: RecordCarrierSettings,
  record: SuppliedRecord,
  plan: PartPlan,
  seed: number,
  sampleCount: number,
): ComplexSignal {
  const part = takePart(record.signal, plan, carrier.partCount, seed);
  const cycles = Math.round((recordCentreHz(record) * plan.periodSamples) / record.sampleRateHz);
  return resamplePeriodic(cycles === 0 ? part : shiftByCycles(part, -cycles), sampleCount);
}

/** What was done to the record, or is wrong with its join, with numbers. */
export function recordNotes(
  carrier: RecordCarrierSettings,
  carrierIndex: number,
  record: SuppliedRecord,
  plan: PartPlan,
): Warning[] {
  const notes: Warning[] = [];
  const name = `carrier ${carrierIndex + 1}, record "${record.name}"`;
  const centreHz = recordCentreHz(record);
  if (centreHz !== 0) {
    const message = `The band of ${name} lies ${formatHz(centreHz)} off its centre and is moved to the carrier's offset.`;
    notes.push({ code: 'record-centred', message });
  }
  if (carrier.sha512 !== null && record.sha512 === null) {
    const message = `The digest of ${name} is not known: nobody checked that it is the record the scenario was made with.`;
    notes.push({ code: 'record-unchecked', message });
  }
  if (!plan.isUncuredPeriod) notes.push({ code: 'record-join', message: joinText(name, record, plan) });
  return notes;
}

function joinText(name: string, { sampleRateHz }: SuppliedRecord, plan: PartPlan): string {
  const signs = ({ stepRatio, spectrumRatio }: PartPlan['uncured']) =>
    `the step is ${stepRatio.toPrecision(3)} times the median step, the spectrum at the join ${spectrumRatio.toPrecision(3)} times the most elsewhere`;
  const before = `The end of a part of ${name} does not lead to its beginning: ${signs(plan.uncured)}.`;
  const leak = 'The join spreads over the whole spectrum and limits ACLR';
  if (plan.cured === null || plan.fadeSamples === 0)
    return `${before} ${leak}. Set joinRatio above 0 or use longer parts.`;
  const us = (1e6 * plan.fadeSamples) / sampleRateHz;
  const faded = `It fades over ${plan.fadeSamples} samples (${us.toPrecision(3)} µs); then ${signs(plan.cured)}.`;
  return plan.isCuredPeriod ? `${before} ${faded}` : `${before} ${faded} ${leak} still: raise joinRatio.`;
}
