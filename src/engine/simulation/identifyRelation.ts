// Whether two records belong together, and at which delay and frequency offset.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { alignRecords } from '../dsp/align.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { type FrequencyOffset, findFrequencyOffset, removeFrequencyOffset } from '../identification/frequencyOffset.ts';
import type { RecordPair } from './identifyChecks.ts';

/** Under this share the largest correlation may be chance. */
const LEAST_CORRELATION = 0.3;
/** An offset is taken out when it is this many of its deviations, and would leave this much error: φ²/12 for a turn φ. */
const SURE_DEVIATIONS = 6;
const LEAST_ERROR_DB = -65;

export type PairRelation =
  | {
      /** The observation without its frequency offset. */
      readonly pair: RecordPair;
      readonly delaySamples: number;
      readonly frequencyOffsetHz: number;
      readonly warnings: readonly Warning[];
    }
  | { readonly issue: Issue };

/** Records equally long and at one rate. `prefix` as in checkPair. */
export function relate(pair: RecordPair, prefix: string): PairRelation {
  const { drive, observed } = pair;
  if (areEqual(drive.signal, observed.signal)) return { issue: sameRecord(prefix) };
  const found = alignRecords(drive.signal, observed.signal);
  const offset = findFrequencyOffset(drive.signal, observed.signal, found);
  // Short parts of records that do not belong together correlate by chance; then nothing is gained altogether.
  const isGained = (offset?.correlationRatio ?? 0) > Math.max(LEAST_CORRELATION, found.correlationRatio);
  if (offset !== null && isGained && isWorthRemoving(offset, drive.signal.re.length)) {
    return withoutOffset(pair, offset, prefix);
  }
  if (found.correlationRatio < LEAST_CORRELATION) {
    return { issue: isMirrored(pair) ? mirrored(prefix) : unlike(found.correlationRatio, prefix) };
  }
  return { pair, delaySamples: found.delaySamples, frequencyOffsetHz: 0, warnings: [] };
}

function withoutOffset({ drive, observed }: RecordPair, offset: FrequencyOffset, prefix: string): PairRelation {
  const { cyclesPerSample, delaySamples } = offset;
  const signal = removeFrequencyOffset(observed.signal, cyclesPerSample);
  return {
    pair: { drive, observed: { ...observed, signal } },
    delaySamples,
    frequencyOffsetHz: cyclesPerSample * drive.sampleRateHz,
    warnings: [offsetWarning(cyclesPerSample, drive, prefix)],
  };
}

function areEqual(a: ComplexSignal, b: ComplexSignal): boolean {
  return a.re.every((value, n) => value === b.re[n]) && a.im.every((value, n) => value === b.im[n]);
}

/** Exchanged branches, or a mixer above the carrier, turn the spectrum round: the record is the conjugate of another. */
function isMirrored({ drive, observed }: RecordPair): boolean {
  const conjugate = { re: observed.signal.re, im: observed.signal.im.map((value) => -value) };
  return alignRecords(drive.signal, conjugate).correlationRatio >= LEAST_CORRELATION;
}

/** What an offset leaves of a fit that knows one phase only. */
function turnErrorDb({ cyclesPerSample }: FrequencyOffset, sampleCount: number): number {
  return powerRatioToDb((2 * Math.PI * cyclesPerSample * sampleCount) ** 2 / 12);
}

function isWorthRemoving(offset: FrequencyOffset, sampleCount: number): boolean {
  const isSure = Math.abs(offset.cyclesPerSample) > SURE_DEVIATIONS * offset.deviation;
  return isSure && turnErrorDb(offset, sampleCount) > LEAST_ERROR_DB;
}

function sameRecord(prefix: string): Issue {
  return {
    path: `${prefix}observed`,
    rule: 'must be what a receiver saw of the output',
    value: 'the drive itself, sample by sample',
    remedy: 'one file was named twice; name the observation second',
  };
}

function unlike(correlation: number, prefix: string): Issue {
  return {
    path: `${prefix}observed`,
    rule: `must be an observation of the drive: their correlation must reach ${LEAST_CORRELATION}`,
    value: `${correlation.toFixed(3)} at the best delay, and no more in parts of the records`,
    remedy: 'the two records do not belong together; check their names',
  };
}

function mirrored(prefix: string): Issue {
  return {
    path: `${prefix}observed`,
    rule: 'must be an observation of the drive as it was sent',
    value: 'its mirror image: the spectrum is turned round',
    remedy: 'exchange I and Q of one record, or change the sign of one of them',
  };
}

function offsetWarning(cyclesPerSample: number, drive: RecordPair['drive'], prefix: string): Warning {
  const whose = prefix === '' ? '' : 'validation’s ';
  const offsetHz = cyclesPerSample * drive.sampleRateHz;
  const hz = `${offsetHz < 0 ? '\u2212' : '+'}${Math.abs(offsetHz).toFixed(1)} Hz`;
  const turns = Number((Math.abs(cyclesPerSample) * drive.signal.re.length).toPrecision(2));
  const message = `The ${whose}observation stands ${hz} from the drive, ${turns} turns over the record: its receiver ran on another reference, or the amplifier drifted. The offset was taken out; lock the two for a better fit.`;
  return { code: 'frequency-offset', message };
}
