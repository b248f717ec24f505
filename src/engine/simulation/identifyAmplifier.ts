// An amplifier model from a pair of records: what was sent and what a receiver saw of the output.
//
//   drive, observed ─align─▶ time and phase ─separate─▶ leak, image ─search─▶ structure ─fit─▶ model ─▶ readings
//
// Leak and image are found on the samples the structures are fitted to; the held-out samples decide which structure is
// taken; its model is fitted again to all samples. A second pair, when there is one, is predicted and never fitted.
import type { IdentificationReport, IdentificationTraces } from '../../../shared/schema/identificationReport.ts';
import type { Issue } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings, Scenario } from '../../../shared/schema/scenario.ts';
import { type CheckedPair, checkPair, type RecordPair, windowsOf } from './identifyChecks.ts';
import { type FittedPair, fitPair, type SearchWishes } from './identifyFit.ts';
import { amplifierSection, type FittedModel, modelOf } from './identifyModel.ts';
import { type OnIdentifyProgress, type TellStage, tellStages } from './identifyProgress.ts';
import { writeReport } from './identifyReport.ts';
import { checkScale, type IdentifyScale } from './identifyScale.ts';
import { identificationTraces } from './identifyTraces.ts';
import { validateModel } from './identifyValidation.ts';

export interface IdentifyInput extends RecordPair, IdentifyScale, SearchWishes {
  /** A second pair of the same amplifier: predicted, never fitted. */
  readonly validation?: RecordPair | null;
}

export interface IdentifyOptions {
  readonly onProgress?: OnIdentifyProgress | null;
}

export type IdentifyOutcome =
  | {
      readonly kind: 'identified';
      readonly model: AmplifierModelSettings;
      /** The amplifier section a scenario takes: the model with its power scale. */
      readonly amplifier: Scenario['amplifier'];
      readonly report: IdentificationReport;
      readonly traces: IdentificationTraces;
    }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Identifies, or says everything that makes the records unusable. */
export function identifyAmplifier(input: IdentifyInput, { onProgress }: IdentifyOptions = {}): IdentifyOutcome {
  const tell = tellStages(onProgress);
  tell('checking', 0);
  const checked = checkPair(input, '');
  const second = input.validation ? checkPair(input.validation, 'validation.') : null;
  const issues = [...checked.issues, ...(second?.issues ?? []), ...checkSettings(input), ...checkScale(input)];
  if (input.validation && input.validation.drive.sampleRateHz !== input.drive.sampleRateHz) {
    issues.push(otherRate(input.validation, input));
  }
  if (issues.length > 0) return { kind: 'invalid', issues };
  const fitted = fitPair(input, checked, tell);
  if (fitted === null) return { kind: 'invalid', issues: [dependentIssue()] };
  tell('reading', 0);
  const made = modelOf(input, checked, fitted);
  const section = amplifierSection(made);
  if (section.kind === 'invalid') return section;
  return { kind: 'identified', amplifier: section.amplifier, ...findingsOf(checked, second, fitted, made, tell) };
}

function findingsOf(
  checked: CheckedPair,
  second: CheckedPair | null,
  fitted: FittedPair,
  made: FittedModel,
  tell: TellStage,
) {
  if (second !== null) tell('validating', 0);
  const validation = second && validateModel(made.settings, second, fitted.chosen.heldOutNmseDb);
  const doubts = [...checked.warnings, ...(second?.warnings ?? []), ...made.warnings];
  const report = writeReport(checked, fitted, made, validation, doubts);
  tell('drawing', 0);
  const traces = tracesOf(checked, fitted, made);
  tell('drawing', 1);
  return { model: made.settings, report, traces };
}

function tracesOf(checked: CheckedPair, { alignment, clean }: FittedPair, { output }: FittedModel) {
  const { drive, observed } = checked.pair;
  const signals = { drive: drive.signal, observed: observed.signal, clean, output };
  return identificationTraces(signals, alignment.gain, windowsOf(checked), drive.sampleRateHz, checked.isOnePeriod);
}

function checkSettings(input: IdentifyInput): Issue[] {
  const limits = { highestOrder: [1, 15], memoryDepth: [1, 12], crossReachSamples: [0, 4] } as const;
  return (['highestOrder', 'memoryDepth', 'crossReachSamples'] as const).flatMap((path): Issue[] => {
    const value = input[path];
    const [least, most] = limits[path];
    const isFine = value === undefined || (Number.isInteger(value) && value >= least && value <= most);
    const rule = `must be a whole number from ${least} to ${most}`;
    return isFine ? [] : [{ path, rule, value: String(value), remedy: 'leave it out, or set it within these' }];
  });
}

function otherRate(validation: RecordPair, { drive }: RecordPair): Issue {
  return {
    path: 'validation.drive.sampleRateHz',
    rule: `must be that of the first pair, ${drive.sampleRateHz} Hz`,
    value: `${validation.drive.sampleRateHz} Hz`,
    remedy: 'the model’s taps hold at one rate; record both pairs at it',
  };
}

function dependentIssue(): Issue {
  return {
    path: 'drive',
    rule: 'must excite the amplifier: its levels and its band must tell the orders and delays apart',
    value: 'a drive whose regressors depend on each other',
    remedy: 'drive it with a modulated signal, not with single tones or a constant envelope',
  };
}
