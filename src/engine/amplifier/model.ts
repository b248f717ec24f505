// The amplifier as the pipeline sees it: one function from a drive record to an output record, in the scale of the
// operating point (drive with small-signal gain about 1; |y| = 1 is saturated power), at the record's own rate.
//
//   drive → resample to the model's rate → slow states → hold at the drive range → model → resample back → over band

import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings, OverBandSettings, SlowStatesSettings } from '../../../shared/schema/scenario.ts';
import type { Complex, ComplexSignal } from '../dsp/complex.ts';
import { heldRatio, holdAmplitude } from '../dsp/hold.ts';
import { resamplePeriodic } from '../dsp/resample.ts';
import { dataSheetCore } from './dataSheet.ts';
import { createDriveResampler } from './driveResampling.ts';
import { envelopePointsCore } from './envelopePoints.ts';
import { filterNonlinearityFilterCore } from './filterNonlinearityFilter.ts';
import { literatureCore } from './literature.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';
import { type AmplifierRecord, modelLengthFor } from './modelRate.ts';
import { createOverBandFilter } from './overBandFilter.ts';
import { generalizedMemoryPolynomialCore, memoryPolynomialCore } from './polynomial.ts';
import { publishedCore } from './published.ts';
import { afterSilence, applySlowStates, settledStates } from './slowStates.ts';

export interface AmplifierModel {
  readonly label: string;
  readonly source: string | null;
  /** Rate at which the model runs; null when it runs at the record's own. */
  readonly modelRateHz: number | null;
  /** Largest drive amplitude, held beyond it; null when the model needs no such guard or has none (see `guarded`). */
  readonly driveRange: number | null;
  /** False when a polynomial runs without a drive range: its output is unbounded and its figures deserve a warning. */
  readonly guarded: boolean;
  /** Static gain at vanishing drive. */
  readonly smallSignalGain: Complex;
  /** Amplitudes of x = 1 and y = 1 in the units that the settings' own coefficients and drive range are written in. */
  readonly ownUnits: { readonly drive: number; readonly output: number };
  /** |y| never exceeds it, for any drive; null without a guard, and when resampling may overshoot it between samples. */
  readonly outputBound: number | null;
  /** Doubts about the settings themselves. */
  readonly notes: readonly Warning[];
  /** Output for a periodic drive record of the length the model was made for, slow states settled. A new record. */
  amplify(drive: ComplexSignal): ComplexSignal;
  /**
   * Output of the drive's first period after a silence that followed on slow states settled with `settledWith`. Filters
   * still wrap. Without slow states the same as `amplify`.
   */
  amplifyAfterSilence(drive: ComplexSignal, silenceS: number, settledWith?: ComplexSignal): ComplexSignal;
  /** Share of the drive's samples, at the model's rate, held at the drive range: 0 … 1. */
  heldSampleRatio(drive: ComplexSignal): number;
  /** Output for a constant drive of this amplitude (CW), after the guard; slow states at rest, as for a short pulse. */
  staticOutput(amplitude: number): Complex;
}

export type AmplifierOutcome =
  | { readonly kind: 'amplifier'; readonly model: AmplifierModel }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/**
 * The amplifier of these settings for records of this rate and length, with these slow states ahead of it and, behind it,
 * what changes of gain and phase over the band (the settings are those of the channel); or everything that is wrong with
 * them.
 */
export function createAmplifier(
  settings: AmplifierModelSettings,
  record: AmplifierRecord,
  slowStates: SlowStatesSettings | null = null,
  overBand: OverBandSettings | null = null,
): AmplifierOutcome {
  const outcome = coreOf(settings, record);
  if (outcome.kind === 'invalid') return outcome;
  const { core } = outcome;
  const rate = modelLengthFor(core.modelRateHz, record);
  if (rate.kind === 'invalid') return rate;
  if (core.memorySpanSamples > rate.modelLength)
    return { kind: 'invalid', issues: [memoryIssue(settings, core, rate.modelLength)] };
  return { kind: 'amplifier', model: modelOf(core, record, rate.modelLength, slowStates, overBand) };
}

function coreOf(settings: AmplifierModelSettings, { sampleRateHz, saturatedPowerDbm }: AmplifierRecord): CoreOutcome {
  switch (settings.kind) {
    case 'filterNonlinearityFilter': {
      const rateHz = settings.modelRateHz === 'any' ? sampleRateHz : settings.modelRateHz;
      return filterNonlinearityFilterCore(settings, rateHz);
    }
    case 'memoryPolynomial':
      return memoryPolynomialCore(settings);
    case 'generalizedMemoryPolynomial':
      return generalizedMemoryPolynomialCore(settings);
    case 'published':
      return publishedCore(settings.id);
    case 'saleh':
    case 'rapp':
    case 'modifiedRapp':
    case 'ghorbani':
      return literatureCore(settings);
    case 'envelopePoints':
      return envelopePointsCore(settings);
    case 'dataSheet':
      return dataSheetCore(settings, sampleRateHz, saturatedPowerDbm ?? null);
  }
}

function memoryIssue(settings: AmplifierModelSettings, core: ModelCore, modelLength: number): Issue {
  const paths: Readonly<Record<string, string>> = {
    filterNonlinearityFilter: 'amplifier.model.inputTaps',
    memoryPolynomial: 'amplifier.model.memoryDepth',
    generalizedMemoryPolynomial: 'amplifier.model.terms',
    published: 'amplifier.model.id',
    dataSheet: 'amplifier.model.memorySpanS',
  };
  return {
    path: paths[settings.kind] ?? 'amplifier.model',
    rule: `must not remember more than the record, which has ${modelLength} samples at the model rate`,
    value: `${core.memorySpanSamples} samples of memory`,
    remedy: 'lengthen the record or shorten the memory',
  };
}

/** Printed coefficient sets cancel to a few digits less than double precision; the bound must hold in arithmetic too. */
const ROUNDING_MARGIN = 1e-9;

function modelOf(
  core: ModelCore,
  { sampleCount, sampleRateHz }: AmplifierRecord,
  modelLength: number,
  slowStates: SlowStatesSettings | null,
  overBand: OverBandSettings | null,
): AmplifierModel {
  const range = core.driveRange;
  const isResampled = modelLength !== sampleCount;
  const filter = overBand && createOverBandFilter(overBand, sampleRateHz, sampleCount);
  const resampleDrive = createDriveResampler(modelLength);
  const atModelRate = (drive: ComplexSignal): ComplexSignal => {
    if (drive.re.length !== sampleCount) {
      throw new RangeError(`amplify: drive of ${drive.re.length} samples; this model was made for ${sampleCount}`);
    }
    return isResampled ? resampleDrive(drive) : drive;
  };
  const rateHz = core.modelRateHz ?? sampleRateHz;
  const behindSlowStates = (drive: ComplexSignal, settledWith = drive, silenceS = 0): ComplexSignal => {
    const arriving = atModelRate(drive);
    if (slowStates === null) return arriving;
    const settled = settledStates(slowStates, settledWith === drive ? arriving : atModelRate(settledWith), rateHz);
    return applySlowStates(slowStates, arriving, rateHz, afterSilence(slowStates, settled, silenceS));
  };
  const outputOf = (arriving: ComplexSignal): ComplexSignal => {
    const output = core.apply(range === null ? arriving : holdAmplitude(arriving, range));
    const atRecordRate = isResampled ? resamplePeriodic(output, sampleCount) : output;
    return filter === null ? atRecordRate : filter.apply(atRecordRate);
  };
  return {
    label: core.label,
    source: core.source,
    modelRateHz: core.modelRateHz,
    driveRange: range,
    guarded: core.guarded,
    smallSignalGain: core.smallSignalGain,
    ownUnits: core.ownUnits,
    outputBound:
      isResampled || core.outputBound === null
        ? null
        : core.outputBound * (filter?.amplitudeBound ?? 1) * (1 + ROUNDING_MARGIN),
    notes: core.notes ?? [],
    amplify: (drive) => outputOf(behindSlowStates(drive)),
    amplifyAfterSilence: (drive, silenceS, settledWith) => outputOf(behindSlowStates(drive, settledWith, silenceS)),
    heldSampleRatio: (drive) => (range === null ? 0 : heldRatio(behindSlowStates(drive), range)),
    staticOutput: (amplitude) => core.staticOutput(range === null ? amplitude : Math.min(amplitude, range)),
  };
}
