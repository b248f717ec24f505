// The rate at which a model's taps hold, against the record's rate. A record is brought to the model's rate by its exact
// spectrum, so the sample count there must be whole: never a silent approximation.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { publishedAmplifiers } from '../../../shared/tables/publishedAmplifiers.ts';
import { denominatorOf, greatestCommonDivisor } from '../dsp/denominator.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { MOST_SAMPLES } from '../dsp/waveformTypes.ts';

/** The record an amplifier is made for. */
export interface AmplifierRecord {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  /** OFDM symbols in the record; makes the remedy of a rate that does not fit a symbol count. */
  readonly symbolCount?: number | null;
  /** Width from the lowest to the highest edge of all carriers; needed when the model's rate is below the record's. */
  readonly occupiedSpanHz?: number | null;
  /** The amplifier section’s; for a data sheet that states no saturated power of its own. */
  readonly saturatedPowerDbm?: number | null;
}

export type RateOutcome =
  | { readonly kind: 'length'; readonly modelLength: number }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** A sample count this near a whole number differs by rounding only. */
const WHOLE_TOLERANCE = 1e-6;
/** Third-order products of the carriers must fit into the model's band. */
const SPANS_NEEDED = 3;
const RATE_PATH = 'amplifier.model.modelRateHz';

/** Sample count of the record at the model's rate, or the issues that forbid it. */
export function modelLengthFor(modelRateHz: number | null, record: AmplifierRecord): RateOutcome {
  const { sampleRateHz, sampleCount } = record;
  if (modelRateHz === null || modelRateHz === sampleRateHz) return { kind: 'length', modelLength: sampleCount };
  const wanted = (sampleCount * modelRateHz) / sampleRateHz;
  const modelLength = Math.round(wanted);
  const issues: Issue[] = [];
  if (Math.abs(wanted - modelLength) > WHOLE_TOLERANCE) issues.push(notWholeIssue(modelRateHz, record, wanted));
  else if (modelLength > MOST_SAMPLES) issues.push(tooLongIssue(modelRateHz, record, modelLength));
  if (modelRateHz < sampleRateHz) issues.push(...spanIssues(modelRateHz, record));
  return issues.length > 0 ? { kind: 'invalid', issues } : { kind: 'length', modelLength };
}

/** `model-rate-unstated`: a model with memory and no rate of its own remembers for as long as the record's rate says. */
export function unstatedRateWarning(settings: AmplifierModelSettings, sampleRateHz: number): Warning | null {
  if (settings.kind === 'published') return publishedRateWarning(settings.id, sampleRateHz);
  if (!('modelRateHz' in settings) || settings.modelRateHz !== 'any') return null;
  const memory = memoryOf(settings);
  if (memory === null) return null;
  const message =
    `The amplifier model has memory (${memory}), but its model rate is "any": it is stepped at the record’s ${formatHz(sampleRateHz)}, ` +
    'and at another sample rate it is another amplifier. State modelRateHz, the rate the model was fitted at.';
  return { code: 'model-rate-unstated', message };
}

/** A published model whose source states no rate leaves the user nothing to state but the record's. */
function publishedRateWarning(id: string, sampleRateHz: number): Warning | null {
  const entry = publishedAmplifiers[id];
  if (entry === undefined || typeof entry.sample_rate_Hz === 'number') return null;
  const delayed = (entry.terms ?? []).filter(({ l, m }) => l !== 0 || m !== 0).length;
  const memory = entry.input_filter === undefined ? delayedWords(delayed) : 'filters ahead of it and behind it';
  if (memory === null) return null;
  const message =
    `The published amplifier ${id} has memory (${memory}), but its source states no sample rate: it is stepped at the record’s ${formatHz(sampleRateHz)}, ` +
    'and at another sample rate it is another amplifier. Compare results at one waveform.sampleRateHz only.';
  return { code: 'model-rate-unstated', message };
}

function delayedWords(count: number): string | null {
  return count === 0 ? null : `${count} delayed ${count === 1 ? 'term' : 'terms'}`;
}

/** What a model remembers by, in words; null when it is memoryless. */
function memoryOf(settings: Extract<AmplifierModelSettings, { modelRateHz: unknown }>): string | null {
  switch (settings.kind) {
    case 'filterNonlinearityFilter': {
      const parts: string[] = [];
      if (settings.inputTaps.length > 1) parts.push(`${settings.inputTaps.length} input taps`);
      if (settings.outputTaps.length > 1) parts.push(`${settings.outputTaps.length} output taps`);
      if (settings.biasDepthRatio > 0 && settings.biasTimeConstantS > 0) parts.push('a bias time constant');
      return parts.length === 0 ? null : parts.join(', ');
    }
    case 'memoryPolynomial':
      return settings.memoryDepth > 1 ? `${settings.memoryDepth} taps` : null;
    case 'generalizedMemoryPolynomial': {
      const delayed = settings.terms.filter((term) => term.delaySamples !== 0 || term.envelopeDelaySamples !== 0);
      return delayedWords(delayed.length);
    }
  }
}

function notWholeIssue(modelRateHz: number, record: AmplifierRecord, wanted: number): Issue {
  const { sampleRateHz, sampleCount, symbolCount } = record;
  const ratio = `${modelRateHz} Hz over ${sampleRateHz} Hz`;
  const step = denominatorOf(modelRateHz / sampleRateHz);
  if (step === null) {
    const remedy = 'pick a sample rate whose ratio to the model rate is a ratio of small whole numbers';
    return {
      path: RATE_PATH,
      rule: `must fit the record: ${ratio} is no simple ratio`,
      value: String(modelRateHz),
      remedy,
    };
  }
  const rule = `must give a whole number of samples at the model rate (${ratio})`;
  if (symbolCount) {
    const symbolSamples = sampleCount / symbolCount;
    const symbolStep = step / greatestCommonDivisor(step, symbolSamples);
    const nearest = Math.max(1, Math.ceil(symbolCount / symbolStep)) * symbolStep;
    return {
      path: 'waveform.symbolCount',
      rule,
      value: `${symbolCount} (${wanted.toFixed(3)} samples)`,
      remedy: `use a multiple of ${symbolStep} symbols, such as ${nearest}`,
    };
  }
  return {
    path: RATE_PATH,
    rule,
    value: `${modelRateHz} (${wanted.toFixed(3)} samples)`,
    remedy: `set waveform.sampleRateHz to the model rate, or use a record of a multiple of ${step} samples`,
  };
}

function tooLongIssue(modelRateHz: number, record: AmplifierRecord, modelLength: number): Issue {
  const shorter = Math.max(1, Math.floor((100 * MOST_SAMPLES) / modelLength));
  return {
    path: RATE_PATH,
    rule: `must give at most ${MOST_SAMPLES} samples at the model rate`,
    value: `${modelRateHz} (${modelLength} samples from ${record.sampleCount})`,
    remedy: `shorten the record to ${shorter} % of its length`,
  };
}

function spanIssues(modelRateHz: number, record: AmplifierRecord): Issue[] {
  const span = record.occupiedSpanHz ?? null;
  if (span !== null && SPANS_NEEDED * span <= modelRateHz) return [];
  const atLeast = span === null ? record.sampleRateHz : SPANS_NEEDED * span;
  const needed = span === null ? 'the record’s sample rate' : `three times the ${span} Hz the carriers span`;
  return [
    {
      path: RATE_PATH,
      rule: `must be at least ${needed} (${atLeast} Hz): the model drops all above half its rate`,
      value: String(modelRateHz),
      remedy: 'pick a model identified at a higher rate, or narrower carriers',
    },
  ];
}
