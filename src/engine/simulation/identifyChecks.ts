// What makes a pair of records unusable for identifying an amplifier, and what only makes it doubtful.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import type { SampleWindow } from '../basis/gram.ts';
import { isOnePeriod } from '../dsp/recordPeriod.ts';
import { clippedSampleCount, orderSigns } from '../identification/recordSigns.ts';
import { relate } from './identifyRelation.ts';
import type { RecordInput } from './measureRecord.ts';
import { statisticsOf } from './recordStatistics.ts';

export interface RecordPair {
  readonly drive: RecordInput & { readonly fullScale?: number | null };
  readonly observed: RecordInput & { readonly fullScale?: number | null };
}

/** Below this a fit says more of the noise than of the amplifier. */
const FEWEST_SAMPLES = 4096;
/** Both signs of exchanged records: the observation cleaner out of band, and quieter, by at least this much. */
const EXCHANGED_DB = 3;
/** Records started and stopped by hand differ by a little; more is a file that lacks its end. */
const MOST_MISSING_RATIO = 0.01;
/** Samples left out at the ends of records that are not one period: transforms wrap, the records do not. */
const END_GUARD = 1024;

export interface CheckedPair {
  /** Equally long: where one record is a little longer, its end is left out. */
  readonly pair: RecordPair;
  readonly issues: readonly Issue[];
  readonly warnings: readonly Warning[];
  readonly clippedSamples: { readonly drive: number; readonly observed: number };
  /** Taken out of the observation; 0 where none was found. */
  readonly frequencyOffsetHz: number;
  /** Of the drive; transforms wrap only there. */
  readonly isOnePeriod: boolean;
  /** Samples that count. */
  readonly from: number;
  readonly to: number;
}

/** `prefix`: path of the pair in issues, such as "" or "validation.". */
export function checkPair(given: RecordPair, prefix: string): CheckedPair {
  const alone = [...checkAlone(given.drive, `${prefix}drive`), ...checkAlone(given.observed, `${prefix}observed`)];
  const issues = [...alone, ...checkAgainst(given, prefix)];
  const cut = equallyLong(given, prefix);
  const whole = { from: 0, to: cut.pair.drive.signal.re.length };
  if (issues.length > 0) return unusable(cut.pair, issues);
  const clippedSamples = { drive: clippedOf(given.drive), observed: clippedOf(given.observed) };
  const relation = relate(cut.pair, prefix);
  if ('issue' in relation) return unusable(cut.pair, [relation.issue]);
  const { pair, delaySamples } = relation;
  issues.push(...checkOrder(pair, prefix));
  const warnings = [...cut.warnings, ...relation.warnings, ...clippedWarnings(clippedSamples, whole.to, prefix)];
  const checked = { pair, issues, clippedSamples, frequencyOffsetHz: relation.frequencyOffsetHz };
  if (isOnePeriod(pair.drive.signal)) return { ...checked, ...whole, warnings, isOnePeriod: true };
  const guard = Math.min(END_GUARD, whole.to >> 4) + Math.ceil(Math.abs(delaySamples));
  const part = { from: guard, to: whole.to - guard };
  if (part.to - part.from < FEWEST_SAMPLES) issues.push(tooFew(part.to - part.from, `${prefix}drive`));
  return { ...checked, ...part, warnings: [...warnings, cutWarning(guard, prefix)], isOnePeriod: false };
}

function unusable(pair: RecordPair, issues: readonly Issue[]): CheckedPair {
  const nothing = { warnings: [], clippedSamples: { drive: 0, observed: 0 }, isOnePeriod: false, frequencyOffsetHz: 0 };
  return { pair, issues, ...nothing, from: 0, to: pair.drive.signal.re.length };
}

/** The shorter length of both, with a warning where they differ. */
function equallyLong(pair: RecordPair, prefix: string): { readonly pair: RecordPair; readonly warnings: Warning[] } {
  const { drive, observed } = pair;
  const [sent, seen] = [drive.signal.re.length, observed.signal.re.length];
  if (sent === seen) return { pair, warnings: [] };
  const length = Math.min(sent, seen);
  const cut = (record: RecordPair['drive']) => {
    const { re, im } = record.signal;
    return { ...record, signal: { re: re.slice(0, length), im: im.slice(0, length) } };
  };
  return { pair: { drive: cut(drive), observed: cut(observed) }, warnings: [lengthWarning(sent, seen, prefix)] };
}

export function windowsOf({ from, to }: CheckedPair): readonly SampleWindow[] {
  return [{ startSample: from, sampleCount: to - from }];
}

function checkAlone({ signal, sampleRateHz, fullScale }: RecordPair['drive'], path: string): Issue[] {
  const { sampleCount, meanPower, hasFiniteSamples } = statisticsOf(signal, fullScale ?? null);
  if (!(sampleRateHz > 0 && Number.isFinite(sampleRateHz))) {
    const remedy = 'state the rate in Hz';
    return [{ path: `${path}.sampleRateHz`, rule: 'must be above 0 Hz', value: printValue(sampleRateHz), remedy }];
  }
  if (sampleCount < FEWEST_SAMPLES) return [tooFew(sampleCount, path)];
  if (!hasFiniteSamples) {
    return [{ path, rule: 'must hold finite samples', value: 'others', remedy: 'check how the record was written' }];
  }
  if (meanPower > 0) return [];
  return [{ path, rule: 'must hold power', value: `${sampleCount} samples of zero`, remedy: 'give another record' }];
}

function tooFew(sampleCount: number, path: string): Issue {
  const rule = `must hold at least ${FEWEST_SAMPLES} samples, half of them to fit and half to judge by`;
  return { path, rule, value: `${sampleCount} samples`, remedy: 'record longer; a file may have been truncated' };
}

function checkAgainst({ drive, observed }: RecordPair, prefix: string): Issue[] {
  const issues: Issue[] = [];
  if (drive.sampleRateHz !== observed.sampleRateHz) {
    issues.push({
      path: `${prefix}observed.sampleRateHz`,
      rule: `must be the drive’s, ${drive.sampleRateHz} Hz: samples of both are compared one by one`,
      value: `${observed.sampleRateHz} Hz`,
      remedy: 'record both at one rate, or resample one before',
    });
  }
  const [sent, seen] = [drive.signal.re.length, observed.signal.re.length];
  const longer = Math.max(sent, seen);
  if (Math.abs(sent - seen) > MOST_MISSING_RATIO * longer) {
    issues.push({
      path: `${prefix}observed`,
      rule: `must be as long as the drive, ${sent} samples, or within ${100 * MOST_MISSING_RATIO} % of it`,
      value: `${seen} samples`,
      remedy: 'one of the files may be truncated; give both whole, or cut both to the same stretch',
    });
  }
  return issues;
}

/** An amplifier widens a spectrum and a receiver adds noise; a predistorted drive undoes the first, never the second. */
function checkOrder({ drive, observed }: RecordPair, prefix: string): Issue[] {
  const { widenedDb, noisierDb } = orderSigns(drive.signal, observed.signal, drive.sampleRateHz);
  if (widenedDb > -EXCHANGED_DB || noisierDb > -EXCHANGED_DB) return [];
  const value = `an observation ${(-widenedDb).toFixed(1)} dB cleaner out of band and ${(-noisierDb).toFixed(1)} dB quieter`;
  const rule =
    'must be what was sent, and the observation what came back: an amplifier widens a spectrum and a receiver adds noise';
  return [{ path: `${prefix}drive`, rule, value, remedy: 'the two are exchanged; give the drive first' }];
}

/** At an end of the converter's range, or piled up at an end of its own. */
function clippedOf({ signal, fullScale }: RecordPair['drive']): number {
  return Math.max(statisticsOf(signal, fullScale ?? null).clippedSampleCount ?? 0, clippedSampleCount(signal));
}

function clippedWarnings(clipped: CheckedPair['clippedSamples'], sampleCount: number, prefix: string): Warning[] {
  return (['drive', 'observed'] as const).flatMap((name): Warning[] => {
    if (clipped[name] === 0) return [];
    const message = `${clipped[name]} of ${sampleCount} samples of the ${prefix === '' ? '' : 'validation’s '}${name} record stand at an end of its range: it was clipped, and the model would take the clipping for the amplifier’s. Record with the level lower.`;
    return [{ code: 'capture-clipped', message }];
  });
}

function cutWarning(guard: number, prefix: string): Warning {
  const message = `The ${prefix === '' ? '' : 'validation’s '}drive’s end does not lead to its start, so it is not one period: ${guard} samples at either end are left out.`;
  return { code: 'not-one-period', message };
}

function lengthWarning(sent: number, seen: number, prefix: string): Warning {
  const [longer, difference] = [sent > seen ? 'drive' : 'observation', Math.abs(sent - seen)];
  const of = prefix === '' ? '' : ' of the validation';
  const message = `The drive${of} holds ${sent} samples and its observation ${seen}: the last ${difference} of the ${longer} are left out. A file may have been truncated.`;
  return { code: 'lengths-differ', message };
}
