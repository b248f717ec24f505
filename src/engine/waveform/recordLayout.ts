// Sample rate and length of a waveform that holds a record from outside: the record's period decides.
//
// A period of L samples at the record's rate f holds M = L·f_s/f samples at the waveform's rate f_s, a whole number, so
// that the change of rate is exact (dsp/resample). "auto" is the least whole multiple of f with room for the products.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { RecordCarrierSettings, WaveformSettings } from '../../../shared/schema/scenario.ts';
import { denominatorOf } from '../dsp/denominator.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { MOST_SAMPLES, type RecordStore, type SuppliedRecord } from '../dsp/waveformTypes.ts';
import type { Band } from './carrierBand.ts';
import { type RecordLayout, roomyRateHz } from './record.ts';
import { recordPlan } from './recordCarrier.ts';
import type { PartPlan } from './recordParts.ts';

/** A record brought to a rate further off than this tells nothing there. */
const MOST_RATE_RATIO = 64;
const WHOLE_TOLERANCE = 1e-6;

interface Source {
  readonly carrier: RecordCarrierSettings;
  readonly path: string;
  readonly record: SuppliedRecord;
}

/** Layout of a waveform with at least one record carrier; adds every fault to `issues` and then returns null. */
export function layOutOnRecord(
  settings: WaveformSettings,
  bands: readonly Band[],
  issues: Issue[],
  records: RecordStore,
): RecordLayout | null {
  const sources = settings.carriers.flatMap((carrier, i): Source[] => {
    const record = carrier.kind === 'record' ? records.get(carrier.recordName) : undefined;
    return carrier.kind !== 'record' || record === undefined
      ? []
      : [{ carrier, path: `waveform.carriers.${i}`, record }];
  });
  const [first, ...others] = sources;
  if (settings.carriers.some(({ kind }) => kind === 'ofdm')) {
    issues.push({
      path: `${first.path}.kind`,
      rule: 'cannot stand beside OFDM carriers: their whole symbols set the length, and so does a record',
      value: '"record"',
      remedy: 'use noise, tones or single carriers beside a record',
    });
    return null;
  }
  const sampleRateHz = rateFor(settings, first, bands, issues);
  const layout = sampleRateHz === null ? null : layOut(first, sampleRateHz, issues);
  if (layout === null) return null;
  const durationS = layout.sampleCount / layout.sampleRateHz;
  const fitting = others.filter((other) => isAsLong(other, layout.sampleRateHz, durationS, issues));
  return fitting.length === others.length ? layout : null;
}

function rateFor(
  settings: WaveformSettings,
  { record }: Source,
  bands: readonly Band[],
  issues: Issue[],
): number | null {
  const { sampleRateHz } = record;
  const multiple = Math.max(1, Math.ceil(roomyRateHz(bands) / sampleRateHz - 1e-9));
  const wanted = settings.sampleRateHz === 'auto' ? multiple * sampleRateHz : settings.sampleRateHz;
  const ratio = wanted / sampleRateHz;
  if (ratio <= MOST_RATE_RATIO && ratio >= 1 / MOST_RATE_RATIO) return wanted;
  issues.push({
    path: 'waveform.sampleRateHz',
    rule: `must be within ${MOST_RATE_RATIO} times the rate of record "${record.name}", ${formatHz(sampleRateHz)}`,
    value: settings.sampleRateHz === 'auto' ? `"auto" (${formatHz(wanted)})` : printValue(wanted),
    remedy: 'check the rate in the record’s metadata, or use another record',
  });
  return null;
}

/** The plan of a record at a waveform's rate; null when no simple ratio leads there. */
export function planAtRate(
  carrier: RecordCarrierSettings,
  record: SuppliedRecord,
  sampleRateHz: number,
): PartPlan | null {
  const multiple = denominatorOf(sampleRateHz / record.sampleRateHz);
  return multiple === null || multiple > record.signal.re.length ? null : recordPlan(carrier, record, multiple);
}

function layOut({ carrier, path, record }: Source, sampleRateHz: number, issues: Issue[]): RecordLayout | null {
  const plan = planAtRate(carrier, record, sampleRateHz);
  const wanted = plan === null ? Number.NaN : (plan.periodSamples * sampleRateHz) / record.sampleRateHz;
  const sampleCount = Math.round(wanted);
  if (!(Math.abs(wanted - sampleCount) <= WHOLE_TOLERANCE && sampleCount > 0)) {
    const period = plan === null ? '' : `, ${plan.periodSamples} samples long,`;
    issues.push({
      path: 'waveform.sampleRateHz',
      rule: `must give the period of record "${record.name}"${period} a whole number of samples: ${formatHz(sampleRateHz)} over ${formatHz(record.sampleRateHz)}`,
      value: printValue(sampleRateHz),
      remedy: 'use "auto" or a multiple of the record’s rate',
    });
    return null;
  }
  if (sampleCount <= MOST_SAMPLES) return { sampleRateHz, sampleCount, symbolCount: null };
  const parts = Math.ceil((carrier.partCount * sampleCount) / MOST_SAMPLES);
  issues.push({
    path: `${path}.partCount`,
    rule: `must cut record "${record.name}" into parts of at most ${MOST_SAMPLES} samples at ${formatHz(sampleRateHz)} (now ${sampleCount})`,
    value: printValue(carrier.partCount),
    remedy: parts <= 64 ? `use ${parts} parts or more` : 'use a shorter record',
  });
  return null;
}

function isAsLong(
  { carrier, path, record }: Source,
  sampleRateHz: number,
  durationS: number,
  issues: Issue[],
): boolean {
  const plan = planAtRate(carrier, record, sampleRateHz);
  const lasts = plan === null ? Number.NaN : plan.periodSamples / record.sampleRateHz;
  if (Math.abs(lasts - durationS) <= 1e-9 * durationS) return true;
  issues.push({
    path: `${path}.recordName`,
    rule: `must last as long as the first record: one period of ${Number((1e6 * durationS).toPrecision(6))} µs`,
    value: `${Number((1e6 * lasts).toPrecision(6))} µs`,
    remedy: 'cut both records to the same length and into the same parts',
  });
  return false;
}
